package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// carried says whether one deck at a level lies under all corners of a region.
func carried(s *Site, level float64, plan []r2.Vec) bool {
	for _, d := range AllOf[*Deck](s) {
		if math.Abs(d.Level.Height-level) > sameHeight {
			continue
		}
		all := true
		for _, p := range plan {
			all = all && d.Area.contains(p)
		}
		if all {
			return true
		}
	}
	return false
}

// bearingUnder is the height that structure standing at a level goes down to:
// let into the structure under the level, below any finish there, or where no
// deck at that level carries all of it, into the ground.
func bearingUnder(s *Site, level float64, plan []r2.Vec) float64 {
	z := StructureUnder(s, level, plan) - embed
	if carried(s, level, plan) {
		return z
	}
	if ground, ok := groundUnder(s, plan); ok {
		z = min(z, ground-embed)
	}
	return z
}
