package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// convex is what a number of half-spaces share, as one primitive.
type convex struct {
	planes []halfSpace
	// Beyond the corners the planes alone fall short of the distance, so outside
	// the bounds the distance to them counts too. At the bounds' own surface that is 0
	// and the planes are not negative, so the greater of the two has no step.
	useBox bool
	bounds r3.Box
}

// Convex is a block cut by planes: the points p with normals[i].p <= offsets[i] for
// all i, each normal made a unit vector first, offsets in mm along it. Planes whose
// normal is zero or not finite, and figures without a partner, are passed over; no planes
// at all are all of space, planes that share no point are Nothing, and a solid that
// they do not close is unbounded as they leave it. Is a lower bound, exact inside.
func Convex(normals []r3.Vec, offsets []float64) Field {
	var planes []halfSpace
	for i := range min(len(normals), len(offsets)) {
		n := unit(normals[i], r3.Vec{})
		if d := offsets[i]; math.Abs(norm(n)-1) < 1e-9 && !math.IsNaN(d) && !math.IsInf(d, 0) {
			planes = append(planes, halfSpace{n: n, d: d})
		}
	}
	if len(planes) == 0 {
		return Complement(Nothing())
	}
	bounds, ok := convexBounds(planes)
	if !ok {
		return Nothing()
	}
	return &convex{planes: planes, useBox: true, bounds: bounds}
}

func (f *convex) Value(p r3.Vec) float64 {
	d := math.Inf(-1)
	for i := range f.planes {
		if v := f.planes[i].Value(p); v > d {
			d = v
		}
	}
	if f.useBox {
		if v := boxDistance(p, f.bounds); v > 0 && v > d {
			d = v
		}
	}
	return d
}

func (f *convex) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, n := math.Inf(-1), r3.Vec{}
	for i := range f.planes {
		if v := f.planes[i].Value(p); v > d {
			d, n = v, f.planes[i].n
		}
	}
	if f.useBox {
		if v := boxDistance(p, f.bounds); v > 0 && v > d {
			q := V(
				p.X-math.Max(f.bounds.Min.X, math.Min(p.X, f.bounds.Max.X)),
				p.Y-math.Max(f.bounds.Min.Y, math.Min(p.Y, f.bounds.Max.Y)),
				p.Z-math.Max(f.bounds.Min.Z, math.Min(p.Z, f.bounds.Max.Z)))
			return v, unit(q, n)
		}
	}
	return d, n
}

func (f *convex) Bounds() r3.Box     { return f.bounds }
func (f *convex) Lipschitz() float64 { return 1 }
func (f *convex) Tightness() float64 { return 1 }
func (f *convex) Cost() int          { return 1 }

// Prune keeps the planes that can win in the ball, and the box's distance if that
// can; one plane alone is a half-space.
func (f *convex) Prune(b Ball) Field {
	least := f.Value(b.C) - 2*b.R - slack
	kept := make([]halfSpace, 0, len(f.planes))
	for i := range f.planes {
		if f.planes[i].Value(b.C) >= least {
			kept = append(kept, f.planes[i])
		}
	}
	out := &convex{planes: kept, useBox: f.useBox && !inBox(b, f.bounds) && boxDistance(b.C, f.bounds) >= least, bounds: f.bounds}
	switch {
	case len(kept) == 1 && !out.useBox:
		return &kept[0]
	case len(kept) == len(f.planes) && out.useBox == f.useBox:
		return f
	}
	return out
}

// inBox is whether a box holds all of a ball.
func inBox(b Ball, box r3.Box) bool {
	r := b.R + slack
	return b.C.X-r >= box.Min.X && b.C.X+r <= box.Max.X &&
		b.C.Y-r >= box.Min.Y && b.C.Y+r <= box.Max.Y &&
		b.C.Z-r >= box.Min.Z && b.C.Z+r <= box.Max.Z
}
