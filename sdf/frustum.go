package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The faces of a frustum.
const (
	frustumTop uint8 = 1 << iota
	frustumFoot
	frustumSide
	frustumChamfer
)

type frustum struct {
	s       Shape
	height  float64
	slope   float64 // inset per mm of height
	cos     float64 // of the side's lean
	chamfer float64
	faces   uint8 // those that matter
	bounds  r3.Box
}

// Frustum is a plinth on z = 0 whose outline is the shape at the foot and, at
// z = height, the shape's true parallel inset by inset mm: at each z the set where
// Distance <= -inset*z/height. A negative inset leans outward; one larger than the
// shape can bear comes to a ridge below the height. A chamfer cuts the foot's edge
// at 45 degrees, so that at z = 0 the outline is inset by chamfer mm (at most the
// height; below zero none). Of the empty shape or a height not above zero, Nothing. Is a
// lower bound, exact inside where the shape is convex.
func Frustum(s Shape, height, inset, chamfer float64) Field {
	slope := inset / height
	if isEmptyShape(s) || !positive(height) || math.IsNaN(slope) || math.IsInf(slope, 0) {
		return Nothing()
	}
	f := &frustum{s: s, height: height, slope: slope, faces: frustumTop | frustumFoot | frustumSide}
	f.cos = 1 / math.Sqrt(1+float64(slope*slope))
	if chamfer > 0 {
		f.chamfer = math.Min(chamfer, height)
		f.faces |= frustumChamfer
	}
	f.bounds = solidBox(s.Bounds(), 0, height)
	if inset < 0 {
		f.bounds.Min.X, f.bounds.Min.Y = f.bounds.Min.X+inset, f.bounds.Min.Y+inset
		f.bounds.Max.X, f.bounds.Max.Y = f.bounds.Max.X-inset, f.bounds.Max.Y-inset
	}
	return f
}

// planFaces are those that look at the shape.
const planFaces = frustumSide | frustumChamfer

// face is one face's value, d being the shape's distance.
func (f *frustum) face(which uint8, z, d float64) float64 {
	switch which {
	case frustumTop:
		return z - f.height
	case frustumFoot:
		return 0 - z
	case frustumSide:
		return (d + float64(f.slope*z)) * f.cos
	}
	return (d + (f.chamfer - z)) * (math.Sqrt2 / 2)
}

// greatest gives the face that wins, the first on a tie, and its value.
func (f *frustum) greatest(p r3.Vec) (uint8, float64) {
	d := 0.0
	if f.faces&planFaces != 0 {
		d = f.s.Distance(plan(p))
	}
	best, most := uint8(0), math.Inf(-1)
	for which := frustumTop; which <= frustumChamfer; which <<= 1 {
		if f.faces&which != 0 {
			if v := f.face(which, p.Z, d); v > most {
				best, most = which, v
			}
		}
	}
	return best, most
}

func (f *frustum) Value(p r3.Vec) float64 {
	_, v := f.greatest(p)
	return v
}

func (f *frustum) Gradient(p r3.Vec) (float64, r3.Vec) {
	which, v := f.greatest(p)
	switch which {
	case frustumTop:
		return v, V(0, 0, 1)
	case frustumFoot:
		return v, V(0, 0, -1)
	}
	_, g := f.s.Gradient(plan(p))
	if which == frustumSide {
		return v, V(g.X*f.cos, g.Y*f.cos, f.slope*f.cos)
	}
	return v, V(g.X*math.Sqrt2/2, g.Y*math.Sqrt2/2, -math.Sqrt2/2)
}

func (f *frustum) Bounds() r3.Box     { return f.bounds }
func (f *frustum) Lipschitz() float64 { return 1 }

// Tightness: let a point be D outside the box in the plan and e above or below
// it. Beside the box the side's value is at least cos*D, above it at least
// max(cos*D, e); below it, where the side falls back, at least max(cos*(D - k*e), e), k
// the slope. The last is the least: at D = e(k + 1/cos) it is e.
func (f *frustum) Tightness() float64 {
	return 1 / math.Hypot(1, math.Abs(f.slope)+1/f.cos)
}

func (f *frustum) Cost() int { return 1 }

// Prune drops the faces that cannot win in the ball, each being 1-Lipschitz, and
// simplifies the shape if one of the rest looks at it.
func (f *frustum) Prune(b Ball) Field {
	c := plan(b.C)
	d := 0.0
	if f.faces&planFaces != 0 {
		d = f.s.Distance(c)
	}
	_, most := f.greatest(b.C)
	faces := uint8(0)
	for which := frustumTop; which <= frustumChamfer; which <<= 1 {
		if f.faces&which != 0 && f.face(which, b.C.Z, d) >= most-2*b.R-slack {
			faces |= which
		}
	}
	s := f.s
	if faces&planFaces != 0 {
		s = pruneShape(s, c, b.R)
	}
	if faces == f.faces && s == f.s {
		return f
	}
	out := *f
	out.faces, out.s = faces, s
	return &out
}

func (f *frustum) Plane() (r3.Vec, float64, bool) {
	switch f.faces {
	case frustumTop:
		return V(0, 0, 1), f.height, true
	case frustumFoot:
		return V(0, 0, -1), 0, true
	}
	n, d, ok := straight(f.s)
	switch {
	case !ok:
	case f.faces == frustumSide:
		return V(n.X*f.cos, n.Y*f.cos, f.slope*f.cos), d * f.cos, true
	case f.faces == frustumChamfer:
		const half = math.Sqrt2 / 2
		return V(n.X*half, n.Y*half, -half), (d - f.chamfer) * half, true
	}
	return r3.Vec{}, 0, false
}
