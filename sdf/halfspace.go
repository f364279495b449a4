package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// halfSpace is the solid n.p <= d.
type halfSpace struct {
	n r3.Vec
	d float64
}

// HalfSpace is everything below a plane: the points p with n.p <= d, where n is
// made a unit vector first (a zero n means +z) and d is in mm along it. Is exact.
func HalfSpace(n r3.Vec, d float64) Field {
	return &halfSpace{n: unit(n, V(0, 0, 1)), d: d}
}

func (h *halfSpace) Value(p r3.Vec) float64 { return dot(h.n, p) - h.d }

func (h *halfSpace) Gradient(p r3.Vec) (float64, r3.Vec) { return h.Value(p), h.n }

// Bounds is infinite, but for a plane square to an axis, which bounds one side.
func (h *halfSpace) Bounds() r3.Box {
	b := everywhere
	switch h.n {
	case V(1, 0, 0):
		b.Max.X = h.d
	case V(-1, 0, 0):
		b.Min.X = -h.d
	case V(0, 1, 0):
		b.Max.Y = h.d
	case V(0, -1, 0):
		b.Min.Y = -h.d
	case V(0, 0, 1):
		b.Max.Z = h.d
	case V(0, 0, -1):
		b.Min.Z = -h.d
	}
	return b
}

func (h *halfSpace) Lipschitz() float64             { return 1 }
func (h *halfSpace) Tightness() float64             { return 1 }
func (h *halfSpace) Prune(Ball) Field               { return h }
func (h *halfSpace) Cost() int                      { return 1 }
func (h *halfSpace) Plane() (r3.Vec, float64, bool) { return h.n, h.d, true }

// nothing is the empty solid.
type nothing struct{}

// Nothing is the empty solid: the neutral member of a union. Its value is a
// large constant (1e6 mm), so that it never wins against a part in a scene.
func Nothing() Field { return nothing{} }

const farAway = 1e6

func (nothing) Value(r3.Vec) float64              { return farAway }
func (nothing) Gradient(r3.Vec) (float64, r3.Vec) { return farAway, r3.Vec{} }
func (nothing) Bounds() r3.Box                    { return r3.Box{} }
func (nothing) Lipschitz() float64                { return 0 }
func (nothing) Tightness() float64                { return math.SmallestNonzeroFloat64 }
func (nothing) Prune(Ball) Field                  { return nothing{} }
func (nothing) Cost() int                         { return 0 }
