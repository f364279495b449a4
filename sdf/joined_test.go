package sdf

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// heap is many small parts of several kinds, strewn and turned, enough for a tree.
func heap(n int) []Field {
	r := rand.New(rand.NewPCG(1, 2))
	kinds := []Field{Box(V(4, 3, 2), 0.2), Sphere(2), Cylinder(1.5, 4, 0), Prism(star(3, 3, 2), 0, 2), Cone(2.5, 2, 2)}
	parts := make([]Field, n)
	for i := range parts {
		axis := V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64())
		at := V(60*r.Float64()-30, 40*r.Float64()-20, 4*r.Float64())
		parts[i] = Place(kinds[i%len(kinds)], Turn(axis, 360*r.Float64()).Then(At(at)))
	}
	return parts
}

// TestJoinedFieldsKeepThePromise: boxes, planes, and primitives joined.
func TestJoinedFieldsKeepThePromise(t *testing.T) {
	slab := Box(V(70, 50, 6), 0)
	checkField(t, slab, "box")
	checkField(t, Box(V(10, 6, 4), 1.5), "rounded box")
	checkField(t, BoxBetween(V(1, 2, 3), V(4, 8, 16)), "box between")
	checkField(t, HalfSpace(V(1, -2, 0.5), 3), "half-space")
	checkField(t, Union(heap(8)...), "few parts")
	checkField(t, Union(heap(60)...), "many parts")
	checkField(t, Intersection(slab, Place(Sphere(30), At(V(10, 5, 0)))), "intersection")
	checkField(t, Difference(slab, heap(40)...), "difference")
	checkField(t, Intersection(Union(slab, Union(heap(40)...)), Extrude(EllipseShape(30, 17.5), 0, 4)), "a base cut from a scene")
	checkField(t, Complement(Place(Revolve(vase()), Turn(r3.Vec{X: 1}, 30))), "complement")
}
