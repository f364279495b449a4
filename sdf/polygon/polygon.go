// Package polygon answers what is asked of outlines in the plan, given by their
// corners, of either winding. It imports nothing of socle, so that every package may use
// it.
package polygon

import "gonum.org/v1/gonum/spatial/r2"

// Contains says whether a point lies in a polygon of any shape, by the even-odd rule: a
// ray from inside leaves through an odd number of sides. A point on the outline itself
// may count either way.
func Contains(corners []r2.Vec, p r2.Vec) bool {
	in := false
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < (b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y)+a.X {
			in = !in
		}
	}
	return in
}
