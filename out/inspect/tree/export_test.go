package tree

import "gonum.org/v1/gonum/spatial/r3"

// Pierces asks one triangle where a line goes through it, as Hits does of those that it
// comes near.
func (x *Index) Pierces(from, dir r3.Vec, triangle int) (t float64, out, ok bool) {
	r := x.ray(from, dir)
	return x.pierces(&r, triangle)
}

// NodeCount is how many boxes the tree has.
func (x *Index) NodeCount() int { return len(x.nodes) }
