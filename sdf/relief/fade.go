package relief

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Region is a signed distance in the plan, mm, negative inside:
// |At(p) - At(q)| <= |p - q|.
type Region interface {
	At(p r2.Vec) float64
	Slope(p r2.Vec) (float64, r2.Vec)
}

// within is a relief inside a margin.
type within struct {
	h      Relief
	region Region
	margin float64
	rate   float64 // how fast it may deepen from the margin on
}

// Within keeps a relief out of a margin along the inside of a region of its x, y plane,
// mm: as a mason's drafted margin does. From the margin on it deepens at rate, 0.1 or more.
func Within(h Relief, region Region, margin, rate float64) Relief {
	if h == nil {
		return nil
	}
	return &within{h, region, margin, max(rate, 0.1)}
}

func (w *within) Value(p r3.Vec) float64 {
	most := float64(w.rate * (-w.margin - w.region.At(r2.Vec{X: p.X, Y: p.Y})))
	if most <= 0 {
		return 0
	}
	return min(most, w.h.Value(p))
}

func (w *within) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := w.region.Slope(r2.Vec{X: p.X, Y: p.Y})
	most := float64(w.rate * (-w.margin - d))
	if most <= 0 {
		return 0, r3.Vec{}
	}
	v, k := w.h.Gradient(p)
	if v <= most {
		return v, k
	}
	return most, r3.Vec{X: -w.rate * g.X, Y: -w.rate * g.Y}
}

func (w *within) Depth() float64    { return w.h.Depth() }
func (w *within) Steepest() float64 { return max(w.rate, w.h.Steepest()) }
func (w *within) Cost() int         { return w.h.Cost() + 1 }

// Prune leaves out the margin where it does not reach, and the relief where nothing is
// left of it.
func (w *within) Prune(b sdf.Ball) Relief {
	most := float64(w.rate * (-w.margin - w.region.At(r2.Vec{X: b.C.X, Y: b.C.Y})))
	h, settled := heldTo(w.h, most, w.rate, b)
	switch {
	case settled:
		return h
	case h != w.h:
		return &within{h, w.region, w.margin, w.rate}
	}
	return w
}

// heldTo prunes a relief that may be no deeper than most mm in the middle of a ball, and
// than that changes at rate. It is settled where the limit is nowhere in the way, or leaves
// nothing.
func heldTo(h Relief, most, rate float64, b sdf.Ball) (left Relief, settled bool) {
	by := float64(rate*b.R) + slack
	if most+by <= 0 {
		return none, true
	}
	left = h.Prune(b)
	return left, most-by >= left.Depth()
}
