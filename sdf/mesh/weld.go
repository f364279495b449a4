package mesh

// soup is a mesh on lattice points.
type soup struct {
	points    []ipoint
	triangles [][3]int32
}

// weld joins the patches, in the order of their blocks. Vertices on the faces
// of a block were made by every block that touches them, at the same lattice
// point; no two different vertices share a point, so the point is the identity.
func (t *octree) weld(w *crew, patches []patch) (*soup, error) {
	var nv, nt int
	for i := range patches {
		nv += len(patches[i].points)
		nt += len(patches[i].triangles)
	}
	out := &soup{
		points:    make([]ipoint, 0, nv),
		triangles: make([][3]int32, 0, nt),
	}
	seams := map[ipoint]int32{}
	edge := t.step * blockSteps
	var number []int32
	for i := range patches {
		if err := w.ctx.Err(); err != nil {
			return nil, err
		}
		p := &patches[i]
		number = number[:0]
		for _, v := range p.points {
			seam := (v[0]-t.origin[0])%edge == 0 || (v[1]-t.origin[1])%edge == 0 || (v[2]-t.origin[2])%edge == 0
			n := int32(len(out.points))
			if seam {
				if m, ok := seams[v]; ok {
					number = append(number, m)
					continue
				}
				seams[v] = n
			}
			number = append(number, n)
			out.points = append(out.points, v)
		}
		for _, q := range p.triangles {
			out.triangles = append(out.triangles, [3]int32{number[q[0]], number[q[1]], number[q[2]]})
		}
	}
	return out, nil
}

// compact drops vertices that no triangle uses and numbers the rest anew, in
// the order in which the triangles first use them.
func (s *soup) compact() {
	number := make([]int32, len(s.points))
	for i := range number {
		number[i] = -1
	}
	points := make([]ipoint, 0, len(s.points))
	for i := range s.triangles {
		for k, v := range s.triangles[i] {
			if number[v] < 0 {
				number[v] = int32(len(points))
				points = append(points, s.points[v])
			}
			s.triangles[i][k] = number[v]
		}
	}
	s.points = points
}

// mesh gives the written form.
func (s *soup) mesh() Mesh {
	m := Mesh{Vertices: make([][3]float32, len(s.points)), Triangles: make([][3]uint32, len(s.triangles))}
	for i, p := range s.points {
		m.Vertices[i] = p.float32s()
	}
	for i, t := range s.triangles {
		m.Triangles[i] = [3]uint32{uint32(t[0]), uint32(t[1]), uint32(t[2])}
	}
	return m
}
