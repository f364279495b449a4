package decimate

import (
	"container/heap"
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/quadric"
)

const (
	// borderWeight is how much more than the surface itself a border between tones,
	// or of an open mesh, resists being moved.
	borderWeight = 4
	// free is the error, in squares of the longest side times area, under which a
	// collapse changes nothing to be seen.
	free = 1e-14
	// leastTurn is the cosine to which a collapse may turn a triangle.
	leastTurn = 0.2
	// leastShape is the shape, 1 for an equilateral triangle, under which a collapse
	// may not bring a triangle that was better.
	leastShape = 0.01
)

// edge is an edge that may be collapsed. It is out of date where either of its
// vertices has changed since.
type edge struct {
	cost    float64
	a, b    uint32
	changes uint32 // of a and of b
}

func (e *edge) before(o *edge) bool {
	if e.cost != o.cost {
		return e.cost < o.cost
	}
	if e.a != o.a {
		return e.a < o.a
	}
	return e.b < o.b
}

// collapser is a mesh while its edges are collapsed.
type collapser struct {
	*work
	q       []quadric.Quadric
	fan     [][]uint32 // triangles of each vertex; may name ones that are gone
	changes []uint32
	gone    []bool // of triangles
	left    int
	heap    edges
	mark    []uint32 // of vertices, for neighbours
	stamp   uint32
}

// collapse collapses edges until at most so many triangles are left, and then those
// that change nothing.
func collapse(ctx context.Context, w *work, most int) error {
	c := &collapser{
		heap: make(edges, 0, 3*len(w.tri)),
		work: w, q: make([]quadric.Quadric, len(w.at)), fan: make([][]uint32, len(w.at)),
		changes: make([]uint32, len(w.at)), gone: make([]bool, len(w.tri)),
		mark: make([]uint32, len(w.at)), left: len(w.tri),
	}
	c.weigh()
	for a := range w.at {
		for _, b := range c.around(uint32(a)) {
			if uint32(a) < b {
				c.heap = append(c.heap, c.price(uint32(a), b))
			}
		}
	}
	heap.Init(&c.heap)
	for n := 0; len(c.heap) > 0; n++ {
		if n&0xfff == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		e := c.heap.pop()
		if c.left <= most && e.cost > free {
			break
		}
		if c.changes[e.a]+c.changes[e.b] != e.changes || !c.joins(e) {
			continue
		}
		if _, at := c.place(e.a, e.b); c.keeps(at, e.a, e.b) && c.keeps(at, e.b, e.a) {
			c.merge(e, at)
		}
	}
	n := 0
	for i, gone := range c.gone {
		if !gone {
			w.tri[n], w.tone[n] = w.tri[i], w.tone[i]
			n++
		}
	}
	w.tri, w.tone = w.tri[:n], w.tone[:n]
	return nil
}

// weigh gives each vertex its triangles and its quadric: the planes of the
// triangles, and at borders planes that stand upright on them.
func (c *collapser) weigh() {
	degree := make([]uint32, len(c.at))
	for _, t := range c.tri {
		for _, v := range t {
			degree[v]++
		}
	}
	room := make([]uint32, 3*len(c.tri))
	for v, d := range degree {
		c.fan[v] = room[:0:d]
		room = room[d:]
	}
	for i, t := range c.tri {
		for _, v := range t {
			c.fan[v] = append(c.fan[v], uint32(i))
		}
	}
	for i, t := range c.tri {
		n := normal(c.at[t[0]], c.at[t[1]], c.at[t[2]])
		twice := math.Sqrt(r3.Norm2(n))
		if !(twice > 0) {
			continue
		}
		n = r3.Scale(1/twice, n)
		var q quadric.Quadric
		q.Plane(c.at[t[0]], n, twice/2)
		for _, v := range t {
			c.q[v].Add(&q)
		}
		for k, a := range t {
			b := t[(k+1)%3]
			if !c.isBorder(a, b, i) {
				continue
			}
			along := r3.Sub(c.at[b], c.at[a])
			length := math.Sqrt(r3.Norm2(along))
			if !(length > 0) {
				continue
			}
			var q quadric.Quadric
			q.Plane(c.at[a], r3.Cross(n, r3.Scale(1/length, along)), borderWeight*length*length)
			c.q[a].Add(&q)
			c.q[b].Add(&q)
		}
	}
}

// isBorder tells whether the edge of triangle i has no triangle or one of another tone
// at its other side.
func (c *collapser) isBorder(a, b uint32, i int) bool {
	for _, f := range c.fan[a] {
		if t := c.tri[f]; int(f) != i && has(t, b) {
			return c.tone[f] != c.tone[i]
		}
	}
	return true
}

func has(t [3]uint32, v uint32) bool { return t[0] == v || t[1] == v || t[2] == v }

// around gives the neighbours of a vertex, each once, and marks them.
func (c *collapser) around(v uint32) (near []uint32) {
	c.stamp++
	var room [32]uint32
	near = room[:0]
	for _, f := range c.fan[v] {
		if c.gone[f] {
			continue
		}
		for _, o := range c.tri[f] {
			if o != v && c.mark[o] != c.stamp {
				c.mark[o] = c.stamp
				near = append(near, o)
			}
		}
	}
	return near
}

// price gives the edge with what collapsing it costs now.
func (c *collapser) price(a, b uint32) edge {
	cost, _ := c.place(a, b)
	return edge{cost: cost, a: a, b: b, changes: c.changes[a] + c.changes[b]}
}

