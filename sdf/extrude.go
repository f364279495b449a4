package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// extrusion is a shape from one height to another.
type extrusion struct {
	s      Shape
	mid, h float64 // height of the middle, half the height
}

// Extrude is a shape drawn up from height lo to hi, mm; none at all where hi is
// not above lo. Is exact.
func Extrude(s Shape, lo, hi float64) Field {
	if !(hi > lo) {
		return Nothing()
	}
	return &extrusion{s, (lo + hi) / 2, (hi - lo) / 2}
}

// Prism is the extrusion of a simple polygon. Is exact.
func Prism(points []r2.Vec, lo, hi float64) Field {
	if len(points) < 3 {
		return Nothing()
	}
	return Extrude(Polygon(points), lo, hi)
}

// Cylinder is upright from z = 0 to height, its rims rounded to a radius (at
// most the cylinder's own, and half the height), mm. Is exact.
func Cylinder(radius, height, round float64) Field {
	if !(radius > 0 && height > 0) {
		return Nothing()
	}
	r := math.Max(0, math.Min(round, math.Min(radius, height/2)))
	if r == 0 {
		return Extrude(Circle(radius), 0, height)
	}
	// The core: a disc of zero radius or a slab of zero height would be no
	// solid; a hair of it is, and moves nothing by more than a billionth.
	const hair = 1e-9
	return Offset(Extrude(Circle(math.Max(radius-r, hair)), math.Min(r, height/2-hair), math.Max(height-r, height/2+hair)), r)
}

func (e *extrusion) parts(p r3.Vec) (d, z float64) {
	return e.s.Distance(r2.Vec{X: p.X, Y: p.Y}), math.Abs(p.Z-e.mid) - e.h
}

func (e *extrusion) Value(p r3.Vec) float64 {
	d, z := e.parts(p)
	switch {
	case d <= 0 || z <= 0:
		return math.Max(d, z)
	}
	return length2(d, z)
}

func (e *extrusion) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := e.s.Gradient(r2.Vec{X: p.X, Y: p.Y})
	z := math.Abs(p.Z-e.mid) - e.h
	up := math.Copysign(1, p.Z-e.mid)
	if d <= 0 || z <= 0 {
		if d > z {
			return d, V(g.X, g.Y, 0)
		}
		return z, V(0, 0, up)
	}
	l := length2(d, z)
	return l, V(g.X*d/l, g.Y*d/l, up*z/l)
}

func (e *extrusion) Bounds() r3.Box {
	b := e.s.Bounds()
	return r3.Box{Min: V(b.Min.X, b.Min.Y, e.mid-e.h), Max: V(b.Max.X, b.Max.Y, e.mid+e.h)}
}

func (e *extrusion) Lipschitz() float64 { return 1 }
func (e *extrusion) Tightness() float64 { return 1 }
func (e *extrusion) Cost() int          { return 1 }

// Prune gives the one flat end, or the wall alone, where the ball sees no more.
func (e *extrusion) Prune(b Ball) Field {
	d, z := e.parts(b.C)
	r := b.R + slack
	switch {
	case d < -r && z-r > d+r && math.Abs(b.C.Z-e.mid) > r:
		return &flatEnd{mid: e.mid, h: e.h, up: math.Copysign(1, b.C.Z-e.mid)}
	case z < -r && d-r > z+r:
		return &upright{e.s, e.Bounds()}
	}
	return e
}

// flatEnd is the top or the bottom of an extrusion alone.
type flatEnd struct{ mid, h, up float64 }

func (f *flatEnd) Value(p r3.Vec) float64 { return f.up*(p.Z-f.mid) - f.h }
func (f *flatEnd) Gradient(p r3.Vec) (float64, r3.Vec) {
	return f.Value(p), V(0, 0, f.up)
}
func (f *flatEnd) Bounds() r3.Box     { return (&halfSpace{V(0, 0, f.up), f.h + f.up*f.mid}).Bounds() }
func (f *flatEnd) Lipschitz() float64 { return 1 }
func (f *flatEnd) Tightness() float64 { return 1 }
func (f *flatEnd) Prune(Ball) Field   { return f }
func (f *flatEnd) Cost() int          { return 1 }
func (f *flatEnd) Plane() (r3.Vec, float64, bool) {
	return V(0, 0, f.up), f.h + f.up*f.mid, true
}

// upright is the wall of an extrusion alone: the shape at every height.
type upright struct {
	s      Shape
	bounds r3.Box
}

func (u *upright) Value(p r3.Vec) float64 { return u.s.Distance(r2.Vec{X: p.X, Y: p.Y}) }
func (u *upright) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := u.s.Gradient(r2.Vec{X: p.X, Y: p.Y})
	return d, V(g.X, g.Y, 0)
}

func (u *upright) Bounds() r3.Box {
	b := everywhere
	b.Min.X, b.Min.Y, b.Max.X, b.Max.Y = u.bounds.Min.X, u.bounds.Min.Y, u.bounds.Max.X, u.bounds.Max.Y
	return b
}

func (u *upright) Lipschitz() float64 { return 1 }
func (u *upright) Tightness() float64 { return 1 }
func (u *upright) Prune(Ball) Field   { return u }
func (u *upright) Cost() int          { return 1 }
