package mesh

import "math/bits"

// Exact predicates on lattice points. Nothing here rounds.

// orientation is the sign of the volume of the tetrahedron (a,b,c,d): positive
// where d is on the side from which a, b, c run counter-clockwise.
//
//	sign det [ b-a, c-a, d-a ]
func orientation(a, b, c, d *ipoint) int {
	e, f, g := diff(b, a), diff(c, a), diff(d, a)
	// Each of the six products is below m^3; their sum stays below 2^63 for m = 2^20,
	// as 6 * 2^60 < 2^63.
	if (spread(e)|spread(f)|spread(g))>>20 == 0 {
		return sign(e.x*(f.y*g.z-f.z*g.y) - e.y*(f.x*g.z-f.z*g.x) + e.z*(f.x*g.y-f.y*g.x))
	}
	return wideOrientation(e, f, g)
}

// ivec is a difference of lattice points, or a product of such.
type ivec struct{ x, y, z int64 }

func diff(a, b *ipoint) ivec {
	return ivec{int64(a[0]) - int64(b[0]), int64(a[1]) - int64(b[1]), int64(a[2]) - int64(b[2])}
}

// spread has no more bits than the greatest of the coordinates, all of which are taken
// as positive.
func spread(v ivec) int64 { return magnitude(v.x) | magnitude(v.y) | magnitude(v.z) }

// magnitude is |x|, or one less where x is negative.
func magnitude(x int64) int64 { return x ^ x>>63 }

