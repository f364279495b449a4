package relief

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// shallowest is the shallower of two reliefs at each point.
type shallowest struct{ a, b Relief }

// Shallowest cuts each point as deep as the shallowest of the reliefs does: what one of
// them leaves stands out of the others, as stones do out of soil. It is nil where one of
// them cuts nothing.
func Shallowest(all ...Relief) Relief {
	for _, h := range all {
		if h == nil || h.Depth() <= 0 {
			return nil
		}
	}
	return joined(all, func(a, b Relief) Relief { return &shallowest{a, b} })
}

func (s *shallowest) Value(p r3.Vec) float64 { return min(s.a.Value(p), s.b.Value(p)) }

func (s *shallowest) Gradient(p r3.Vec) (float64, r3.Vec) {
	a, ga := s.a.Gradient(p)
	if b, gb := s.b.Gradient(p); b < a {
		return b, gb
	}
	return a, ga
}

func (s *shallowest) Depth() float64    { return min(s.a.Depth(), s.b.Depth()) }
func (s *shallowest) Steepest() float64 { return max(s.a.Steepest(), s.b.Steepest()) }
func (s *shallowest) Cost() int         { return s.a.Cost() + s.b.Cost() }

func (s *shallowest) Prune(b sdf.Ball) Relief {
	f, g := s.a.Prune(b), s.b.Prune(b)
	switch x, y := rangeIn(f, b), rangeIn(g, b); {
	case x.most <= y.least: // on a tie the first
		return f
	case y.most < x.least:
		return g
	}
	if f != s.a || g != s.b {
		return &shallowest{f, g}
	}
	return s
}
