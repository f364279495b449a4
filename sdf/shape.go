package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Shape is a closed outline in the plan: what Extrude raises.
// Lengths in mm. Every implementation is immutable, safe for concurrent use and
// a pointer (or has no content), so shapes can be compared with ==.
type Shape interface {
	// Distance is the exact signed distance to the outline: negative inside.
	Distance(p r2.Vec) float64
	// Gradient gives Distance(p), to the bit, and its gradient, a unit vector;
	// where that is not unique, one of the candidates, always the same one.
	Gradient(p r2.Vec) (d float64, g r2.Vec)
	// Bounds is an axis-aligned box that holds the inside.
	Bounds() r2.Box
}

// discPruner is a shape that can give one with the same bits in the disc of
// radius r about c (its rim included).
type discPruner interface {
	pruneDisc(c r2.Vec, r float64) Shape
}

func pruneShape(s Shape, c r2.Vec, r float64) Shape {
	if p, ok := s.(discPruner); ok {
		return p.pruneDisc(c, r)
	}
	return s
}

// straightShape is a shape that may be a half-plane.
type straightShape interface {
	// line gives the unit normal n and offset d of the half-plane n.p <= d; ok
	// is false where the shape is not one.
	line() (n r2.Vec, d float64, ok bool)
}

func straight(s Shape) (n r2.Vec, d float64, ok bool) {
	if l, is := s.(straightShape); is {
		return l.line()
	}
	return r2.Vec{}, 0, false
}

// emptyShape holds nothing: what a shape of no size is.
type emptyShape struct{}

func (emptyShape) Distance(r2.Vec) float64           { return farAway }
func (emptyShape) Gradient(r2.Vec) (float64, r2.Vec) { return farAway, r2.Vec{} }
func (emptyShape) Bounds() r2.Box                    { return r2.Box{} }

func isEmptyShape(s Shape) bool {
	_, empty := s.(emptyShape)
	return s == nil || empty
}

// positive is whether all sizes are above zero, and finite.
func positive(sizes ...float64) bool {
	for _, s := range sizes {
		if !(s > 0) || math.IsInf(s, 0) {
			return false
		}
	}
	return true
}

// dot2 is dot in the plan, its products rounded likewise.
func dot2(a, b r2.Vec) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) }

func norm2(v r2.Vec) float64 { return math.Sqrt(dot2(v, v)) }

// unit2 is v at length one, or the fallback where v has no direction.
func unit2(v, fallback r2.Vec) r2.Vec {
	n := norm2(v)
	if n < 1e-150 {
		return fallback
	}
	return r2.Vec{X: v.X / n, Y: v.Y / n}
}

// halfPlane is the plane's part n.(p - a) <= less: what a shape with a straight
// side becomes in a disc that sees only that side.
type halfPlane struct {
	n, a r2.Vec
	less float64
}

func (h *halfPlane) Distance(p r2.Vec) float64 {
	return dot2(h.n, r2.Vec{X: p.X - h.a.X, Y: p.Y - h.a.Y}) - h.less
}

func (h *halfPlane) Gradient(p r2.Vec) (float64, r2.Vec) { return h.Distance(p), h.n }

func (h *halfPlane) line() (r2.Vec, float64, bool) { return h.n, dot2(h.n, h.a) + h.less, true }

// Bounds is infinite, but for a side square to an axis, which bounds one side.
func (h *halfPlane) Bounds() r2.Box {
	b := r2.Box{
		Min: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)},
		Max: r2.Vec{X: math.Inf(1), Y: math.Inf(1)},
	}
	switch h.n {
	case r2.Vec{X: 1}:
		b.Max.X = h.a.X + h.less
	case r2.Vec{X: -1}:
		b.Min.X = h.a.X - h.less
	case r2.Vec{Y: 1}:
		b.Max.Y = h.a.Y + h.less
	case r2.Vec{Y: -1}:
		b.Min.Y = h.a.Y - h.less
	}
	return b
}
