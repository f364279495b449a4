package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// revolved is a profile turned about the z axis.
type revolved struct {
	s      Shape
	bounds r3.Box
}

// Revolve is a simple polygon in the half plane of radius (X >= 0) and height
// (Y), mm, turned about the z axis. Sides on the axis are inside the solid. Is
// exact.
func Revolve(profile []r2.Vec) Field {
	if len(profile) < 3 {
		return Nothing()
	}
	// The mirror image joins on at the axis, so that sides on it are no surface:
	// the distance is to the sides off the axis only.
	p := Polygon(profile).(*polygon)
	kept := p.sides[:0:0]
	for _, s := range p.sides {
		if s.a.X > 1e-12 || s.a.X+s.d.X > 1e-12 {
			kept = append(kept, s)
		}
	}
	b := p.Bounds()
	return &revolved{
		s: &axial{polygon: *p, open: polygon{sides: kept, bounds: b}},
		bounds: r3.Box{
			Min: V(-b.Max.X, -b.Max.X, b.Min.Y), Max: V(b.Max.X, b.Max.X, b.Max.Y),
		},
	}
}

// axial is a profile of which the sides on the axis do not count as surface.
type axial struct {
	polygon
	open polygon
}

func (a *axial) Distance(p r2.Vec) float64 {
	d, _, _ := a.open.nearest(p)
	if a.within(p) {
		return -math.Sqrt(d)
	}
	return math.Sqrt(d)
}

// within: on the axis itself the even-odd rule is decided a hair off it.
func (a *axial) within(p r2.Vec) bool {
	_, _, inside := a.nearest(r2.Vec{X: math.Max(p.X, 1e-9), Y: p.Y})
	return inside
}

func (a *axial) Gradient(p r2.Vec) (float64, r2.Vec) {
	d2, at, _ := a.open.nearest(p)
	inside := a.within(p)
	d := math.Sqrt(d2)
	if inside {
		d = -d
	}
	s := &a.open.sides[at]
	x, y, t := s.away(p)
	if t > 0 && t < 1 || d2 < 1e-24 {
		return d, s.n
	}
	v := unit2(r2.Vec{X: x, Y: y}, s.n)
	if inside {
		v = r2.Scale(-1, v)
	}
	return d, v
}

func (f *revolved) Value(p r3.Vec) float64 {
	return f.s.Distance(r2.Vec{X: length2(p.X, p.Y), Y: p.Z})
}

func (f *revolved) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := f.s.Gradient(r2.Vec{X: length2(p.X, p.Y), Y: p.Z})
	out := unit2(r2.Vec{X: p.X, Y: p.Y}, r2.Vec{X: 1})
	return d, V(g.X*out.X, g.X*out.Y, g.Y)
}

func (f *revolved) Bounds() r3.Box     { return f.bounds }
func (f *revolved) Lipschitz() float64 { return 1 }
func (f *revolved) Tightness() float64 { return 1 }
func (f *revolved) Prune(Ball) Field   { return f }
func (f *revolved) Cost() int          { return 1 }

// Cone is an upright frustum of a cone from z = 0, with radii bottom and top,
// mm; either may be 0. None at all where it has no volume. Is exact.
func Cone(bottom, top, height float64) Field {
	bottom, top = math.Max(bottom, 0), math.Max(top, 0)
	if !(height > 0 && bottom+top > 0) {
		return Nothing()
	}
	p := []r2.Vec{{X: 0, Y: 0}}
	if bottom > 0 {
		p = append(p, r2.Vec{X: bottom, Y: 0})
	}
	if top > 0 {
		p = append(p, r2.Vec{X: top, Y: height})
	}
	return Revolve(append(p, r2.Vec{X: 0, Y: height}))
}
