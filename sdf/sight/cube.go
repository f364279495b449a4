package sight

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/quadric"
)

// Cube is the mesh of one cube of cells. The cubes beside it have vertices at the same
// places where they meet: together they leave no gaps.
type Cube struct {
	Vertices  [][3]float32 // mm
	Triangles [][3]int32   // counter-clockwise from outside
}

// A cube is side cells a side. It looks at one layer of cells more, on its low sides, for
// the vertices there: its own triangles are those about the edges that begin in it.
const (
	side   = 16
	cells  = side + 1
	points = side + 2
)

// shift is how far the lattice is from the origin, in cells: so that what lies at round
// heights lies between its planes. The golden section, less one.
const shift = 0.6180339887498949

// lattice is what is looked at, and where its points are: at the same places for all
// fields that are looked at with cells of a size.
type lattice struct {
	field sdf.Field
	cell  float64 // mm
}

func (l lattice) coordinate(n int32) float64 { return (float64(n) + shift) * l.cell }

func (l lattice) at(n [3]int32) r3.Vec {
	return r3.Vec{X: l.coordinate(n[0]), Y: l.coordinate(n[1]), Z: l.coordinate(n[2])}
}

// first is the last lattice point that is not beyond x.
func (l lattice) first(x float64) int32 { return int32(math.Floor(x/l.cell - shift)) }

// box is all that a patch looks at.
func (l lattice) box(cube [3]int32, n int32) r3.Box {
	lo := [3]int32{cube[0]*side - 1, cube[1]*side - 1, cube[2]*side - 1}
	n = n*side + 1
	return r3.Box{Min: l.at(lo), Max: l.at([3]int32{lo[0] + n, lo[1] + n, lo[2] + n})}
}

// maker makes one cube after another in memory of its own.
type maker struct {
	lattice
	evals int64
	made  int // cubes

	digester sdf.Digester
	digested []sdf.Field // it remembers them by where they are, so they stay

	origin  [3]int32                          // the lattice point of (0,0,0)
	values  [points * points * points]float64 // NaN: not looked at
	fields  []sdf.Field
	fieldOf [cells * cells * cells]int32 // of cells, in fields; one more
	vertex  [cells * cells * cells]int32 // of cells; one more, 0: not made
	edges   [3 * points * points * points]int32
	planes  []plane
	out     Cube
}

// plane is the tangent plane where the surface crosses an edge; n is zero where the
// field has no slope there.
type plane struct{ p, n r3.Vec }

func pointAt(x, y, z int) int { return (z*points+y)*points + x }
func cellAt(x, y, z int) int  { return (z*cells+y)*cells + x }

// run makes a cube of a field that is simplified for it.
func (m *maker) run(cube [3]int32, f sdf.Field) Cube {
	for i := range 3 {
		m.origin[i] = cube[i]*side - 1
	}
	for i := range m.values {
		m.values[i] = math.NaN()
	}
	clear(m.fieldOf[:])
	clear(m.vertex[:])
	clear(m.edges[:])
	m.made++
	m.fields, m.planes, m.out = m.fields[:0], m.planes[:0], Cube{}
	m.descend([3]int{}, [3]int{cells, cells, cells}, f, false)
	if len(m.fields) > 0 {
		m.facets()
	}
	return m.out
}

// small is how many cells a side are looked at point by point.
const small = 3

// cheap is the cost of a field from which it is simplified on the way down.
const cheap = 6

// descend looks at the points of the cells from lo to below hi that the surface may enter.
func (m *maker) descend(lo, hi [3]int, f sdf.Field, skip bool) {
	ball := sdf.BoxBall(r3.Box{Min: m.point(lo), Max: m.point(hi)})
	m.evals++
	if sdf.Side(f, ball) != 0 {
		return
	}
	if f.Cost() > cheap && !skip {
		before := f.Cost()
		f = f.Prune(ball)
		skip = 3*f.Cost() > 2*before
	} else {
		skip = false
	}
	if max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2]) <= small {
		m.look(lo, hi, f)
		return
	}
	for i := range 8 {
		a, b := lo, hi
		for k := range 3 {
			if mid := (lo[k] + hi[k]) / 2; i>>k&1 == 0 {
				b[k] = mid
			} else {
				a[k] = mid
			}
		}
		if a[0] < b[0] && a[1] < b[1] && a[2] < b[2] {
			m.descend(a, b, f, skip)
		}
	}
}

func (m *maker) point(n [3]int) r3.Vec {
	return m.at([3]int32{m.origin[0] + int32(n[0]), m.origin[1] + int32(n[1]), m.origin[2] + int32(n[2])})
}

