package relief

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// joined joins those reliefs that cut something, in order, two at a time; nil for none.
func joined(all []Relief, join func(a, b Relief) Relief) (out Relief) {
	for _, h := range all {
		switch {
		case h == nil || h.Depth() <= 0:
		case out == nil:
			out = h
		default:
			out = join(out, h)
		}
	}
	return out
}

// deepest is the deeper of two reliefs at each point.
type deepest struct{ a, b Relief }

// Deepest cuts each point as deep as the deepest of the reliefs does; nil where there is none.
func Deepest(all ...Relief) Relief {
	return joined(all, func(a, b Relief) Relief { return &deepest{a, b} })
}

func (d *deepest) Value(p r3.Vec) float64 { return max(d.a.Value(p), d.b.Value(p)) }

func (d *deepest) Gradient(p r3.Vec) (float64, r3.Vec) {
	a, ga := d.a.Gradient(p)
	if b, gb := d.b.Gradient(p); b > a {
		return b, gb
	}
	return a, ga
}

func (d *deepest) Depth() float64    { return max(d.a.Depth(), d.b.Depth()) }
func (d *deepest) Steepest() float64 { return max(d.a.Steepest(), d.b.Steepest()) }
func (d *deepest) Cost() int         { return d.a.Cost() + d.b.Cost() }

// sum is two reliefs, the one cut into the other.
type sum struct{ a, b Relief }

// Sum cuts each relief into what the others have left; nil where there is none.
func Sum(all ...Relief) Relief {
	return joined(all, func(a, b Relief) Relief { return &sum{a, b} })
}

func (s *sum) Value(p r3.Vec) float64 { return s.a.Value(p) + s.b.Value(p) }

func (s *sum) Gradient(p r3.Vec) (float64, r3.Vec) {
	a, ga := s.a.Gradient(p)
	b, gb := s.b.Gradient(p)
	return a + b, r3.Add(ga, gb)
}

func (s *sum) Depth() float64    { return s.a.Depth() + s.b.Depth() }
func (s *sum) Steepest() float64 { return s.a.Steepest() + s.b.Steepest() }
func (s *sum) Cost() int         { return s.a.Cost() + s.b.Cost() }

// placed is a relief in a frame of its own.
type placed struct {
	h    Relief
	pose sdf.Pose
}

// Place sets a relief at a pose: what lies over its own x, y plane then lies over that
// plane of the frame.
func Place(h Relief, pose sdf.Pose) Relief {
	if h == nil {
		return nil
	}
	return &placed{h, pose}
}

func (l *placed) Value(p r3.Vec) float64 { return l.h.Value(l.pose.Invert(p)) }

func (l *placed) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, g := l.h.Gradient(l.pose.Invert(p))
	return h, l.pose.Rotate(g)
}

func (l *placed) Depth() float64    { return l.h.Depth() }
func (l *placed) Steepest() float64 { return l.h.Steepest() }
func (l *placed) Cost() int         { return l.h.Cost() }

// inverse is a relief turned about.
type inverse struct{ h Relief }

// Inverse turns a relief about: what it leaves at the surface is cut to its depth.
func Inverse(h Relief) Relief {
	if h == nil {
		return nil
	}
	return &inverse{h}
}

func (i *inverse) Value(p r3.Vec) float64 { return i.h.Depth() - i.h.Value(p) }

func (i *inverse) Gradient(p r3.Vec) (float64, r3.Vec) {
	v, g := i.h.Gradient(p)
	return i.h.Depth() - v, r3.Scale(-1, g)
}

func (i *inverse) Depth() float64    { return i.h.Depth() }
func (i *inverse) Steepest() float64 { return i.h.Steepest() }
func (i *inverse) Cost() int         { return i.h.Cost() }