// place gives what collapsing an edge would cost, and where to.
func (c *collapser) place(a, b uint32) (cost float64, p r3.Vec) {
	q := c.q[a]
	q.Add(&c.q[b])
	pa, pb := c.at[a], c.at[b]
	mid := r3.Scale(0.5, r3.Add(pa, pb))
	p = q.Least(mid, edgeFlat)
	span := r3.Norm2(r3.Sub(pb, pa))
	if !(r3.Norm2(r3.Sub(p, mid)) <= span) { // never far from the edge
		p = mid
	}
	cost = q.At(p)
	for _, o := range [2]r3.Vec{pa, pb} {
		if x := q.At(o); x < cost {
			p, cost = o, x
		}
	}
	// Among those that cost nothing the short go first.
	cost += 1e-18 * span
	if math.IsNaN(cost) {
		cost = math.MaxFloat64
	}
	return cost, p
}

// joins is the link condition (Dey, Edelsbrunner, Guha, Nekhayev, "Topology
// preserving edge contraction", 1999): collapsing the edge leaves closed what is
// closed, and a manifold one.
func (c *collapser) joins(e edge) bool {
	c.around(e.a)
	ofA := c.stamp
	sides, common := 0, 0
	for _, f := range c.fan[e.a] {
		if !c.gone[f] && has(c.tri[f], e.b) {
			sides++
		}
	}
	if sides == 0 || sides > 2 {
		return false
	}
	var shared [2]uint32
	// Neighbours of b are counted once each: the mark is taken from those met.
	for _, f := range c.fan[e.b] {
		if c.gone[f] {
			continue
		}
		for _, o := range c.tri[f] {
			if o != e.b && c.mark[o] == ofA {
				if o != e.a {
					if common == 2 {
						return false
					}
					shared[common] = o
					common++
				}
				c.mark[o] = 0
			}
		}
	}
	if common != sides {
		return false
	}
	if sides == 2 {
		// Both ends with a triangle on the shared two: a tetrahedron.
		if c.spans(e.a, shared) && c.spans(e.b, shared) {
			return false
		}
		// Two borders are not joined across.
		return !c.isOpen(e.a) || !c.isOpen(e.b)
	}
	return true
}

// spans tells whether a vertex has a triangle on two others.
func (c *collapser) spans(v uint32, two [2]uint32) bool {
	for _, f := range c.fan[v] {
		if t := c.tri[f]; !c.gone[f] && has(t, two[0]) && has(t, two[1]) {
			return true
		}
	}
	return false
}

// isOpen tells whether a vertex is on an open border.
func (c *collapser) isOpen(v uint32) bool {
	for _, f := range c.fan[v] {
		if c.gone[f] {
			continue
		}
		for _, o := range c.tri[f] {
			if o == v {
				continue
			}
			n := 0
			for _, g := range c.fan[v] {
				if !c.gone[g] && has(c.tri[g], o) {
					n++
				}
			}
			if n == 1 {
				return true
			}
		}
	}
	return false
}

// keeps tells whether the triangles of v that stay are not turned over or brought to
// needles.
func (c *collapser) keeps(at r3.Vec, v, other uint32) bool {
	for _, f := range c.fan[v] {
		t := c.tri[f]
		if c.gone[f] || has(t, other) {
			continue
		}
		was := [3]r3.Vec{c.at[t[0]], c.at[t[1]], c.at[t[2]]}
		is := was
		for k := range 3 {
			if t[k] == v {
				is[k] = at
			}
		}
		before, after := normal(was[0], was[1], was[2]), normal(is[0], is[1], is[2])
		b2, a2 := r3.Norm2(before), r3.Norm2(after)
		if !(b2 > 0) {
			continue
		}
		if !(a2 > 0) || r3.Dot(before, after) < leastTurn*math.Sqrt(b2*a2) {
			return false
		}
		if s := shape(is, a2); s < leastShape && s < shape(was, b2) {
			return false
		}
	}
	return true
}

// shape is 1 for an equilateral triangle and 0 for a needle, squared: the area
// against the sides.
func shape(p [3]r3.Vec, normal2 float64) float64 {
	sides := r3.Norm2(r3.Sub(p[1], p[0])) + r3.Norm2(r3.Sub(p[2], p[1])) + r3.Norm2(r3.Sub(p[0], p[2]))
	return 12 * normal2 / (sides * sides)
}

// merge collapses the edge onto its first vertex.
func (c *collapser) merge(e edge, at r3.Vec) {
	fan := make([]uint32, 0, len(c.fan[e.a])+len(c.fan[e.b]))
	for _, f := range c.fan[e.a] {
		if c.gone[f] {
			continue
		}
		if has(c.tri[f], e.b) {
			c.gone[f] = true
			c.left--
			continue
		}
		fan = append(fan, f)
	}
	for _, f := range c.fan[e.b] {
		if c.gone[f] {
			continue
		}
		for k := range 3 {
			if c.tri[f][k] == e.b {
				c.tri[f][k] = e.a
			}
		}
		fan = append(fan, f)
	}
	c.fan[e.a], c.fan[e.b] = fan, nil
	c.at[e.a] = at
	c.q[e.a].Add(&c.q[e.b])
	c.changes[e.a]++
	c.changes[e.b]++
	for _, b := range c.around(e.a) {
		c.heap.push(c.price(min(e.a, b), max(e.a, b)))
	}
}

// edges is a heap, the cheapest first.
type edges []edge

func (h edges) Len() int           { return len(h) }
func (h edges) Less(i, j int) bool { return h[i].before(&h[j]) }
func (h edges) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *edges) Push(any)          {} // push and pop spare the boxing
func (h *edges) Pop() any          { return nil }

func (h *edges) push(e edge) {
	*h = append(*h, e)
	heap.Fix(h, len(*h)-1)
}

func (h *edges) pop() edge {
	last := len(*h) - 1
	h.Swap(0, last)
	e := (*h)[last]
	if *h = (*h)[:last]; last > 0 {
		heap.Fix(h, 0)
	}
	return e
}