func sign(x int64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// wideOrientation is orientation in 128 bits: coordinates are at most 2^23, so
// differences are at most 2^24, the 2x2 minors 2^49 and the sum below 2^75.
func wideOrientation(e, f, g ivec) int {
	var s wide
	s.addProduct(e.x, f.y*g.z-f.z*g.y)
	s.addProduct(-e.y, f.x*g.z-f.z*g.x)
	s.addProduct(e.z, f.x*g.y-f.y*g.x)
	return s.sign()
}

// wide is a 128-bit signed integer.
type wide struct {
	hi int64
	lo uint64
}

func (w *wide) addProduct(a, b int64) {
	negative := (a < 0) != (b < 0)
	hi, lo := bits.Mul64(uint64(max(a, -a)), uint64(max(b, -b)))
	if negative {
		var borrow uint64
		lo, borrow = bits.Sub64(0, lo, 0)
		hi, _ = bits.Sub64(0, hi, borrow)
	}
	var carry uint64
	w.lo, carry = bits.Add64(w.lo, lo, 0)
	h, _ := bits.Add64(uint64(w.hi), hi, carry)
	w.hi = int64(h)
}

// addDeterminant adds the determinant of three points, six times the volume of their
// tetrahedron with the origin: minors are at most 2^47, so that the products of 2^24
// triangles sum to less than 2^97.
func (w *wide) addDeterminant(a, b, c *ipoint) {
	x, y, z := int64(b[0]), int64(b[1]), int64(b[2])
	u, v, s := int64(c[0]), int64(c[1]), int64(c[2])
	w.addProduct(int64(a[0]), y*s-z*v)
	w.addProduct(int64(a[1]), z*u-x*s)
	w.addProduct(int64(a[2]), x*v-y*u)
}

func (w *wide) float64() float64 { return float64(w.hi)*(1<<64) + float64(w.lo) }

func (w *wide) sign() int {
	switch {
	case w.hi < 0:
		return -1
	case w.hi > 0 || w.lo > 0:
		return 1
	}
	return 0
}

// orientation2 is the sign of the area of the triangle (a,b,c) in the plane
// left when one axis is dropped. Products are at most 2^48.
func orientation2(a, b, c *ipoint, drop int) int {
	i, j := (drop+1)%3, (drop+2)%3
	return sign((int64(b[i])-int64(a[i]))*(int64(c[j])-int64(a[j])) - (int64(b[j])-int64(a[j]))*(int64(c[i])-int64(a[i])))
}

// normalOf is the normal of a triangle, exactly: coordinates are at most 2^49.
func normalOf(a, b, c *ipoint) ivec {
	u, v := diff(b, a), diff(c, a)
	return ivec{u.y*v.z - u.z*v.y, u.z*v.x - u.x*v.z, u.x*v.y - u.y*v.x}
}

// mainAxis is the axis along which a normal is greatest: the one to drop. ok is
// false for a triangle without area.
func mainAxis(n ivec) (axis int, ok bool) {
	x, y, z := max(n.x, -n.x), max(n.y, -n.y), max(n.z, -n.z)
	switch {
	case y > x && y >= z:
		return 1, true
	case z > x:
		return 2, true
	}
	return 0, x != 0
}

// besideLine is orientation2 seen along z, of p moved by next to nothing along y and by
// far less still along x, so that it lies on no line whose ends differ in the plan:
// triangles that have a side in common agree which of them it falls to. (Simulation of
// simplicity: Edelsbrunner, Mücke 1990.)
func besideLine(a, b, p *ipoint) int {
	if s := orientation2(a, b, p, 2); s != 0 {
		return s
	}
	if s := sign(int64(b[0]) - int64(a[0])); s != 0 {
		return s
	}
	return sign(int64(a[1]) - int64(b[1]))
}

// isOver says whether the line from p straight up passes through the triangle (a,b,c),
// p moved as besideLine has it. p must not lie on the triangle.
func isOver(a, b, c, p *ipoint) bool {
	turn := orientation2(a, b, c, 2)
	return turn != 0 && besideLine(a, b, p) == turn && besideLine(b, c, p) == turn && besideLine(c, a, p) == turn &&
		orientation(a, b, c, p) == -turn
}

// onSegment2 says whether p, known to be on the line of a and b, lies between
// them, in the plane left when an axis is dropped.
func onSegment2(a, b, p *ipoint, drop int) bool {
	for k := 1; k <= 2; k++ {
		i := (drop + k) % 3
		if p[i] < min(a[i], b[i]) || p[i] > max(a[i], b[i]) {
			return false
		}
	}
	return true
}

// segmentsMeet2 says whether two closed segments share a point in the plane.
func segmentsMeet2(a, b, c, d *ipoint, drop int) bool {
	s1, s2 := orientation2(a, b, c, drop), orientation2(a, b, d, drop)
	s3, s4 := orientation2(c, d, a, drop), orientation2(c, d, b, drop)
	if s1*s2 < 0 && s3*s4 < 0 {
		return true
	}
	return s1 == 0 && onSegment2(a, b, c, drop) || s2 == 0 && onSegment2(a, b, d, drop) ||
		s3 == 0 && onSegment2(c, d, a, drop) || s4 == 0 && onSegment2(c, d, b, drop)
}

// inTriangle2 says whether p is in the closed triangle (a,b,c) in the plane.
func inTriangle2(a, b, c, p *ipoint, drop int) bool {
	s1, s2, s3 := orientation2(a, b, p, drop), orientation2(b, c, p, drop), orientation2(c, a, p, drop)
	return s1 >= 0 && s2 >= 0 && s3 >= 0 || s1 <= 0 && s2 <= 0 && s3 <= 0
}

// segmentMeetsTriangle says whether the closed segment pq shares a point with
// the closed triangle t, which has an area.
func segmentMeetsTriangle(p, q *ipoint, t *[3]ipoint) bool {
	sp, sq := orientation(&t[0], &t[1], &t[2], p), orientation(&t[0], &t[1], &t[2], q)
	if sp*sq > 0 {
		return false
	}
	if sp == 0 && sq == 0 {
		drop, _ := mainAxis(normalOf(&t[0], &t[1], &t[2]))
		return inTriangle2(&t[0], &t[1], &t[2], p, drop) || inTriangle2(&t[0], &t[1], &t[2], q, drop) ||
			segmentsMeet2(p, q, &t[0], &t[1], drop) || segmentsMeet2(p, q, &t[1], &t[2], drop) ||
			segmentsMeet2(p, q, &t[2], &t[0], drop)
	}
	s1, s2, s3 := orientation(p, q, &t[0], &t[1]), orientation(p, q, &t[1], &t[2]), orientation(p, q, &t[2], &t[0])
	return s1 >= 0 && s2 >= 0 && s3 >= 0 || s1 <= 0 && s2 <= 0 && s3 <= 0
}

// improper says whether two triangles, each with an area, share a point that
// they ought not to: any point where they have no vertex in common, any
// beyond the common vertex or edge where they have.
func improper(t, u *[3]ipoint, ti, ui *[3]int32) bool {
	var shared [3][2]int // indices into t and u
	n := 0
	for i, a := range ti {
		for j, b := range ui {
			if a == b {
				shared[n] = [2]int{i, j}
				n++
			}
		}
	}
	switch n {
	case 0:
		return meetDisjoint(t, u)
	case 1:
		// Both are stars about the common vertex: if they share another point,
		// then the far side of one of them meets the other.
		i, j := shared[0][0], shared[0][1]
		if isBeside(t, u, j) || isBeside(u, t, i) {
			return false
		}
		return segmentMeetsTriangle(&t[(i+1)%3], &t[(i+2)%3], u) || segmentMeetsTriangle(&u[(j+1)%3], &u[(j+2)%3], t)
	case 2:
		// They share more than the edge only if they lie in one plane, on one side.
		i := 3 - shared[0][0] - shared[1][0]
		j := 3 - shared[0][1] - shared[1][1]
		if orientation(&t[0], &t[1], &t[2], &u[j]) != 0 {
			return false
		}
		drop, _ := mainAxis(normalOf(&t[0], &t[1], &t[2]))
		a, b := &t[shared[0][0]], &t[shared[1][0]]
		return orientation2(a, b, &t[i], drop)*orientation2(a, b, &u[j], drop) > 0
	}
	return true
}

// isBeside says whether u, which has the corner j in common with t, is strictly on one side
// of t's plane but for that corner.
func isBeside(t, u *[3]ipoint, j int) bool {
	a := orientation(&t[0], &t[1], &t[2], &u[(j+1)%3])
	return a != 0 && a == orientation(&t[0], &t[1], &t[2], &u[(j+2)%3])
}

// isApart says whether u is strictly on one side of t's plane.
func isApart(t, u *[3]ipoint) bool {
	a := orientation(&t[0], &t[1], &t[2], &u[0])
	return a != 0 && a == orientation(&t[0], &t[1], &t[2], &u[1]) && a == orientation(&t[0], &t[1], &t[2], &u[2])
}

func meetDisjoint(t, u *[3]ipoint) bool {
	if isApart(t, u) || isApart(u, t) {
		return false
	}
	for i := range 3 {
		if segmentMeetsTriangle(&u[i], &u[(i+1)%3], t) || segmentMeetsTriangle(&t[i], &t[(i+1)%3], u) {
			return true
		}
	}
	// No edge of one meets the other: in one plane, one could still hold the
	// other, but then its edges would meet the closed triangle; so they do not.
	return false
}
