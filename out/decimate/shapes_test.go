package decimate_test

import (
	"math"

	"socle/out/decimate"
)

// grid is a closed box of the given size, each side cut into n x n squares, mapped
// by f.
func grid(n int, f func(x, y, z float64) [3]float64) decimate.Mesh {
	var m decimate.Mesh
	name := map[[3]int]uint32{}
	vertex := func(p [3]int) uint32 {
		if v, ok := name[p]; ok {
			return v
		}
		q := f(2*float64(p[0])/float64(n)-1, 2*float64(p[1])/float64(n)-1, 2*float64(p[2])/float64(n)-1)
		name[p] = uint32(len(m.Vertices))
		m.Vertices = append(m.Vertices, [3]float32{float32(q[0]), float32(q[1]), float32(q[2])})
		return name[p]
	}
	for axis := range 3 {
		for _, side := range []int{0, n} {
			for i := range n {
				for j := range n {
					corner := func(a, b int) uint32 {
						var p [3]int
						p[axis], p[(axis+1)%3], p[(axis+2)%3] = side, i+a, j+b
						return vertex(p)
					}
					a, b, c, d := corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)
					if side == 0 {
						b, d = d, b
					}
					m.Triangles = append(m.Triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
					m.Tones = append(m.Tones, 0, 0)
				}
			}
		}
	}
	return m
}

func box(x, y, z float64) func(a, b, c float64) [3]float64 {
	return func(a, b, c float64) [3]float64 { return [3]float64{a * x / 2, b * y / 2, c * z / 2} }
}

func sphere(r float64) func(a, b, c float64) [3]float64 {
	return func(a, b, c float64) [3]float64 {
		l := r / math.Sqrt(a*a+b*b+c*c)
		return [3]float64{a * l, b * l, c * l}
	}
}

// bumps is a slab of 120 x 90 x 20 mm with a sea of bumps on it.
func bumps(a, b, c float64) [3]float64 {
	z := 10 * c
	if c > 0 {
		z += c * (2*math.Sin(9*a)*math.Cos(7*b) + 0.3*math.Sin(60*a+3*b)*math.Sin(55*b))
	}
	return [3]float64{60 * a, 45 * b, z}
}

func corners(m decimate.Mesh, i int) (p [3][3]float64) {
	for k, v := range m.Triangles[i] {
		for j := range 3 {
			p[k][j] = float64(m.Vertices[v][j])
		}
	}
	return p
}

func cross(p [3][3]float64) (n [3]float64) {
	var a, b [3]float64
	for j := range 3 {
		a[j], b[j] = p[1][j]-p[0][j], p[2][j]-p[0][j]
	}
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// volume is that inside a closed mesh, by the divergence theorem.
func volume(m decimate.Mesh) (v float64) {
	for i := range m.Triangles {
		p := corners(m, i)
		n := cross(p)
		v += (p[0][0]*n[0] + p[0][1]*n[1] + p[0][2]*n[2]) / 6
	}
	return v
}

// areas are those of the tones.
func areas(m decimate.Mesh) map[uint8]float64 {
	of := map[uint8]float64{}
	for i := range m.Triangles {
		n := cross(corners(m, i))
		of[m.Tones[i]] += math.Sqrt(n[0]*n[0]+n[1]*n[1]+n[2]*n[2]) / 2
	}
	return of
}

// openEdges counts the edges that do not have exactly one triangle either way.
func openEdges(m decimate.Mesh) (n int) {
	half := map[[2]uint32]int{}
	for _, t := range m.Triangles {
		for k := range 3 {
			half[[2]uint32{t[k], t[(k+1)%3]}]++
		}
	}
	for e, c := range half {
		if c != 1 || half[[2]uint32{e[1], e[0]}] != 1 {
			n++
		}
	}
	return n
}