// look takes the values at the points of some cells.
func (m *maker) look(lo, hi [3]int, f sdf.Field) {
	m.fields = append(m.fields, f)
	for z := lo[2]; z <= hi[2]; z++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for x := lo[0]; x <= hi[0]; x++ {
				if v := &m.values[pointAt(x, y, z)]; *v != *v {
					m.evals++
					*v = f.Value(m.point([3]int{x, y, z}))
				}
				if x < hi[0] && y < hi[1] && z < hi[2] {
					m.fieldOf[cellAt(x, y, z)] = int32(len(m.fields))
				}
			}
		}
	}
}

// facets makes the triangles: two about each edge of the cube that the surface crosses.
func (m *maker) facets() {
	for z := 1; z < points-1; z++ {
		for y := 1; y < points-1; y++ {
			for x := 1; x < points-1; x++ {
				v := m.values[pointAt(x, y, z)]
				if v != v {
					continue
				}
				for axis, step := range [3]int{1, points, points * points} {
					if w := m.values[pointAt(x, y, z)+step]; w == w && (v < 0) != (w < 0) {
						m.facet([3]int{x, y, z}, axis, v < 0)
					}
				}
			}
		}
	}
}

// facet makes the triangles about an edge; rises says whether the solid is at its low end.
func (m *maker) facet(p [3]int, axis int, rises bool) {
	u, v := (axis+1)%3, (axis+2)%3
	var ring [4]int32
	for i, back := range [4][2]int{{1, 1}, {0, 1}, {0, 0}, {1, 0}} {
		c := p
		c[u] -= back[0]
		c[v] -= back[1]
		ring[i] = m.vertexOf(c)
	}
	if !rises {
		ring[1], ring[3] = ring[3], ring[1]
	}
	if m.apart(ring[0], ring[2]) > m.apart(ring[1], ring[3]) {
		ring = [4]int32{ring[1], ring[2], ring[3], ring[0]}
	}
	m.out.Triangles = append(m.out.Triangles, [3]int32{ring[0], ring[1], ring[2]}, [3]int32{ring[0], ring[2], ring[3]})
}

// apart is how far two vertices are from each other, squared.
func (m *maker) apart(a, b int32) (d float32) {
	for i, x := range m.out.Vertices[a] {
		x -= m.out.Vertices[b][i]
		d += x * x
	}
	return d
}

// flat is the share of the greatest eigenvalue below which a direction is not gone along.
const flat = 0.05

// vertexOf gives the vertex of a cell.
func (m *maker) vertexOf(c [3]int) int32 {
	at := &m.vertex[cellAt(c[0], c[1], c[2])]
	if *at != 0 {
		return *at - 1
	}
	f := m.fields[m.fieldOf[cellAt(c[0], c[1], c[2])]-1]
	var met [12]plane
	n := 0
	var middle r3.Vec
	for axis := range 3 {
		for i := range 4 {
			p := c
			p[(axis+1)%3] += i & 1
			p[(axis+2)%3] += i >> 1
			if pl, ok := m.crossing(p, axis, f); ok {
				met[n] = pl
				middle = r3.Add(middle, pl.p)
				n++
			}
		}
	}
	middle = r3.Scale(1/float64(n), middle)
	var q quadric.Quadric
	for _, pl := range met[:n] {
		if pl.n != (r3.Vec{}) {
			q.Plane(r3.Sub(pl.p, middle), pl.n, 1)
		}
	}
	best := q.LeastFrom(middle, flat)
	lo, hi := m.point(c), m.point([3]int{c[0] + 1, c[1] + 1, c[2] + 1})
	m.out.Vertices = append(m.out.Vertices, [3]float32{
		float32(min(max(best.X, lo.X), hi.X)), float32(min(max(best.Y, lo.Y), hi.Y)), float32(min(max(best.Z, lo.Z), hi.Z)),
	})
	*at = int32(len(m.out.Vertices))
	return *at - 1
}

// crossing gives the tangent plane where the surface crosses an edge; ok is false where
// it does not.
func (m *maker) crossing(p [3]int, axis int, f sdf.Field) (plane, bool) {
	i := pointAt(p[0], p[1], p[2])
	known := &m.edges[3*i+axis]
	if *known != 0 {
		return m.planes[*known-1], true
	}
	q := p
	q[axis]++
	a, b := m.values[i], m.values[pointAt(q[0], q[1], q[2])]
	if !((a < 0) != (b < 0)) || a != a || b != b {
		return plane{}, false
	}
	from, to := m.point(p), m.point(q)
	x := r3.Add(from, r3.Scale(a/(a-b), r3.Sub(to, from)))
	m.evals++
	d, g := f.Gradient(x)
	if length := r3.Norm(g); length > 1e-6 {
		// Onto the surface along the slope, no further than the edge is long.
		n := r3.Scale(1/length, g)
		x = r3.Sub(x, r3.Scale(min(max(d/length, -m.cell), m.cell), n))
		m.planes = append(m.planes, plane{x, n})
	} else {
		m.planes = append(m.planes, plane{p: x})
	}
	*known = int32(len(m.planes))
	return m.planes[*known-1], true
}
