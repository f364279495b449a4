package mesh

import "gonum.org/v1/gonum/spatial/r3"

// What is level stays level through the reduction: undersides, treads, floors.

// alongRim says, of a vertex on the rim of something level, whether going to
// ring[i] follows the rim and leaves it straight: it must be one of just two edges with
// a level triangle on one side only, and the vertex within the limit of the line from
// there to the other. Else a neighbour that rises by next to nothing, such as the foot of
// a wall, would spread over the level ground as a slope.
func (k *collapser) alongRim(i int) bool {
	n := len(k.ring)
	other := -1
	for j := range n {
		if k.level[j] == k.level[(j+n-1)%n] {
			if j == i {
				return false
			}
			continue
		}
		if j != i {
			if other >= 0 {
				return false
			}
			other = j
		}
	}
	if other < 0 {
		return false
	}
	// How far the origin, the vertex, is off the line through both spokes' ends.
	a, b := k.spokes[i], k.spokes[other]
	d, m := r3.Sub(b, a), r3.Cross(a, b)
	return r3.Dot(m, m) <= k.tolerance*k.tolerance*r3.Dot(d, d) && r3.Dot(a, b) < 0
}

// heightsKept says whether the triangle (v,a,b) is level, and gives the heights that v may
// move to for it to stay so. What is level but for rounding lies on a height that the
// mesher knows and was put on it (octree.within), or does not matter; a sliver on a slope
// is no taller than rounding either.
func (k *collapser) heightsKept(v, a, b int32) (lo, hi int32, level bool) {
	if z := k.points[v][2]; z == k.points[a][2] && z == k.points[b][2] {
		return z, z, true
	}
	return -maxUnits, maxUnits, false
}
