package convex

import "gonum.org/v1/gonum/spatial/r3"

// Boxed is the solid within planes of which it is known that they close, and lie in a
// box: it costs nothing to make.
func Boxed(planes []Plane, box r3.Box) *Polytope {
	return &Polytope{Planes: planes, Box: box}
}
