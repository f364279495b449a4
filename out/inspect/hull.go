package inspect

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// hull gives the convex hull of points, counter-clockwise, without points on its
// sides: Andrew's monotone chain (Another efficient algorithm for convex hulls in
// two dimensions, Information Processing Letters 9(5), 1979).
func hull(points []r2.Vec) []r2.Vec {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, func(a, b r2.Vec) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	sorted = slices.Compact(sorted)
	if len(sorted) < 3 {
		return sorted
	}
	var chain []r2.Vec
	add := func(p r2.Vec, least int) {
		for len(chain) >= least+2 {
			a, b := chain[len(chain)-2], chain[len(chain)-1]
			if r2.Cross(r2.Sub(b, a), r2.Sub(p, b)) > 0 {
				break
			}
			chain = chain[:len(chain)-1]
		}
		chain = append(chain, p)
	}
	for _, p := range sorted {
		add(p, 0)
	}
	lower := len(chain) - 1
	for i := len(sorted) - 2; i >= 0; i-- {
		add(sorted[i], lower)
	}
	return chain[:len(chain)-1]
}

// widthAlong gives how wide points lie along a direction of unit length.
func widthAlong(points []r2.Vec, dir r2.Vec) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range points {
		d := r2.Dot(p, dir)
		low, high = min(low, d), max(high, d)
	}
	return high - low
}

// areaOf gives the area of a polygon, counter-clockwise.
func areaOf(polygon []r2.Vec) (area float64) {
	for i, p := range polygon {
		area += r2.Cross(p, polygon[(i+1)%len(polygon)]) / 2
	}
	return area
}

// planHull gives the convex hull of the vertices that triangles use and that are
// no higher than so much, seen from above.
func planHull(vertices [][3]float32, triangles [][3]uint32, highest float64) []r2.Vec {
	used := make([]bool, len(vertices))
	for _, t := range triangles {
		used[t[0]], used[t[1]], used[t[2]] = true, true, true
	}
	// Most vertices lie inside those that reach furthest in a few directions.
	var points []r2.Vec
	for i, v := range vertices {
		if used[i] && float64(v[2]) <= highest {
			points = append(points, r2.Vec{X: float64(v[0]), Y: float64(v[1])})
		}
	}
	return hull(outermost(points))
}

// outermost leaves out points that lie well inside the others.
func outermost(points []r2.Vec) []r2.Vec {
	if len(points) == 0 {
		return nil
	}
	const around = 32
	var far []r2.Vec
	for n := range around {
		sin, cos := math.Sincos(2 * math.Pi * float64(n) / around)
		best := points[0]
		for _, p := range points {
			if p.X*cos+p.Y*sin > best.X*cos+best.Y*sin {
				best = p
			}
		}
		far = append(far, best)
	}
	core := hull(far)
	if len(core) < 3 {
		return points
	}
	return slices.DeleteFunc(points, func(p r2.Vec) bool {
		for i, a := range core {
			if r2.Cross(r2.Sub(core[(i+1)%len(core)], a), r2.Sub(p, a)) <= 0 {
				return false
			}
		}
		return true
	})
}
