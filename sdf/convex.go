package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// convex is what a few half-spaces share: one primitive for rubble and cut stones.
type convex struct {
	normals   []r3.Vec
	offsets   []float64
	bounds    r3.Box
	tightness float64
}

// Convex is the solid of the points p with normals[i].p <= offsets[i] for
// every i; normals are made unit vectors, offsets are in mm along them. Planes
// that share nothing give Nothing; planes that leave it open on some side give an
// infinite box there. Is a lower bound outside, exact inside.
func Convex(normals []r3.Vec, offsets []float64) Field {
	c := &convex{offsets: offsets, bounds: everywhere}
	for _, n := range normals {
		c.normals = append(c.normals, unit(n, V(0, 0, 1)))
	}
	box, middle, any := c.corners()
	if !any {
		return Intersection(c.halfSpaces()...)
	}
	for _, axis := range [3]r3.Vec{V(1, 0, 0), V(0, 1, 0), V(0, 0, 1)} {
		if !c.closed(axis) || !c.closed(r3.Scale(-1, axis)) {
			return Intersection(c.halfSpaces()...)
		}
	}
	c.bounds = box
	// The value is a convex function, -m in the middle and not negative on the
	// box's surface, so beyond the box it rises by at least m over the distance from the
	// middle to the surface, which is at most that to the furthest corner.
	reach := norm(V(
		math.Max(box.Max.X-middle.X, middle.X-box.Min.X),
		math.Max(box.Max.Y-middle.Y, middle.Y-box.Min.Y),
		math.Max(box.Max.Z-middle.Z, middle.Z-box.Min.Z)))
	c.tightness = -c.Value(middle) / reach
	if !(c.tightness > 1e-9) {
		return Nothing() // no volume
	}
	return c
}

func (c *convex) halfSpaces() []Field {
	var out []Field
	for i, n := range c.normals {
		out = append(out, HalfSpace(n, c.offsets[i]))
	}
	return out
}

// corners finds the box and the mean of the solid's corners: all points where
// three planes meet and no other plane cuts them off.
func (c *convex) corners() (box r3.Box, middle r3.Vec, any bool) {
	n := 0.0
	for i := range c.normals {
		for j := range i {
			for k := range j {
				p, ok := c.meet(i, j, k)
				if !ok || c.Value(p) > 1e-7 {
					continue
				}
				if !any {
					box, any = r3.Box{Min: p, Max: p}, true
				}
				box = boxUnion(box, r3.Box{Min: p, Max: p})
				middle = r3.Add(middle, p)
				n++
			}
		}
	}
	return boxGrow(box, 1e-6), r3.Scale(1/math.Max(n, 1), middle), any
}

// meet solves for the point of three planes (Cramer).
func (c *convex) meet(i, j, k int) (r3.Vec, bool) {
	a, b, d := c.normals[i], c.normals[j], c.normals[k]
	det := r3.Dot(a, r3.Cross(b, d))
	if math.Abs(det) < 1e-9 {
		return r3.Vec{}, false
	}
	p := r3.Scale(c.offsets[i], r3.Cross(b, d))
	p = r3.Add(p, r3.Scale(c.offsets[j], r3.Cross(d, a)))
	p = r3.Add(p, r3.Scale(c.offsets[k], r3.Cross(a, b)))
	return r3.Scale(1/det, p), true
}

// closed says whether the solid ends in a direction: whether the direction is a
// sum of the normals with weights that are not negative. Up to three normals do
// (Caratheodory).
func (c *convex) closed(v r3.Vec) bool {
	for i, a := range c.normals {
		if r3.Dot(a, v) > 1-1e-12 {
			return true
		}
		for j, b := range c.normals[:i] {
			if n := r3.Cross(a, b); math.Abs(r3.Dot(n, v)) < 1e-12*r3.Norm(n) {
				if r3.Dot(r3.Cross(a, v), n) >= -1e-12 && r3.Dot(r3.Cross(v, b), n) >= -1e-12 && r3.Norm(n) > 1e-9 {
					return true
				}
			}
			for _, d := range c.normals[:j] {
				det := r3.Dot(a, r3.Cross(b, d))
				if math.Abs(det) < 1e-9 {
					continue
				}
				x, y, z := r3.Dot(v, r3.Cross(b, d))/det, r3.Dot(v, r3.Cross(d, a))/det, r3.Dot(v, r3.Cross(a, b))/det
				if x >= -1e-12 && y >= -1e-12 && z >= -1e-12 {
					return true
				}
			}
		}
	}
	return false
}

func (c *convex) Value(p r3.Vec) float64 {
	d := math.Inf(-1)
	for i, n := range c.normals {
		if v := dot(n, p) - c.offsets[i]; v > d {
			d = v
		}
	}
	return d
}

func (c *convex) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, at := math.Inf(-1), 0
	for i, n := range c.normals {
		if v := dot(n, p) - c.offsets[i]; v > d {
			d, at = v, i
		}
	}
	return d, c.normals[at]
}

func (c *convex) Bounds() r3.Box     { return c.bounds }
func (c *convex) Lipschitz() float64 { return 1 }

func (c *convex) Tightness() float64 { return c.tightness }
func (c *convex) Cost() int          { return 1 }

// Prune keeps the planes that can be the greatest in the ball.
func (c *convex) Prune(b Ball) Field {
	d := c.Value(b.C)
	var near []int
	for i, n := range c.normals {
		if dot(n, b.C)-c.offsets[i] >= d-2*b.R-slack {
			near = append(near, i)
		}
	}
	if len(near) == len(c.normals) {
		return c
	}
	if len(near) == 1 {
		return &halfSpace{c.normals[near[0]], c.offsets[near[0]]}
	}
	out := &convex{bounds: c.bounds, tightness: c.tightness}
	for _, i := range near {
		out.normals = append(out.normals, c.normals[i])
		out.offsets = append(out.offsets, c.offsets[i])
	}
	return out
}
