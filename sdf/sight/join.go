package sight

// Join makes one mesh of cubes, with one vertex at each place. Triangles of no size are
// left out.
func Join(cubes []*Cube) (vertices [][3]float32, triangles [][3]uint32) {
	n := 0
	for _, c := range cubes {
		n += len(c.Triangles)
	}
	triangles = make([][3]uint32, 0, n)
	numbers := make(map[[3]float32]uint32, n/2)
	var of []uint32 // by vertex of the cube
	for _, c := range cubes {
		of = of[:0]
		for _, p := range c.Vertices {
			n, ok := numbers[p]
			if !ok {
				n = uint32(len(vertices))
				numbers[p] = n
				vertices = append(vertices, p)
			}
			of = append(of, n)
		}
		for _, t := range c.Triangles {
			if q := [3]uint32{of[t[0]], of[t[1]], of[t[2]]}; q[0] != q[1] && q[1] != q[2] && q[2] != q[0] {
				triangles = append(triangles, q)
			}
		}
	}
	return vertices, triangles
}
