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

func (d *deepest) Prune(b sdf.Ball) Relief {
	f, g := d.a.Prune(b), d.b.Prune(b)
	switch x, y := rangeIn(f, b), rangeIn(g, b); {
	case x.least >= y.most: // on a tie the first
		return f
	case y.least > x.most:
		return g
	}
	if f != d.a || g != d.b {
		return &deepest{f, g}
	}
	return d
}

// interval is between what depths, mm, a relief lies.
type interval struct{ least, most float64 }

// rangeIn bounds a relief in a ball, widened by more than rounding.
func rangeIn(h Relief, b sdf.Ball) interval {
	v, by := h.Value(b.C), float64(h.Steepest()*b.R)+slack
	return interval{max(v-by, 0), min(v+by, h.Depth()+slack)}
}

// slack is more than the rounding error of the values that pruning compares, mm.
const slack = 1e-9

// isFlat says whether a relief rises evenly wherever it may be looked at.
func isFlat(h Relief) bool {
	f, ok := h.(interface{ flat() bool })
	return ok && f.flat()
}

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

// Prune leaves out what cuts nothing in the ball.
func (s *sum) Prune(b sdf.Ball) Relief {
	f, g := s.a.Prune(b), s.b.Prune(b)
	switch {
	case isNone(f):
		return g
	case isNone(g):
		return f
	case f != s.a || g != s.b:
		return &sum{f, g}
	}
	return s
}

func (s *sum) flat() bool { return isFlat(s.a) && isFlat(s.b) }

// none is a relief that cuts nothing.
var none Relief = &even{0}

func isNone(h Relief) bool {
	e, ok := h.(*even)
	return ok && e.depth == 0
}

// placed is a relief in a frame of its own.
type placed struct {
	h    Relief
	pose *sdf.Pose // shared by pruned copies
}

// Place sets a relief at a pose: what lies over its own x, y plane then lies over that
// plane of the frame.
func Place(h Relief, pose sdf.Pose) Relief {
	if h == nil {
		return nil
	}
	return &placed{h, &pose}
}

func (l *placed) Value(p r3.Vec) float64 { return l.h.Value(l.pose.Invert(p)) }

func (l *placed) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, g := l.h.Gradient(l.pose.Invert(p))
	return h, l.pose.Rotate(g)
}

func (l *placed) Depth() float64    { return l.h.Depth() }
func (l *placed) Steepest() float64 { return l.h.Steepest() }
func (l *placed) Cost() int         { return l.h.Cost() }

// Prune needs no frame for what is even.
func (l *placed) Prune(b sdf.Ball) Relief {
	h := l.h.Prune(sdf.Ball{C: l.pose.Invert(b.C), R: b.R + slack})
	if _, ok := h.(*even); ok {
		return h
	}
	if h != l.h {
		return &placed{h, l.pose}
	}
	return l
}

func (l *placed) flat() bool { return isFlat(l.h) }

// inverse is a relief turned about: at most depth mm deep.
type inverse struct {
	h     Relief
	depth float64
}

// Inverse turns a relief about: what it leaves at the surface is cut to its depth.
func Inverse(h Relief) Relief {
	if h == nil {
		return nil
	}
	return &inverse{h, h.Depth()}
}

func (i *inverse) Value(p r3.Vec) float64 { return i.depth - i.h.Value(p) }

func (i *inverse) Gradient(p r3.Vec) (float64, r3.Vec) {
	v, g := i.h.Gradient(p)
	return i.depth - v, r3.Scale(-1, g)
}

func (i *inverse) Depth() float64    { return i.depth }
func (i *inverse) Steepest() float64 { return i.h.Steepest() }
func (i *inverse) Cost() int         { return i.h.Cost() }

func (i *inverse) Prune(b sdf.Ball) Relief {
	h := i.h.Prune(b)
	if e, ok := h.(*even); ok {
		return &even{i.depth - e.depth}
	}
	if h != i.h {
		return &inverse{h, i.depth}
	}
	return i
}

func (i *inverse) flat() bool { return isFlat(i.h) }
