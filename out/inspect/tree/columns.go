package tree

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Level is where an upright line goes through the surface.
type Level struct {
	Z        float64 // mm
	triangle int
	Top      bool // solid below it and empty above; else the other way round
}

// Extent gives the box of the mesh.
func (x *Index) Extent() (lo, hi [3]float64) { return wide(x.nodes[0].box[0]), wide(x.nodes[0].box[1]) }

// Levels gives the levels of the upright line through p, the lowest first.
func (x *Index) Levels(p r2.Vec) []Level {
	lo, hi := x.Extent()
	crossings := x.Hits(r3.Vec{X: p.X, Y: p.Y, Z: lo[2] - 1}, r3.Vec{Z: 1}, hi[2]-lo[2]+2)
	found := make([]Level, len(crossings))
	for i, c := range crossings {
		found[i] = Level{Z: lo[2] - 1 + c.T, triangle: c.Triangle, Top: c.Out}
	}
	return found
}

// InBox gives the triangles whose boxes meet a box.
func (x *Index) InBox(lo, hi [3]float64) []int {
	var found []int
	var stack [deepest]uint32
	for top := 1; top > 0; {
		top--
		at := stack[top]
		n := &x.nodes[at]
		if !meet(wide(n.box[0]), wide(n.box[1]), lo, hi) {
			continue
		}
		if n.count == 0 {
			stack[top], stack[top+1] = n.at, at+1
			top += 2
			continue
		}
		for _, i := range x.Order[n.at : n.at+n.count] {
			a, b, c := x.Corners(int(i))
			box := NoBox()
			for _, v := range [3]r3.Vec{a, b, c} {
				p := [3]float64{v.X, v.Y, v.Z}
				box.Add(p, p)
			}
			if meet(box.Lo, box.Hi, lo, hi) {
				found = append(found, int(i))
			}
		}
	}
	return found
}

// meet tells whether two boxes meet.
func meet(lo, hi, low, high [3]float64) bool {
	for c := range 3 {
		if lo[c] > high[c] || low[c] > hi[c] {
			return false
		}
	}
	return true
}

// IsFinite tells whether a point is.
func IsFinite(p r2.Vec) bool { return !math.IsNaN(p.X-p.X) && !math.IsNaN(p.Y-p.Y) }

// Spread gives points of a disc no further apart than pitch: a square grid with
// one point on the middle, and a ring on the edge.
func Spread(at r2.Vec, radius, pitch float64) []r2.Vec {
	var points []r2.Vec
	n := int(radius / pitch)
	for j := -n; j <= n; j++ {
		for i := -n; i <= n; i++ {
			if p := (r2.Vec{X: float64(i) * pitch, Y: float64(j) * pitch}); r2.Norm(p) <= radius {
				points = append(points, r2.Add(at, p))
			}
		}
	}
	around := int(math.Ceil(2 * math.Pi * radius / pitch))
	for i := range around {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(around))
		points = append(points, r2.Add(at, r2.Vec{X: radius * cos, Y: radius * sin}))
	}
	return points
}

// Across gives two directions square to another and to each other.
func Across(d r3.Vec) (e, f r3.Vec) {
	e = r3.Vec{X: 1}
	if math.Abs(d.X) > 0.6 {
		e = r3.Vec{Y: 1}
	}
	e = r3.Unit(r3.Cross(d, e))
	return e, r3.Cross(d, e)
}
