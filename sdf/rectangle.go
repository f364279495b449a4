package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// rectangle is about the origin, h its half-size without the rounding r that
// is added all round. With h = 0 along an axis it is a stadium.
type rectangle struct {
	h r2.Vec
	r float64
}

// Rectangle is about the origin, width mm along x and depth along y, its corners
// rounded to radius round (0 keeps them sharp; at most half the lesser side). Of a
// side not above zero, the empty shape. Is exact.
func Rectangle(width, depth, round float64) Shape {
	if !positive(width, depth) {
		return emptyShape{}
	}
	r := min(width, depth) / 2
	if !(round > 0) {
		r = 0
	} else {
		r = min(r, round)
	}
	return &rectangle{h: r2.Vec{X: width/2 - r, Y: depth/2 - r}, r: r}
}

func (b *rectangle) Distance(p r2.Vec) float64 {
	qx, qy := math.Abs(p.X)-b.h.X, math.Abs(p.Y)-b.h.Y
	if qx <= 0 || qy <= 0 {
		return max(qx, qy) - b.r
	}
	return math.Sqrt(float64(qx*qx)+float64(qy*qy)) - b.r
}

func (b *rectangle) Gradient(p r2.Vec) (float64, r2.Vec) {
	q := r2.Vec{X: math.Abs(p.X) - b.h.X, Y: math.Abs(p.Y) - b.h.Y}
	d := b.Distance(p)
	if q.X <= 0 || q.Y <= 0 {
		if q.X >= q.Y {
			return d, r2.Vec{X: math.Copysign(1, p.X)}
		}
		return d, r2.Vec{Y: math.Copysign(1, p.Y)}
	}
	g := unit2(q, r2.Vec{X: 1})
	return d, r2.Vec{X: math.Copysign(g.X, p.X), Y: math.Copysign(g.Y, p.Y)}
}

func (b *rectangle) Bounds() r2.Box {
	half := r2.Vec{X: b.h.X + b.r, Y: b.h.Y + b.r}
	return r2.Box{Min: r2.Scale(-1, half), Max: half}
}

// pruneDisc gives the one straight side that the disc sees, if it sees only one.
func (b *rectangle) pruneDisc(c r2.Vec, r float64) Shape {
	r += slack
	qx, qy := math.Abs(c.X)-b.h.X, math.Abs(c.Y)-b.h.Y
	switch {
	case math.Abs(c.X) > r && qy < -r && qx-r > qy+r:
		s := math.Copysign(1, c.X)
		return &halfPlane{n: r2.Vec{X: s}, a: r2.Vec{X: s * b.h.X}, less: b.r}
	case math.Abs(c.Y) > r && qx < -r && qy-r > qx+r:
		s := math.Copysign(1, c.Y)
		return &halfPlane{n: r2.Vec{Y: s}, a: r2.Vec{Y: s * b.h.Y}, less: b.r}
	}
	return b
}
