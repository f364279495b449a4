package mesh

// Topology: from corner signs to closed loops on the surface of each leaf.
//
// On every minimal face the two leaves beside it find the same segments, from
// the signs around that face alone. A minimal edge or face is one that no leaf
// around it splits. The segments of a leaf close into loops, since every
// crossing lies on exactly two of its minimal faces.

// key packs the least corner and the axis of an edge (faces: axis + 4).
func key(x, y, z, axis int) uint32 {
	return uint32(x) | uint32(y)<<8 | uint32(z)<<16 | uint32(axis)<<24
}

// segment is a piece of a loop: from one vertex to the next.
type segment struct{ from, to int32 }

// tracer finds the loops of leaves. What a crossing or the bend of a face is,
// it asks of its maker, so that the same walk counts loops and makes vertices.
type tracer struct {
	surroundings
	maker interface {
		// crossing numbers the vertex on a minimal edge.
		crossing(x, y, z, axis, size int) int32
		// bend numbers the vertex where the segment a-b bends within a minimal
		// face, or gives -1 where it is straight.
		bend(x, y, z, axis, size int, a, b int32) int32
	}
	ring     []ringCrossing
	segments []segment
	// tangled is set where a leaf cannot be trusted to hold one plain sheet: a
	// face with more than one segment, an edge with more than one crossing.
	tangled bool
	next    []int32 // by vertex, -1 where there is none
	loop    []int32
	loops   []int // where each loop ends in loop
}

type ringCrossing struct {
	vertex int32
	enters bool // going round, the inside begins here
}

// trace finds the loops of a leaf; they stay in loop and loops until the next.
func (t *tracer) trace(l *leaf) {
	t.segments, t.tangled = t.segments[:0], false
	if t.isRefined(l) {
		t.markCorners(l)
		x, y, z, n := int(l.x), int(l.y), int(l.z), int(l.size)
		for axis := range 3 {
			t.face(x, y, z, axis, n, true)
			hx, hy, hz := along(x, y, z, axis, n)
			t.face(hx, hy, hz, axis, n, false)
		}
	} else {
		t.plainFaces(l)
	}
	for _, s := range t.segments {
		for int(max(s.from, s.to)) >= len(t.next) {
			t.next = append(t.next, -1)
		}
		t.next[s.from] = s.to
	}
	t.loop, t.loops = t.loop[:0], t.loops[:0]
	for _, s := range t.segments {
		v := s.from
		if t.next[v] < 0 {
			continue
		}
		start := len(t.loop)
		for t.next[v] >= 0 {
			t.loop = append(t.loop, v)
			v, t.next[v] = t.next[v], -1
		}
		t.loops = append(t.loops, len(t.loop))
		if len(t.loop)-start < 3 {
			t.tangled = true
		}
	}
	if len(t.loops) > 1 {
		t.tangled = true
	}
}

// along moves n steps along an axis.
func along(x, y, z, axis, n int) (int, int, int) {
	switch axis {
	case 0:
		return x + n, y, z
	case 1:
		return x, y + n, z
	}
	return x, y, z + n
}

// face adds the segments of a face whose least corner is (x,y,z). The walk
// around it is counter-clockwise seen from the +axis side; seen from outside
// the leaf, with low faces flipped, a segment runs from where the inside
// begins to where it ends, so that triangles to an apex in the leaf turn outward.
//
//	v
//	3---2     0 (x,y,z)   1 one size along u   3 one size along v
//	|   |
//	0---1 u
func (t *tracer) face(x, y, z, axis, size int, low bool) {
	u, v := (axis+1)%3, (axis+2)%3
	if t.splits(size) {
		h := size / 2
		mx, my, mz := along(x, y, z, u, h)
		cx, cy, cz := along(mx, my, mz, v, h)
		if t.isSplit(cx, cy, cz) {
			wx, wy, wz := along(x, y, z, v, h)
			t.face(x, y, z, axis, h, low)
			t.face(mx, my, mz, axis, h, low)
			t.face(wx, wy, wz, axis, h, low)
			t.face(cx, cy, cz, axis, h, low)
			return
		}
	}
	t.ring = t.ring[:0]
	ux, uy, uz := along(x, y, z, u, size)
	vx, vy, vz := along(x, y, z, v, size)
	t.side(x, y, z, u, size, false)
	t.side(ux, uy, uz, v, size, false)
	t.side(vx, vy, vz, u, size, true)
	t.side(x, y, z, v, size, true)
	t.join(x, y, z, axis, size, low)
}

