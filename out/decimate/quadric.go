package decimate

import "math"

// quadric is the sum of squared distances from planes, each times a weight:
// p'Ap + 2b'p + c (Garland and Heckbert 1997, section 5).
type quadric struct {
	xx, xy, xz, yy, yz, zz float64 // A
	b                      vec
	c                      float64
}

// plane gives the quadric of the plane through p with the unit normal n.
func plane(n, p vec, weight float64) quadric {
	d := -n.dot(p)
	return quadric{
		xx: weight * n[0] * n[0], xy: weight * n[0] * n[1], xz: weight * n[0] * n[2],
		yy: weight * n[1] * n[1], yz: weight * n[1] * n[2], zz: weight * n[2] * n[2],
		b: n.scaled(weight * d), c: weight * d * d,
	}
}

func (q *quadric) add(o *quadric) {
	q.xx += o.xx
	q.xy += o.xy
	q.xz += o.xz
	q.yy += o.yy
	q.yz += o.yz
	q.zz += o.zz
	q.b = q.b.add(o.b)
	q.c += o.c
}

// at gives the error at a point; never negative.
func (q *quadric) at(p vec) float64 {
	a := vec{q.xx*p[0] + q.xy*p[1] + q.xz*p[2], q.xy*p[0] + q.yy*p[1] + q.yz*p[2], q.xz*p[0] + q.yz*p[1] + q.zz*p[2]}
	return max(0, a.dot(p)+2*q.b.dot(p)+q.c)
}

// least gives the point of least error, drawn a little toward near: along the
// directions in which the planes leave it free it stays there.
func (q *quadric) least(near vec) (vec, bool) {
	hold := 1e-4 * (q.xx + q.yy + q.zz)
	a, d, f := q.xx+hold, q.yy+hold, q.zz+hold
	r0, r1, r2 := vec{a, q.xy, q.xz}, vec{q.xy, d, q.yz}, vec{q.xz, q.yz, f}
	right := near.scaled(hold).sub(q.b)
	c0, c1, c2 := r1.cross(r2), r2.cross(r0), r0.cross(r1)
	det := r0.dot(c0)
	if !(det > 0) || math.IsInf(det, 0) {
		return near, false
	}
	p := c0.scaled(right[0]).add(c1.scaled(right[1])).add(c2.scaled(right[2])).scaled(1 / det)
	return p, !math.IsNaN(p[0] + p[1] + p[2])
}
