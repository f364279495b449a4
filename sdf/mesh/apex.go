package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/quadric"
)

// leaf makes the triangles of a leaf: each loop fanned from a vertex of its own, or
// coned to an apex.
func (c *contour) leaf(l *leaf) {
	c.f = c.t.fieldOf(c.b, l)
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
		case !plain && c.fan(loop, lo, length):
		case plain:
			c.cone(loop, c.pullInside(c.centroid(loop), lo, length))
		default:
			c.cone(loop, c.apex(loop, lo, length))
		}
		if l.size > 1 && !sdf.IsFlat(c.f) && c.tooCoarse(loop, first, lo, length) {
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

// flatEigenvalue is the share of the greatest eigenvalue below which a
// direction counts as undetermined. Too small, and the noise of a gently
// curved surface throws the point far along it; too great, and corners of a
// shallow dihedral are rounded. 0.01 keeps creases of 12 degrees and more;
// shallower ones are kept by the bends on the faces, where the search starts.
const flatEigenvalue = 0.01

// flatShare is how far, in sides of the cell, a vertex of a loop may lie off the
// tangent planes of the loop and still do as its apex.
const flatShare = 0.01

// fan joins a loop to one of its own vertices, where one lies on all of its tangent
// planes: any, where the surface is flat; the end of a crease, where a straight one
// goes through. That saves two triangles and a vertex.
//
// It cannot cross itself: a ray from a point of a convex cell's surface through its
// inside meets the surface just once more, so all of the loop that is not on the faces
// of that point is seen from it, and no two parts of it in one direction. On its faces
// there may be its two neighbours only.
func (c *contour) fan(loop []int32, lo ipoint, length int32) bool {
	creases := 0
	for _, v := range loop {
		if c.kinds[v] == onCrease {
			creases++
		}
	}
	if creases == 1 {
		return false // a crease that ends within: an apex follows it to there
	}
	best, least := -1, float64(length)*unit*flatShare
	for i, v := range loop {
		if c.kinds[v] == onFace || (c.kinds[v] == onCrease) != (creases > 0) || !c.seesAll(loop, i, lo, length) {
			continue
		}
		if d := c.offPlanes(c.points[v].vec(), loop); d <= least {
			best, least = i, d
		}
	}
	if best < 0 {
		return false
	}
	n := len(loop)
	for i := 1; i < n-1; i++ {
		c.triangles = append(c.triangles, [3]int32{loop[best], loop[(best+i)%n], loop[(best+i+1)%n]})
	}
	return true
}

// seesAll says whether of all of a loop only the two neighbours of loop[at] are on a face
// of the cell together with it. (In a loop of three, the third is a neighbour; the
// three must not all be on one face.)
func (c *contour) seesAll(loop []int32, at int, lo ipoint, length int32) bool {
	p := c.points[loop[at]]
	n := len(loop)
	for a := range 3 {
		if p[a] != lo[a] && p[a] != lo[a]+length {
			continue
		}
		on := 0
		for i, v := range loop {
			if c.points[v][a] != p[a] {
				continue
			}
			on++
			if i != at && i != (at+1)%n && (i+1)%n != at {
				return false
			}
		}
		if on == n {
			return false
		}
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
	q, to := lo, known(length)
	if sdf.IsFlat(c.f) {
		to = 0
	}
	for a, x := range [3]float64{p.X, p.Y, p.Z} {
		q = c.t.within(q, a, int32(math.Round(x*unitsPerMM))-lo[a], to)
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
	if sdf.IsFlat(c.f) {
		return c.pullInside(m, lo, length)
	}
	var q quadric.Quadric
	for _, v := range loop {
		if n := c.normals[v]; n != (r3.Vec{}) {
			q.Plane(r3.Sub(c.points[v].vec(), m), n, 1)
		}
	}
	side := float64(length) * unit
	best := q.LeastFrom(m, flatEigenvalue)
	off := math.Inf(1) // the field at the best, so far
	if isInside(best, lo, length) && (creases > 1 || c.beside(best, loop, side*stray)) {
		off = c.value(c.f, best)
	}
	if math.Abs(off) > side/knownTo {
		onTwo, level, ok := c.onTwoPlanes(loop, lo, length)
		ok = ok && math.Abs(c.value(c.f, onTwo)) <= side/knownTo
		// Between two creases of a round rim the middle of the chord is on the level plane
		// too, and halves what facets cut off.
		if onRim := creases > 1 && math.Abs(c.value(c.f, m)) <= side/knownTo; ok && level && !onRim {
			return c.pullInside(onTwo, lo, length)
		}
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
		if d := c.value(c.f, p); math.Abs(d) < math.Abs(off) {
			best, off = p, d
		}
		switch {
		case ok && math.Abs(off) > side*proud:
			best = onTwo
		case off > side*proud && c.value(c.f, m) < off:
			best = m // none is on the surface: rather a dent than a spike
		}
	}
	return c.pullInside(best, lo, length)
}

// onTwoPlanes gives the place for an apex whose planes meet outside the cell: a point of
// the cell in which two of them meet, that is nearest to the others. Where one is level,
// it is one of the two, so that a foot or a tread stays level up to its rim.
func (c *contour) onTwoPlanes(loop []int32, lo ipoint, length int32) (best r3.Vec, isLevel, ok bool) {
	least := math.Inf(1)
	inset := r3.Add(lo.vec(), sdf.V(insideGap*unit, insideGap*unit, insideGap*unit))
	side := float64(length-2*insideGap) * unit
	facets, n := c.facets(loop)
	level := slices.IndexFunc(facets[:n], func(v int32) bool { return math.Abs(c.normals[v].Z) == 1 })
	for i, w := range facets[:n] {
		if level >= 0 && i != level {
			continue
		}
		for _, v := range loop {
			if c.normals[v] == (r3.Vec{}) {
				continue
			}
			p, along, ok := c.meeting(v, w)
			if !ok {
				continue
			}
			from, to := clip(r3.Sub(p, inset), along, side)
			if from >= to {
				continue
			}
			x := r3.Add(p, r3.Scale(min(max(0, from), to), along))
			if d := c.offPlanes(x, loop); d < least {
				best, least = x, d
			}
		}
	}
	return best, level >= 0, !math.IsInf(least, 1)
}

// proud is how far out of the solid, in sides of the cell, an apex may lie that is the
// best there is.
const proud = 0.01

// offPlanes is how far p lies off the tangent planes of a loop, at most, mm.
func (c *contour) offPlanes(p r3.Vec, loop []int32) float64 {
	most := 0.0
	for _, v := range loop {
		most = max(most, math.Abs(r3.Dot(c.normals[v], r3.Sub(p, c.points[v].vec()))))
	}
	return most
}

// stray is how far, in sides of the cell, an apex may lie outside the box of its
// loop where no two creases meet: there the planes of a curved or
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
