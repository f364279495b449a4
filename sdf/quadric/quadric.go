// Package quadric sums squared distances to planes, and finds where the sum is least
// (Garland and Heckbert, "Surface Simplification Using Quadric Error Metrics", 1997,
// section 5; Ju, Losasso, Schaefer and Warren, "Dual Contouring of Hermite Data", 2002).
package quadric

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Quadric is a sum of weighted squared distances to planes and points, as a function of
// a point p: p.Ap + 2b.p + c, with A symmetric. The zero value is the sum of none.
type Quadric struct {
	xx, xy, xz, yy, yz, zz float64
	b                      r3.Vec
	c                      float64
}

// Add adds another sum.
func (q *Quadric) Add(o *Quadric) {
	q.xx += o.xx
	q.xy += o.xy
	q.xz += o.xz
	q.yy += o.yy
	q.yz += o.yz
	q.zz += o.zz
	q.b = r3.Add(q.b, o.b)
	q.c += o.c
}

// Plane adds the plane through p with the unit normal n.
func (q *Quadric) Plane(p, n r3.Vec, weight float64) {
	d := n.X*p.X + n.Y*p.Y + n.Z*p.Z
	m := r3.Scale(weight, n)
	q.xx += m.X * n.X
	q.xy += m.X * n.Y
	q.xz += m.X * n.Z
	q.yy += m.Y * n.Y
	q.yz += m.Y * n.Z
	q.zz += m.Z * n.Z
	q.b.X -= m.X * d
	q.b.Y -= m.Y * d
	q.b.Z -= m.Z * d
	q.c += weight * d * d
}

// Point adds the point p.
func (q *Quadric) Point(p r3.Vec, weight float64) {
	q.xx += weight
	q.yy += weight
	q.zz += weight
	q.b = r3.Sub(q.b, r3.Scale(weight, p))
	q.c += weight * r3.Dot(p, p)
}

// times is Ap.
func (q *Quadric) times(p r3.Vec) r3.Vec {
	return r3.Vec{
		X: q.xx*p.X + q.xy*p.Y + q.xz*p.Z,
		Y: q.xy*p.X + q.yy*p.Y + q.yz*p.Z,
		Z: q.xz*p.X + q.yz*p.Y + q.zz*p.Z,
	}
}

// At is the sum at p, never under 0.
func (q *Quadric) At(p r3.Vec) float64 {
	return max(0, r3.Dot(p, q.times(p))+2*r3.Dot(q.b, p)+q.c)
}

// Least gives the point where the sum is least; among equals the nearest to one that is
// given. A direction counts as free, and is not gone along, where its eigenvalue is at
// most the share flat of the greatest.
func (q *Quadric) Least(near r3.Vec, flat float64) r3.Vec {
	return q.least(near, r3.Scale(-1, r3.Add(q.times(near), q.b)), flat)
}

// LeastFrom is Least of a sum whose planes and points are all given relative to the
// point near, at which the result is absolute.
func (q *Quadric) LeastFrom(near r3.Vec, flat float64) r3.Vec {
	return q.least(near, r3.Scale(-1, q.b), flat)
}

// least goes from a point against half the slope of the sum there.
func (q *Quadric) least(near, down r3.Vec, flat float64) r3.Vec {
	values, vectors := eigen(q.xx, q.xy, q.xz, q.yy, q.yz, q.zz)
	most := max(values[0], max(values[1], values[2]))
	x := near
	for i, l := range values {
		if l <= most*flat {
			continue
		}
		v := vectors[i]
		x = r3.Add(x, r3.Scale((v.X*down.X+v.Y*down.Y+v.Z*down.Z)/l, v))
	}
	return x
}

// eigen gives the eigenvalues and unit eigenvectors of a symmetric matrix by
// cyclic Jacobi rotations (Golub, Van Loan, Matrix Computations, 8.5).
func eigen(xx, xy, xz, yy, yz, zz float64) ([3]float64, [3]r3.Vec) {
	a := [3][3]float64{{xx, xy, xz}, {xy, yy, yz}, {xz, yz, zz}}
	v := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for range 12 {
		off := a[0][1]*a[0][1] + a[0][2]*a[0][2] + a[1][2]*a[1][2]
		if off < 1e-24*(a[0][0]*a[0][0]+a[1][1]*a[1][1]+a[2][2]*a[2][2]) {
			break
		}
		for _, pq := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			p, r := pq[0], pq[1]
			if a[p][r] == 0 {
				continue
			}
			theta := (a[r][r] - a[p][p]) / (2 * a[p][r])
			t := math.Copysign(1/(math.Abs(theta)+math.Sqrt(theta*theta+1)), theta)
			c := 1 / math.Sqrt(t*t+1)
			s := t * c
			for k := range 3 {
				akp, akr := a[k][p], a[k][r]
				a[k][p], a[k][r] = c*akp-s*akr, s*akp+c*akr
			}
			for k := range 3 {
				apk, ark := a[p][k], a[r][k]
				a[p][k], a[r][k] = c*apk-s*ark, s*apk+c*ark
			}
			for k := range 3 {
				vkp, vkr := v[k][p], v[k][r]
				v[k][p], v[k][r] = c*vkp-s*vkr, s*vkp+c*vkr
			}
		}
	}
	return [3]float64{a[0][0], a[1][1], a[2][2]}, [3]r3.Vec{
		{X: v[0][0], Y: v[1][0], Z: v[2][0]},
		{X: v[0][1], Y: v[1][1], Z: v[2][1]},
		{X: v[0][2], Y: v[1][2], Z: v[2][2]},
	}
}
