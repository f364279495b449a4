package picture

import (
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// ball is a sphere of rings x 2 rings quads, closed and outward.
func ball(centre r3.Vec, radius float64, rings int) Mesh {
	var m Mesh
	at := func(i, j int) uint32 {
		switch i {
		case 0:
			return 0
		case rings:
			return 1
		}
		return uint32(2 + (i-1)*2*rings + j%(2*rings))
	}
	put := func(x, y, z float64) {
		m.Vertices = append(m.Vertices, [3]float32{
			float32(centre.X + radius*x), float32(centre.Y + radius*y), float32(centre.Z + radius*z)})
	}
	put(0, 0, 1)
	put(0, 0, -1)
	for i := 1; i < rings; i++ {
		st, ct := math.Sincos(math.Pi * float64(i) / float64(rings))
		for j := range 2 * rings {
			sp, cp := math.Sincos(math.Pi * float64(j) / float64(rings))
			put(st*cp, st*sp, ct)
		}
	}
	for i := range rings {
		for j := range 2 * rings {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			if i+1 < rings {
				m.Triangles = append(m.Triangles, [3]uint32{a, b, c})
			}
			if i > 0 {
				m.Triangles = append(m.Triangles, [3]uint32{a, c, d})
			}
		}
	}
	return m
}

// block is an upright box from lo to hi, closed and outward.
func block(lo, hi [3]float32) Mesh {
	var m Mesh
	for i := range 8 {
		v := lo
		for k := range 3 {
			if i>>k&1 == 1 {
				v[k] = hi[k]
			}
		}
		m.Vertices = append(m.Vertices, v)
	}
	m.Triangles = [][3]uint32{
		{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6},
		{0, 1, 5}, {0, 5, 4}, {2, 6, 7}, {2, 7, 3},
		{0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5},
	}
	return m
}

// cobbles is a slab of n x n bumps, with 288 n n triangles on top:
// something like what is drawn in earnest.
func cobbles(n int) Mesh {
	const fine = 12 // vertices a bump
	side := n*fine + 1
	m := block([3]float32{0, 0, 0}, [3]float32{float32(n) * 4, float32(n) * 4, 4})
	base := uint32(len(m.Vertices))
	for j := range side {
		for i := range side {
			x, y := 4*float64(i)/fine, 4*float64(j)/fine
			bump := math.Abs(math.Sin(math.Pi*x/4) * math.Sin(math.Pi*y/4))
			m.Vertices = append(m.Vertices, [3]float32{float32(x), float32(y), float32(4 + 1.5*math.Pow(bump, 0.4))})
		}
	}
	for j := range side - 1 {
		for i := range side - 1 {
			a := base + uint32(j*side+i)
			b, c, d := a+1, a+1+uint32(side), a+uint32(side)
			m.Triangles = append(m.Triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
		}
	}
	return m
}

// render draws meshes, all in the same coordinates, once.
func render(o Options, meshes ...Mesh) *image.RGBA { return NewSubject(meshes...).Draw(o) }
