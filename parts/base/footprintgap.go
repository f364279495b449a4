package base

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// abutting is how deep two footprints may share ground and still count as laid
// edge to edge, mm: far below what a print shows, far above rounding.
const abutting = 1e-4

// Overlaps says whether two footprints share ground, by more than about
// abutting.
func (s *Spot) Overlaps(o *Spot) bool {
	least := math.Max(0, s.radius()+o.radius()-abutting)
	return coreGap(s, o, least+abutting, abutting) <= least
}

// Gap is a lower bound on the distance between two footprints in mm, less than
// it by at most 1e-6; it may stop short once it is known to be above enough.
func (s *Spot) Gap(o *Spot, enough float64) float64 {
	grown := s.radius() + o.radius()
	return math.Max(0, coreGap(s, o, enough+grown, 0)-grown)
}

// coreGap is the distance between the cores of two footprints: a lower bound,
// by at most 1e-6 mm, or any lower bound above enough. Shrink draws the cores in
// first. It walks toward the origin in the difference of the two cores: the
// distance algorithm of Gilbert, Johnson and Keerthi (IEEE J. Robotics and
// Automation 4, 1988, from memory), in the plane.
func coreGap(a, b *Spot, enough, shrink float64) float64 {
	const tolerance = 1e-6
	v := r2.Sub(a.At, b.At)
	if r2.Norm(v) == 0 {
		return 0
	}
	var simplex []r2.Vec
	bound := 0.0
	for range 200 {
		length := r2.Norm(v)
		if length <= tolerance {
			return 0
		}
		u := r2.Scale(1/length, v)
		w := r2.Sub(a.farthest(r2.Scale(-1, u), shrink), b.farthest(u, shrink))
		// All of the difference lies on the far side of the line through w.
		if bound = math.Max(bound, r2.Dot(u, w)); bound > enough || length-bound <= tolerance/2 {
			break
		}
		simplex = append(simplex, w)
		if simplex, v = nearestOrigin(simplex); len(simplex) == 3 {
			return 0
		}
	}
	return bound
}

// nearestOrigin gives the point of a point, segment or triangle nearest to the
// origin, and the corners that it lies between; three where the triangle holds
// the origin.
func nearestOrigin(simplex []r2.Vec) ([]r2.Vec, r2.Vec) {
	switch len(simplex) {
	case 1:
		return simplex, simplex[0]
	case 2:
		return nearestOnSegment(simplex[0], simplex[1])
	}
	a, b, c := simplex[0], simplex[1], simplex[2]
	ab, bc, ca := r2.Cross(a, b), r2.Cross(b, c), r2.Cross(c, a)
	if ab > 0 && bc > 0 && ca > 0 || ab < 0 && bc < 0 && ca < 0 {
		return simplex, r2.Vec{}
	}
	best, v := nearestOnSegment(a, c)
	if other, w := nearestOnSegment(b, c); r2.Norm2(w) < r2.Norm2(v) {
		best, v = other, w
	}
	if other, w := nearestOnSegment(a, b); r2.Norm2(w) < r2.Norm2(v) {
		best, v = other, w
	}
	return best, v
}

func nearestOnSegment(a, b r2.Vec) ([]r2.Vec, r2.Vec) {
	e := r2.Sub(b, a)
	l := r2.Norm2(e)
	if l == 0 {
		return []r2.Vec{a}, a
	}
	switch t := -r2.Dot(a, e) / l; {
	case t <= 0:
		return []r2.Vec{a}, a
	case t >= 1:
		return []r2.Vec{b}, b
	default:
		return []r2.Vec{a, b}, r2.Add(a, r2.Scale(t, e))
	}
}
