package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// leaf makes the triangles of a leaf: each loop coned to its apex.
func (c *contour) leaf(l *leaf) {
	c.f = c.b.fields[l.field]
	c.trace(l)
	lo := c.t.at(c.b.at, int(l.x), int(l.y), int(l.z))
	length := int32(l.size) * c.t.step
	plain := len(c.loops) > 1 || c.safe[lo]
	start := 0
	for _, end := range c.loops {
		loop := c.loop[start:end]
		start = end
		first := len(c.triangles)
		switch {
		case !plain && c.aroundCorner(loop):
			c.triangles = append(c.triangles, [3]int32{loop[0], loop[1], loop[2]})
		case !plain && c.acrossFour(loop, lo, length):
		case plain:
			c.cone(loop, c.pullInside(c.centroid(loop), lo, length))
		default:
			c.cone(loop, c.apex(loop, lo, length))
		}
		if l.size > 1 && !isPlane(c.f) && c.tooCoarse(loop, first, lo, length) {
			c.unsure = true
		}
	}
}

// cone joins a loop to its apex.
func (c *contour) cone(loop []int32, apex ipoint) {
	a := c.add(apex, inCell, r3.Vec{})
	for i, v := range loop {
		c.triangles = append(c.triangles, [3]int32{v, loop[(i+1)%len(loop)], a})
	}
}

// aroundCorner says whether a loop is three crossings on the three edges at a
// corner of the cell: then it needs no apex.
func (c *contour) aroundCorner(loop []int32) bool {
	if len(loop) != 3 {
		return false
	}
	a, b, d := c.points[loop[0]], c.points[loop[1]], c.points[loop[2]]
	for _, v := range loop {
		if c.kinds[v] != onEdge {
			return false
		}
	}
	for i := range 3 {
		if a[i] == b[i] && b[i] == d[i] {
			return false // all on one face
		}
	}
	return true
}

// flatShare is how far, in sides of the cell, a patch of four crossings may lie off
// its tangent planes and still go without an apex.
const flatShare = 0.01

// acrossFour makes two triangles of a loop that crosses the four parallel edges of
// a cell, where the surface is flat enough: the commonest loop by far. The diagonal
// joins opposite edges, which share no face, so it runs inside the cell, and with
// it both triangles. Of the two diagonals, the one nearer the tangent planes.
func (c *contour) acrossFour(loop []int32, lo ipoint, length int32) bool {
	if len(loop) != 4 {
		return false
	}
	axis := -1
	for _, v := range loop {
		p := c.points[v]
		for i := range 3 {
			if p[i] != lo[i] && p[i] != lo[i]+length {
				if axis >= 0 && axis != i || c.kinds[v] != onEdge {
					return false
				}
				axis = i
			}
		}
	}
	m := c.centroid(loop)
	side := float64(length) * unit
	if c.offPlanes(m, loop) > side*flatShare {
		return false
	}
	a, b, d, e := loop[0], loop[1], loop[2], loop[3]
	off := func(v, w int32) float64 {
		s := r3.Sub(c.points[w].vec(), c.points[v].vec())
		return math.Abs(r3.Dot(c.normals[v], s)) + math.Abs(r3.Dot(c.normals[w], s))
	}
	if off(a, d) <= off(b, e) {
		c.triangles = append(c.triangles, [3]int32{a, b, d}, [3]int32{a, d, e})
	} else {
		c.triangles = append(c.triangles, [3]int32{b, d, e}, [3]int32{b, e, a})
	}
	return true
}

func (c *contour) centroid(loop []int32) r3.Vec {
	var m r3.Vec
	for _, v := range loop {
		m = r3.Add(m, c.points[v].vec())
	}
	return r3.Scale(1/float64(len(loop)), m)
}

// pullInside is the lattice point nearest to p strictly inside a cell.
func (c *contour) pullInside(p r3.Vec, lo ipoint, length int32) ipoint {
	q := lo
	for a, x := range [3]float64{p.X, p.Y, p.Z} {
		q = c.t.within(q, a, int32(math.Round(x*unitsPerMM))-lo[a])
		q[a] = min(max(q[a], lo[a]+insideGap), lo[a]+length-insideGap)
	}
	return q
}

// apex places the apex of a loop: at the corner where three or more creases
// meet, on the chord between two, else on the surface in the middle.
func (c *contour) apex(loop []int32, lo ipoint, length int32) ipoint {
	var m r3.Vec
	creases := 0
	for _, v := range loop {
		if c.kinds[v] == onCrease {
			m = r3.Add(m, c.points[v].vec())
			creases++
		}
	}
	if creases > 1 {
		m = r3.Scale(1/float64(creases), m)
	} else {
		m = c.centroid(loop)
	}
	if isPlane(c.f) {
		return c.pullInside(m, lo, length)
	}
	q := planes{m: m}
	for _, v := range loop {
		if n := c.normals[v]; n != (r3.Vec{}) {
			q.add(c.points[v].vec(), n)
		}
	}
	side := float64(length) * unit
	best := q.solve()
	off := math.Inf(1)
	if isInside(best, lo, length) && (creases > 2 || c.beside(best, loop, side*stray)) {
		off = math.Abs(c.value(c.f, best))
	}
	if off > side/200 {
		// The planes do not tell: step from the middle onto the surface.
		p := m
		for range 2 {
			d, g := c.gradient(c.f, p)
			n := r3.Dot(g, g)
			if n < 1e-4 {
				break
			}
			p = r3.Sub(p, r3.Scale(d/n, g))
		}
		if !isInside(p, lo, length) {
			if math.IsInf(off, 1) {
				c.clamped++
			}
			p = c.pullInside(p, lo, length).vec()
		}
		if d := math.Abs(c.value(c.f, p)); d < off {
			best = p
		}
	}
	return c.pullInside(best, lo, length)
}

// offPlanes is how far p lies off the tangent planes of a loop, at most, mm.
func (c *contour) offPlanes(p r3.Vec, loop []int32) float64 {
	most := 0.0
	for _, v := range loop {
		most = math.Max(most, math.Abs(r3.Dot(c.normals[v], r3.Sub(p, c.points[v].vec()))))
	}
	return most
}

// stray is how far, in sides of the cell, an apex may lie outside the box of its
// loop where fewer than three creases meet: there the planes of a curved or
// rough surface meet anywhere, and a point far off would be a spike.
const stray = 0.1

// beside says whether p lies within margin mm of the box of a loop.
func (c *contour) beside(p r3.Vec, loop []int32, margin float64) bool {
	lo, hi := c.points[loop[0]], c.points[loop[0]]
	for _, v := range loop {
		for i, x := range c.points[v] {
			lo[i], hi[i] = min(lo[i], x), max(hi[i], x)
		}
	}
	a, b := lo.vec(), hi.vec()
	return p.X >= a.X-margin && p.Y >= a.Y-margin && p.Z >= a.Z-margin &&
		p.X <= b.X+margin && p.Y <= b.Y+margin && p.Z <= b.Z+margin
}

func isInside(p r3.Vec, lo ipoint, length int32) bool {
	for i, x := range [3]float64{p.X, p.Y, p.Z} {
		u := x*unitsPerMM - float64(lo[i])
		if !(u >= insideGap && u <= float64(length-insideGap)) {
			return false
		}
	}
	return true
}
