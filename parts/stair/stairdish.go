package stair

import (
	"math"

	"socle/sdf"
)

// dish is a hollow trodden into a tread: half its width, its depth at the
// nosing at y, and the length over which it runs out, all mm. It is a lying
// cylinder of the radius that such a chord and depth have.
func dish(half, depth, y, length, top float64) sdf.Field {
	radius := (half*half + depth*depth) / (2 * depth)
	lean := math.Atan2(depth, length) * 180 / math.Pi
	// Its lowest line ends at the origin, then leans down towards the nosing.
	reach := length * 1.3 // a little past the nosing
	tube := sdf.Place(sdf.Cylinder(radius, reach, 0), sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.At(sdf.V(0, 0, radius))))
	return sdf.Place(tube, sdf.Turn(sdf.V(1, 0, 0), lean).Then(sdf.At(sdf.V(0, y+length, top))))
}
