package relief

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// faded is a relief that another weakens.
type faded struct{ h, by Relief }

// Faded weakens a relief where another, of a depth of 1 at most, cuts: there it is cut
// 1 - by as deep. A place that is worn or filled has less relief.
func Faded(h, by Relief) Relief {
	if h == nil || by == nil {
		return h
	}
	return &faded{h, by}
}

func (f *faded) Value(p r3.Vec) float64 { return f.h.Value(p) * (1 - f.by.Value(p)) }

func (f *faded) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, g := f.h.Gradient(p)
	w, k := f.by.Gradient(p)
	return h * (1 - w), r3.Sub(r3.Scale(1-w, g), r3.Scale(h, k))
}

func (f *faded) Depth() float64    { return f.h.Depth() }
func (f *faded) Steepest() float64 { return f.h.Steepest() + f.h.Depth()*f.by.Steepest() }
func (f *faded) Cost() int         { return f.h.Cost() + f.by.Cost() }

// Prune leaves out what is not weakened, or not there at all.
func (f *faded) Prune(b sdf.Ball) Relief {
	h, by := f.h.Prune(b), f.by.Prune(b)
	if e, ok := by.(*even); ok && e.depth == 0 {
		return h
	} else if ok && e.depth == 1 {
		return none
	}
	if h != f.h || by != f.by {
		return &faded{h, by}
	}
	return f
}

func (f *faded) flat() bool {
	_, ok := f.by.(*even)
	return ok && isFlat(f.h)
}
