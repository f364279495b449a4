// Package sdf holds signed distance fields: primitives, the ways to join them,
// and the simplification that makes thousands of parts as cheap as a few.
//
// # Promise
//
// Every Field f in this package, for all points p, q and lengths in mm:
//
//  1. Sign: f(p) < 0 inside the solid, f(p) >= 0 outside it and on its surface.
//  2. Never an overestimate: |f(p) - f(q)| <= Lipschitz() * |p - q|, Lipschitz() <= 1.
//     So a ball of radius |f(p)| about p holds no surface.
//  3. Bounds: f(p) >= 0 outside Bounds(), and there f(p) >= Tightness() * dist(p, Bounds()).
//  4. Pruning is exact: Prune(b) gives the same bits as f at every point of the ball b.
//     Two differently pruned copies of one field therefore agree on a shared point,
//     which is what lets the mesher work in blocks.
//  5. Fields are immutable and safe for concurrent use. Every implementation is a
//     pointer (or has no content), so fields can be compared with ==.
//
// What is not promised: that the value is the exact distance. Each constructor
// says in its last sentence whether its field "Is exact" or "Is a lower bound".
//
// # Constructors
//
// Solids: Sphere, Box, BoxBetween, Cylinder, Cone, Capsule, Torus, Prism, Revolve,
// HalfSpace, Nothing.
// Outlines in the plan, a Shape each: Circle, EllipseShape, Rectangle, Stadium,
// Polygon, turned and moved by Moved; raised by Extrude.
// Joined: Union, Intersection, Difference, Complement; changed: Place, Offset, Displace.
package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Field is a signed distance field in millimetres; see the package comment for
// what every implementation promises.
type Field interface {
	// Value gives the signed distance bound at p, in mm.
	Value(p r3.Vec) float64
	// Gradient gives Value(p), to the bit, and the gradient there: away from the
	// medial axis the true derivative, of length at most Lipschitz(). Where it is
	// not unique, one of the candidates, always the same one; never NaN.
	Gradient(p r3.Vec) (d float64, g r3.Vec)
	// Bounds is an axis-aligned box that holds all of the solid; infinite where
	// the solid is.
	Bounds() r3.Box
	// Lipschitz is a constant K <= 1 with |f(p)-f(q)| <= K|p-q|.
	Lipschitz() float64
	// Tightness is a factor t in (0, 1] with f(p) >= t*dist(p, Bounds()) for
	// every p outside Bounds().
	Tightness() float64
	// Prune gives a field that has the same bits as this one everywhere in the
	// ball (its surface included) and is no dearer; it may be the field itself.
	Prune(b Ball) Field
	// Cost is how many primitives one Value call looks at, at most.
	Cost() int
}

// Planar is a field that may be a plain half-space: what a box becomes when
// it is pruned to a ball that sees one face of it only.
type Planar interface {
	Field
	// Plane gives the unit normal n and offset d of the solid n.p <= d; ok is
	// false where the field is not a half-space.
	Plane() (n r3.Vec, d float64, ok bool)
}

// IsFlat says whether the surface of a field is one plane wherever the field may be
// looked at, though its value there need not be the distance.
func IsFlat(f Field) bool {
	switch f := f.(type) {
	case interface{ Flat() bool }:
		return f.Flat()
	case Planar:
		_, _, ok := f.Plane()
		return ok
	}
	return false
}

// Ball is a closed ball: a place to simplify a field for.
type Ball struct {
	C r3.Vec  // centre, mm
	R float64 // radius, mm
}

// BoxBall is the least ball about a box.
func BoxBall(b r3.Box) Ball {
	c := r3.Scale(0.5, r3.Add(b.Min, b.Max))
	return Ball{C: c, R: r3.Norm(r3.Sub(b.Max, c))}
}

// slack widens every pruning decision by more than the rounding error of the
// values it compares (scenes are well under 10 m, so a value's error is well
// under 1e-9 mm); it can only keep a part that could have been dropped.
const slack = 1e-9

// V is shorthand for a vector.
func V(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

// dot is the dot product with each product rounded: the explicit conversions
// forbid fusing, so that every architecture computes the same bits.
func dot(a, b r3.Vec) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

// norm is the length of v, without the scaling that math.Hypot pays for.
func norm(v r3.Vec) float64 { return math.Sqrt(dot(v, v)) }

// unit is v at length one, or the fallback where v has no direction.
func unit(v, fallback r3.Vec) r3.Vec {
	n := norm(v)
	if n < 1e-300 {
		return fallback
	}
	return r3.Vec{X: v.X / n, Y: v.Y / n, Z: v.Z / n}
}

// everywhere is the bounds of a field without limits.
var everywhere = r3.Box{
	Min: r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)},
	Max: r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)},
}

// BoxDistance is the distance from p to b; 0 inside. Is exact.
func BoxDistance(p r3.Vec, b r3.Box) float64 {
	dx := max(max(b.Min.X-p.X, p.X-b.Max.X), 0)
	dy := max(max(b.Min.Y-p.Y, p.Y-b.Max.Y), 0)
	dz := max(max(b.Min.Z-p.Z, p.Z-b.Max.Z), 0)
	return math.Sqrt(float64(dx*dx) + float64(dy*dy) + float64(dz*dz))
}

// boxUnion is the least box about two boxes.
func boxUnion(a, b r3.Box) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y), Z: min(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y), Z: max(a.Max.Z, b.Max.Z)},
	}
}

// boxIntersection is what two boxes share; where they share nothing, an empty
// box (a point of the first) with Min = Max.
func boxIntersection(a, b r3.Box) r3.Box {
	lo := r3.Vec{X: max(a.Min.X, b.Min.X), Y: max(a.Min.Y, b.Min.Y), Z: max(a.Min.Z, b.Min.Z)}
	hi := r3.Vec{X: min(a.Max.X, b.Max.X), Y: min(a.Max.Y, b.Max.Y), Z: min(a.Max.Z, b.Max.Z)}
	if lo.X > hi.X || lo.Y > hi.Y || lo.Z > hi.Z {
		return r3.Box{Min: a.Min, Max: a.Min}
	}
	return r3.Box{Min: lo, Max: hi}
}

// boxGrow widens a box by d on every side.
func boxGrow(b r3.Box, d float64) r3.Box {
	return r3.Box{Min: r3.Sub(b.Min, V(d, d, d)), Max: r3.Add(b.Max, V(d, d, d))}
}
