package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// frustum is a plinth: a shape at the foot, its parallel inset at the top.
type frustum struct {
	s              Shape
	height, inset  float64
	slope, cos     float64 // inset/height, and the cosine of the rim's lean
	chamfer        float64
	chamferSurface float64 // 1/sqrt 2
}

// Frustum is a plinth from z = 0 to height, mm: at z its outline is the true
// parallel inset of the shape by inset*z/height, so an oval's top keeps its
// distance from the foot all round. The foot is chamfered at 45 degrees: inset by
// chamfer at z = 0. A negative inset leans outward. None at all where the height is
// not positive. The sign is exact. Is a lower bound.
func Frustum(s Shape, height, inset, chamfer float64) Field {
	if !(height > 0) {
		return Nothing()
	}
	t := inset / height
	return &frustum{
		s: s, height: height, inset: inset, slope: t, cos: 1 / math.Sqrt(1+t*t),
		chamfer: math.Max(0, chamfer), chamferSurface: 1 / math.Sqrt2,
	}
}

// faces gives the distances to the rim, the top, the underside and the chamfer.
func (f *frustum) faces(d, z float64) (rim, top, under, foot float64) {
	rim = (d + float64(f.slope*z)) * f.cos
	foot = math.Inf(-1)
	if f.chamfer > 0 {
		foot = (d - z + f.chamfer) * f.chamferSurface
	}
	return rim, z - f.height, -z, foot
}

func (f *frustum) Value(p r3.Vec) float64 {
	rim, top, under, foot := f.faces(f.s.Distance(r2.Vec{X: p.X, Y: p.Y}), p.Z)
	return math.Max(math.Max(rim, foot), math.Max(top, under))
}

func (f *frustum) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := f.s.Gradient(r2.Vec{X: p.X, Y: p.Y})
	rim, top, under, foot := f.faces(d, p.Z)
	v := math.Max(math.Max(rim, foot), math.Max(top, under))
	switch v {
	case top:
		return v, V(0, 0, 1)
	case under:
		return v, V(0, 0, -1)
	case rim:
		return v, V(g.X*f.cos, g.Y*f.cos, f.slope*f.cos)
	}
	return v, V(g.X*f.chamferSurface, g.Y*f.chamferSurface, -f.chamferSurface)
}

func (f *frustum) Bounds() r3.Box {
	b := f.s.Bounds()
	out := math.Max(0, -f.inset)
	return r3.Box{Min: V(b.Min.X-out, b.Min.Y-out, 0), Max: V(b.Max.X+out, b.Max.Y+out, f.height)}
}

func (f *frustum) Lipschitz() float64 { return 1 }

// Tightness: at e mm beside the box and w under (or, leaning out, over) it the
// value is max((e - |slope| w) cos, w); against the distance sqrt(e^2 + w^2) that
// is least where the two are equal, e = w (1/cos + |slope|).
func (f *frustum) Tightness() float64 {
	e := 1/f.cos + math.Abs(f.slope)
	return 1 / math.Sqrt(1+e*e)
}
func (f *frustum) Cost() int { return 1 }

// Prune gives the top or the underside alone where the ball sees no more.
func (f *frustum) Prune(b Ball) Field {
	rim, top, under, foot := f.faces(f.s.Distance(r2.Vec{X: b.C.X, Y: b.C.Y}), b.C.Z)
	r := 2*b.R + slack
	side := math.Max(rim, foot)
	switch {
	case top > math.Max(side, under)+r:
		return &flatEnd{mid: 0, h: f.height, up: 1}
	case under > math.Max(side, top)+r:
		return &flatEnd{mid: 0, h: 0, up: -1}
	}
	return f
}
