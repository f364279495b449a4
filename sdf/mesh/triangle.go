package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// distance2 is the squared distance from p to the triangle (a,b,c); Ericson,
// Real-Time Collision Detection, 5.1.5.
func distance2(p, a, b, c r3.Vec) float64 {
	ab, ac, ap := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(p, a)
	d1, d2 := r3.Dot(ab, ap), r3.Dot(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return r3.Dot(ap, ap)
	}
	bp := r3.Sub(p, b)
	d3, d4 := r3.Dot(ab, bp), r3.Dot(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return r3.Dot(bp, bp)
	}
	if vc := d1*d4 - d3*d2; vc <= 0 && d1 >= 0 && d3 <= 0 {
		return awayFrom(ap, ab, d1/(d1-d3))
	}
	cp := r3.Sub(p, c)
	d5, d6 := r3.Dot(ab, cp), r3.Dot(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return r3.Dot(cp, cp)
	}
	if vb := d5*d2 - d1*d6; vb <= 0 && d2 >= 0 && d6 <= 0 {
		return awayFrom(ap, ac, d2/(d2-d6))
	}
	if va := d3*d6 - d5*d4; va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return awayFrom(bp, r3.Sub(c, b), (d4-d3)/((d4-d3)+(d5-d6)))
	}
	n := r3.Cross(ab, ac)
	h := r3.Dot(n, ap)
	return h * h / r3.Dot(n, n)
}

// awayFrom is the squared length of p - t*d.
func awayFrom(p, d r3.Vec, t float64) float64 {
	q := r3.Sub(p, r3.Scale(t, d))
	return r3.Dot(q, q)
}

// segmentDistance2 is the squared distance from p to the segment ab.
func segmentDistance2(p, a, b r3.Vec) float64 {
	d, ap := r3.Sub(b, a), r3.Sub(p, a)
	n := r3.Dot(d, d)
	if n == 0 {
		return r3.Dot(ap, ap)
	}
	return awayFrom(ap, d, min(max(r3.Dot(ap, d)/n, 0), 1))
}

// facet is a triangle made ready for many questions of distance.
type facet struct {
	corner [3]r3.Vec
	normal r3.Vec    // unit
	inward [3]r3.Vec // in the plane, square to the side from each corner to the next; unit
	ready  bool      // inward is made
}

// isNear says whether p is within limit of the triangle.
func (f *facet) isNear(p r3.Vec, limit float64) bool {
	if math.Abs(r3.Dot(f.normal, r3.Sub(p, f.corner[0]))) > limit {
		return false
	}
	if !f.ready {
		f.makeReady()
	}
	d0 := r3.Dot(f.inward[0], r3.Sub(p, f.corner[0]))
	d1 := r3.Dot(f.inward[1], r3.Sub(p, f.corner[1]))
	d2 := r3.Dot(f.inward[2], r3.Sub(p, f.corner[2]))
	if d0 >= 0 && d1 >= 0 && d2 >= 0 {
		return true
	}
	if d0 < -limit || d1 < -limit || d2 < -limit {
		return false
	}
	return distance2(p, f.corner[0], f.corner[1], f.corner[2]) <= limit*limit
}

func (f *facet) makeReady() {
	for i := range f.inward {
		m := r3.Cross(f.normal, r3.Sub(f.corner[(i+1)%3], f.corner[i]))
		l := 1 / math.Sqrt(r3.Dot(m, m))
		f.inward[i] = r3.Scale(l, m)
	}
	f.ready = true
}