// join makes the segments of a face of the crossings on its ring.
func (t *tracer) join(x, y, z, axis, size int, low bool) {
	n := len(t.ring)
	if n > 2 {
		t.tangled = true
	}
	for i, c := range t.ring {
		if !c.enters {
			continue
		}
		a, b := c.vertex, t.ring[(i+1)%n].vertex
		if low {
			a, b = b, a
		}
		if n == 2 {
			// The bend is asked for in an order that both leaves share.
			if m := t.maker.bend(x, y, z, axis, size, min(a, b), max(a, b)); m >= 0 {
				t.segments = append(t.segments, segment{a, m}, segment{m, b})
				continue
			}
		}
		t.segments = append(t.segments, segment{a, b})
	}
}

// side adds one side of a face's ring, walked backwards where told.
func (t *tracer) side(x, y, z, axis, size int, backwards bool) {
	before := len(t.ring)
	t.walk(x, y, z, axis, size, backwards)
	if len(t.ring) > before+1 {
		t.tangled = true
	}
}

func (t *tracer) walk(x, y, z, axis, size int, backwards bool) {
	hx, hy, hz := along(x, y, z, axis, size)
	if t.splits(size) {
		mx, my, mz := along(x, y, z, axis, size/2)
		if t.isSplit(mx, my, mz) {
			if backwards {
				t.walk(mx, my, mz, axis, size/2, true)
				t.walk(x, y, z, axis, size/2, true)
			} else {
				t.walk(x, y, z, axis, size/2, false)
				t.walk(mx, my, mz, axis, size/2, false)
			}
			return
		}
	}
	first, last := t.inside(x, y, z), t.inside(hx, hy, hz)
	if first == last {
		return
	}
	t.ring = append(t.ring, ringCrossing{
		vertex: t.maker.crossing(x, y, z, axis, size),
		enters: last != backwards,
	})
}

// cubeFace is a face of a plain cell: its ring of corners, and the edge of the cell
// from each corner to the next.
type cubeFace struct {
	axis    int
	low     bool
	corners [4]uint8
	edges   [4]uint8
}

// cubeEdge is an edge of a plain cell: its lower corner and its axis.
type cubeEdge struct {
	corner uint8
	axis   int
}

var cubeEdges, cubeFaces = func() (edges [12]cubeEdge, faces [6]cubeFace) {
	number := map[cubeEdge]uint8{}
	for axis := range 3 {
		for corner := range uint8(8) {
			if corner>>axis&1 == 0 {
				e := cubeEdge{corner, axis}
				edges[len(number)] = e
				number[e] = uint8(len(number))
			}
		}
	}
	for axis := range 3 {
		u, v := uint8(1)<<((axis+1)%3), uint8(1)<<((axis+2)%3)
		for high := range uint8(2) {
			o := high << axis
			f := cubeFace{axis: axis, low: high == 0, corners: [4]uint8{o, o | u, o | u | v, o | v}}
			f.edges = [4]uint8{
				number[cubeEdge{o, (axis + 1) % 3}], number[cubeEdge{o | u, (axis + 2) % 3}],
				number[cubeEdge{o | v, (axis + 1) % 3}], number[cubeEdge{o, (axis + 2) % 3}],
			}
			faces[2*axis+int(high)] = f
		}
	}
	return edges, faces
}()

// plainFaces adds the segments of a leaf of which no face or edge is split: the same
// as face does, straight from the signs of its corners.
func (t *tracer) plainFaces(l *leaf) {
	x, y, z, n := int(l.x), int(l.y), int(l.z), int(l.size)
	var vertices [12]int32 // one more than the vertex; 0 where it is not made yet
	for i := range cubeFaces {
		f := &cubeFaces[i]
		t.ring = t.ring[:0]
		for k := range 4 {
			from, to := l.inside>>f.corners[k]&1, l.inside>>f.corners[(k+1)&3]&1
			if from == to {
				continue
			}
			v := &vertices[f.edges[k]]
			if *v == 0 {
				e := cubeEdges[f.edges[k]]
				c := int(e.corner)
				*v = t.maker.crossing(x+n*(c&1), y+n*(c>>1&1), z+n*(c>>2&1), e.axis, n) + 1
			}
			t.ring = append(t.ring, ringCrossing{vertex: *v - 1, enters: to != 0})
		}
		if len(t.ring) > 0 {
			c := int(f.corners[0])
			t.join(x+n*(c&1), y+n*(c>>1&1), z+n*(c>>2&1), f.axis, n, f.low)
		}
	}
}
