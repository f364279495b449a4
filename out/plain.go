package out

import (
	"fmt"
	"math"
)

// checkPlain refuses what no file should hold: a coordinate that is not finite,
// an index that leads nowhere, a triangle that names a vertex twice, a vertex
// that lies on another. The last is an error in STL too, where a reader has
// only the coordinates to join triangles by. It does not look for open edges
// or crossings: that is proven before anything is written.
func checkPlain(vertices [][3]float32, triangles [][3]uint32) error {
	if len(triangles) == 0 {
		return fmt.Errorf("no triangles")
	}
	if len(vertices) > math.MaxInt32 || len(triangles) > math.MaxInt32 {
		return fmt.Errorf("%d vertices and %d triangles are more than a file can hold", len(vertices), len(triangles))
	}
	seen := make(map[[3]float32]int32, len(vertices))
	for i, v := range vertices {
		for _, c := range v {
			if f := float64(c); math.IsNaN(f) || math.IsInf(f, 0) {
				return fmt.Errorf("vertex %d has a coordinate that is not finite: %v", i, v)
			}
		}
		if first, twice := seen[v]; twice {
			return fmt.Errorf("vertices %d and %d lie on one another at %v", first, i, v)
		}
		seen[v] = int32(i)
	}
	for i, t := range triangles {
		for _, k := range t {
			if int64(k) >= int64(len(vertices)) {
				return fmt.Errorf("triangle %d names vertex %d of %d", i, k, len(vertices))
			}
		}
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			return fmt.Errorf("triangle %d names a vertex twice: %v", i, t)
		}
	}
	return nil
}

// extentOf gives the box of the vertices.
func extentOf(vertices [][3]float32) (e extent) {
	for k := range 3 {
		e.lo[k], e.hi[k] = math.Inf(1), math.Inf(-1)
	}
	for _, v := range vertices {
		for k, c := range v {
			e.lo[k], e.hi[k] = min(e.lo[k], float64(c)), max(e.hi[k], float64(c))
		}
	}
	return e
}
