package decimate

import "math"

// vec is a point or a direction.
type vec [3]float64

func (a vec) add(b vec) vec       { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) sub(b vec) vec       { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vec) times(s float64) vec { return vec{a[0] * s, a[1] * s, a[2] * s} }
func (a vec) dot(b vec) float64   { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// normal is the normal of a triangle, as long as twice its area.
func normal(a, b, c vec) vec { return b.sub(a).cross(c.sub(a)) }

// quadric is the sum of weighted squared distances to planes and points, as a
// function of a point p: p·Ap + 2b·p + c, with A symmetric (Garland and Heckbert
// 1997, section 5).
type quadric struct {
	xx, xy, xz, yy, yz, zz float64
	b                      vec
	c                      float64
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

// plane adds the plane through p with unit normal n.
func (q *quadric) plane(p, n vec, weight float64) {
	d := -n.dot(p)
	m := n.times(weight)
	q.xx += m[0] * n[0]
	q.xy += m[0] * n[1]
	q.xz += m[0] * n[2]
	q.yy += m[1] * n[1]
	q.yz += m[1] * n[2]
	q.zz += m[2] * n[2]
	q.b = q.b.add(m.times(d))
	q.c += weight * d * d
}

// point adds the distance to p.
func (q *quadric) point(p vec, weight float64) {
	q.xx += weight
	q.yy += weight
	q.zz += weight
	q.b = q.b.sub(p.times(weight))
	q.c += weight * p.dot(p)
}

// at is the error at p, never under 0.
func (q *quadric) at(p vec) float64 {
	ap := vec{
		q.xx*p[0] + q.xy*p[1] + q.xz*p[2],
		q.xy*p[0] + q.yy*p[1] + q.yz*p[2],
		q.xz*p[0] + q.yz*p[1] + q.zz*p[2],
	}
	return max(0, p.dot(ap)+2*q.b.dot(p)+q.c)
}

// best is the point of the least error. Where the planes leave a direction free, the
// point stays near the one given: a distance to it is weighed in, of the share pull
// of the planes' own weight.
func (q *quadric) best(near vec, pull float64) vec {
	weight := pull * (q.xx + q.yy + q.zz)
	if !(weight > 0) {
		return near
	}
	r := *q
	r.point(near, weight)
	// Cramer's rule; the matrix is symmetric and, with the pull, positive.
	c0, c1, c2 := r.yy*r.zz-r.yz*r.yz, r.xz*r.yz-r.xy*r.zz, r.xy*r.yz-r.xz*r.yy
	det := r.xx*c0 + r.xy*c1 + r.xz*c2
	if !(math.Abs(det) > 0) {
		return near
	}
	e := r.b.times(-1 / det)
	return vec{
		c0*e[0] + c1*e[1] + c2*e[2],
		c1*e[0] + (r.xx*r.zz-r.xz*r.xz)*e[1] + (r.xy*r.xz-r.xx*r.yz)*e[2],
		c2*e[0] + (r.xy*r.xz-r.xx*r.yz)*e[1] + (r.xx*r.yy-r.xy*r.xy)*e[2],
	}
}
