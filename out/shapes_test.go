package out

import "math"

// shape is a mesh whose volume and genus are known in closed form.
type shape struct {
	vertices  [][3]float32
	triangles [][3]uint32
	genus     int
	volume    float64 // mm3
}

// cube is a box from one corner to the other.
func cube(lo, hi [3]float32) shape {
	s := shape{volume: 1}
	for i := range 8 {
		v := lo
		for k := range 3 {
			if i>>k&1 == 1 {
				v[k] = hi[k]
			}
		}
		s.vertices = append(s.vertices, v)
	}
	for k := range 3 {
		s.volume *= float64(hi[k]) - float64(lo[k])
	}
	s.triangles = [][3]uint32{
		{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, // below, above
		{0, 1, 5}, {0, 5, 4}, {2, 6, 7}, {2, 7, 3}, // south, north
		{0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}, // west, east
	}
	return s
}

// tetrahedron is the corner of a cube of the given side: side^3/6.
func tetrahedron(side float32) shape {
	return shape{
		vertices:  [][3]float32{{0, 0, 0}, {side, 0, 0}, {0, side, 0}, {0, 0, side}},
		triangles: [][3]uint32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}},
		volume:    math.Pow(float64(side), 3) / 6,
	}
}

// torus is a ring of m straight lengths with a section of n sides, standing on
// z = 0. Between two rays at an angle a, the section at height z is a triangle
// of area r(z)^2 sin(a)/2, so the volume is m sin(2 pi/m)/2 times the integral
// of r^2 dz around the section, which a polygon gives in closed form.
func torus(m, n int, ring, tube float64) shape {
	s := shape{genus: 1}
	profile := make([][2]float64, n)
	for j := range profile {
		sin, cos := math.Sincos(2 * math.Pi * float64(j) / float64(n))
		profile[j] = [2]float64{ring + tube*cos, tube + tube*sin}
	}
	for i := range m {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(m))
		for j, p := range profile {
			s.vertices = append(s.vertices, [3]float32{float32(p[0] * cos), float32(p[0] * sin), float32(p[1])})
			at := func(i, j int) uint32 { return uint32(i%m*n + j%n) }
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			s.triangles = append(s.triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
		}
	}
	for j, p := range profile {
		q := profile[(j+1)%n]
		s.volume += (q[1] - p[1]) * (p[0]*p[0] + p[0]*q[0] + q[0]*q[0]) / 3
	}
	s.volume *= float64(m) * math.Sin(2*math.Pi/float64(m)) / 2
	return s
}

// signedVolume is the sum over the triangles as they stand, mm3.
func (s shape) signedVolume() float64 {
	var six float64
	for _, t := range s.triangles {
		var p [3][3]float64
		for k, i := range t {
			for c := range 3 {
				p[k][c] = float64(s.vertices[i][c])
			}
		}
		six += p[0][0]*(p[1][1]*p[2][2]-p[1][2]*p[2][1]) +
			p[0][1]*(p[1][2]*p[2][0]-p[1][0]*p[2][2]) +
			p[0][2]*(p[1][0]*p[2][1]-p[1][1]*p[2][0])
	}
	return six / 6
}
