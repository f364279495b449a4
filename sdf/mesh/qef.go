package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// planes gathers tangent planes and finds the point nearest to all of them:
// the least of sum (n.(x-p))^2 (Garland, Heckbert 1997; Ju et al. 2002).
type planes struct {
	xx, xy, xz, yy, yz, zz float64 // sum n n^T
	bx, by, bz             float64 // sum n (n.(p-m))
	m                      r3.Vec  // where the search starts
}

func (q *planes) add(p, n r3.Vec) {
	d := n.X*(p.X-q.m.X) + n.Y*(p.Y-q.m.Y) + n.Z*(p.Z-q.m.Z)
	q.xx += n.X * n.X
	q.xy += n.X * n.Y
	q.xz += n.X * n.Z
	q.yy += n.Y * n.Y
	q.yz += n.Y * n.Z
	q.zz += n.Z * n.Z
	q.bx += n.X * d
	q.by += n.Y * d
	q.bz += n.Z * d
}

// flatEigenvalue is the share of the greatest eigenvalue below which a
// direction counts as undetermined. Too small, and the noise of a gently
// curved surface throws the point far along it; too great, and corners of a
// shallow dihedral are rounded. 0.01 keeps creases of 12 degrees and more;
// shallower ones are kept by the bends on the faces, where the search starts.
const flatEigenvalue = 0.01

// solve gives the point nearest to the planes: among equals, the one nearest
// to m.
func (q *planes) solve() r3.Vec {
	values, vectors := eigen(q.xx, q.xy, q.xz, q.yy, q.yz, q.zz)
	most := math.Max(values[0], math.Max(values[1], values[2]))
	x := q.m
	for i, l := range values {
		if l <= most*flatEigenvalue {
			continue
		}
		v := vectors[i]
		s := (v.X*q.bx + v.Y*q.by + v.Z*q.bz) / l
		x = r3.Add(x, r3.Scale(s, v))
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
