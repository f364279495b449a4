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
				p.X-max(f.bounds.Min.X, min(p.X, f.bounds.Max.X)),
				p.Y-max(f.bounds.Min.Y, min(p.Y, f.bounds.Max.Y)),
				p.Z-max(f.bounds.Min.Z, min(p.Z, f.bounds.Max.Z)))
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
	useBox := f.useBox && boxDistance(b.C, f.bounds) >= least && f.boxMatters(b)
	switch {
	case len(kept) == 1 && !useBox:
		return &kept[0]
	case len(kept) == len(f.planes) && useBox == f.useBox:
		return f
	}
	return &convex{planes: kept, useBox: useBox, bounds: f.bounds}
}

// boxMatters is whether the distance to the bounds can win somewhere in a ball: not
// where the ball stays inside them, nor where it looks out of one side only that is a
// face of the solid as well, since that face's plane lies just under the side.
func (f *convex) boxMatters(b Ball) bool {
	r := b.R + slack
	lo, hi := f.bounds.Min, f.bounds.Max
	var out r3.Vec
	side, looks := 0.0, 0
	for _, s := range [6]struct {
		n    r3.Vec
		at   float64 // of the side, along n
		over float64 // how far the ball looks out of it
	}{
		{V(1, 0, 0), hi.X, b.C.X + r - hi.X}, {V(-1, 0, 0), -lo.X, lo.X - b.C.X + r},
		{V(0, 1, 0), hi.Y, b.C.Y + r - hi.Y}, {V(0, -1, 0), -lo.Y, lo.Y - b.C.Y + r},
		{V(0, 0, 1), hi.Z, b.C.Z + r - hi.Z}, {V(0, 0, -1), -lo.Z, lo.Z - b.C.Z + r},
	} {
		if s.over > 0 {
			out, side, looks = s.n, s.at, looks+1
		}
	}
	if looks != 1 {
		return looks > 1
	}
	for i := range f.planes {
		if f.planes[i].n == out && f.planes[i].d <= side-slack/2 {
			return false
		}
	}
	return true
}
