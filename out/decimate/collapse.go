package decimate

import (
	"context"
	"math"
	"slices"
)

// borderWeight is how much more a border between tones, or an open edge, weighs
// than a face of its size: planes through it, upright on the surface, hold it
// (Garland and Heckbert 1997, section 6). Tuned: below 3 borders fray, above 30
// they take triangles that shapes need.
const borderWeight = 10

// turned is the least cosine between a triangle's normal before and after.
const turned = 0.2

// candidate is an edge that may be collapsed, as it was when it was put up.
type candidate struct {
	cost   float64
	a, b   int32
	sa, sb int32 // how often a and b had changed
	to     vec
}

// before orders candidates in one way alone, so that ties are settled too.
func (c *candidate) before(d *candidate) bool {
	if c.cost != d.cost {
		return c.cost < d.cost
	}
	if c.a != d.a {
		return c.a < d.a
	}
	return c.b < d.b
}

// heap is a binary heap of candidates.
type heap []candidate

func (h *heap) push(c candidate) {
	*h = append(*h, c)
	s := *h
	i := len(s) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !c.before(&s[up]) {
			break
		}
		s[i] = s[up]
		i = up
	}
	s[i] = c
}

func (h *heap) pop() candidate {
	s := *h
	top, c := s[0], s[len(s)-1]
	s = s[:len(s)-1]
	*h = s
	if len(s) == 0 {
		return top
	}
	i := 0
	for {
		k := 2*i + 1
		if k >= len(s) {
			break
		}
		if k+1 < len(s) && s[k+1].before(&s[k]) {
			k++
		}
		if !s[k].before(&c) {
			break
		}
		s[i] = s[k]
		i = k
	}
	s[i] = c
	return top
}

// collapser collapses edges.
type collapser struct {
	*work
	forms   []quadric
	around  [][]int32 // faces of each vertex; those that are gone are swept out now and then
	changed []int32
	mark    []int32 // of a vertex: the round it was last met in
	round   int32
	queue   heap
	later   [][]candidate // of each vertex: edges that may be collapsed once a neighbour has moved
	ring    []int32
}

// collapse collapses edges until at most `most` faces are left or none can be.
func (w *work) collapse(ctx context.Context, most int) error {
	c := &collapser{work: w}
	c.prepare()
	left := len(w.faces)
	for turn := 0; left > most && len(c.queue) > 0; turn++ {
		if turn&1023 == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		e := c.queue.pop()
		if c.changed[e.a] != e.sa || c.changed[e.b] != e.sb {
			continue
		}
		if !c.settle(&e) {
			c.later[e.a] = append(c.later[e.a], e)
			c.later[e.b] = append(c.later[e.b], e)
			continue
		}
		left -= c.carry(e)
	}
	return nil
}

// prepare sums up the quadrics, and puts up every edge.
func (c *collapser) prepare() {
	n := len(c.at)
	c.forms, c.around = make([]quadric, n), make([][]int32, n)
	c.changed, c.mark = make([]int32, n), make([]int32, n)
	c.later = make([][]candidate, n)
	type side struct {
		a, b int32
		face int32
	}
	sides := make([]side, 0, 3*len(c.faces))
	degree := make([]int32, n)
	for _, f := range c.faces {
		for _, v := range f {
			degree[v]++
		}
	}
	store := make([]int32, 3*len(c.faces))
	for v, d := range degree {
		c.around[v], store = store[:0:d], store[d:]
	}
	for i, f := range c.faces {
		for k, v := range f {
			c.around[v] = append(c.around[v], int32(i))
			u := f[(k+1)%3]
			sides = append(sides, side{min(u, v), max(u, v), int32(i)})
		}
		m := normalOf(c.at[f[0]], c.at[f[1]], c.at[f[2]])
		length := m.length()
		if length == 0 {
			continue
		}
		q := plane(m.scaled(1/length), c.at[f[0]], length/6)
		for _, v := range f {
			c.forms[v].add(&q)
		}
	}
	slices.SortFunc(sides, func(x, y side) int {
		if x.a != y.a {
			return int(x.a) - int(y.a)
		}
		if x.b != y.b {
			return int(x.b) - int(y.b)
		}
		return int(x.face) - int(y.face)
	})
	var starts []int
	for i := 0; i < len(sides); {
		j, border := i+1, false
		for ; j < len(sides) && sides[j].a == sides[i].a && sides[j].b == sides[i].b; j++ {
			border = border || c.tones[sides[j].face] != c.tones[sides[i].face]
		}
		starts = append(starts, i)
		if border || j == i+1 {
			for _, s := range sides[i:j] {
				c.hold(s.a, s.b, s.face)
			}
		}
		i = j
	}
	for _, i := range starts {
		c.put(sides[i].a, sides[i].b)
	}
}

// hold adds the plane through an edge that is upright on a face.
func (c *collapser) hold(a, b, face int32) {
	f := c.faces[face]
	along := c.at[b].sub(c.at[a])
	n := normalOf(c.at[f[0]], c.at[f[1]], c.at[f[2]]).cross(along)
	length := n.length()
	if length == 0 {
		return
	}
	q := plane(n.scaled(1/length), c.at[a], borderWeight*along.dot(along))
	c.forms[a].add(&q)
	c.forms[b].add(&q)
}

// put puts an edge up.
func (c *collapser) put(a, b int32) {
	if a > b {
		a, b = b, a
	}
	q := c.forms[a]
	q.add(&c.forms[b])
	p, o := c.at[a], c.at[b]
	middle := p.add(o).scaled(0.5)
	long := o.sub(p).length()
	e := candidate{cost: math.Inf(1), a: a, b: b, sa: c.changed[a], sb: c.changed[b]}
	// An end that is as good as any place between keeps flats flat and edges straight.
	margin := 1e-7 * (q.xx + q.yy + q.zz) * long * long
	try := func(to vec, margin float64) {
		if cost := q.at(to); cost+margin < e.cost {
			e.cost, e.to = cost, to
		}
	}
	try(p, 0)
	try(o, 0)
	if to, ok := q.least(middle); ok && to.sub(middle).length() <= 2*long {
		try(to, margin)
	}
	try(middle, margin)
	// Where the planes do not settle the order, the shorter edge goes first.
	e.cost += 1e-10 * long * long
	c.queue.push(e)
}

// settle tells whether an edge may be collapsed; where it may not to its best place,
// one of its ends that is as good will do.
func (c *collapser) settle(e *candidate) bool {
	if c.allowed(*e) {
		return true
	}
	q := c.forms[e.a]
	q.add(&c.forms[e.b])
	for _, end := range [2]int32{e.a, e.b} {
		if to := c.at[end]; to != e.to && q.at(to) <= e.cost {
			e.to = to
			if c.allowed(*e) {
				return true
			}
		}
	}
	return false
}

// allowed tells whether the surface stays what it is: the neighbours that a and b
// share are just those of the faces at their edge (the link condition of Dey,
// Edelsbrunner, Guha and Nekhayev, Topology preserving edge contraction, 1999), and
// no triangle turns over or vanishes.
func (c *collapser) allowed(e candidate) bool {
	c.round += 2
	near, shared := c.round-1, c.round
	// Neighbours of a.
	for _, f := range c.around[e.a] {
		if c.faces[f][0] >= 0 {
			for _, v := range c.faces[f] {
				c.mark[v] = near
			}
		}
	}
	common := 0
	opposite := 0
	for _, f := range c.around[e.b] {
		t := c.faces[f]
		if t[0] < 0 {
			continue
		}
		has := t[0] == e.a || t[1] == e.a || t[2] == e.a
		for _, v := range t {
			if v == e.a || v == e.b {
				continue
			}
			if has {
				opposite++
			}
			if c.mark[v] == near {
				c.mark[v] = shared
				common++
			}
		}
	}
	if opposite == 0 || opposite > 2 || common != opposite {
		return false
	}
	pockets := 0
	for _, end := range [2]int32{e.a, e.b} {
		for _, f := range c.around[end] {
			t := c.faces[f]
			if t[0] < 0 {
				continue
			}
			both, met := 0, 0
			after := [3]vec{}
			for k, v := range t {
				after[k] = c.at[v]
				if v == e.a || v == e.b {
					after[k] = e.to
					both++
				} else if c.mark[v] == shared {
					met++
				}
			}
			if both == 2 {
				continue
			}
			if met == 2 {
				pockets++ // with one at the other end too it would shut
			}
			was := normalOf(c.at[t[0]], c.at[t[1]], c.at[t[2]])
			is := normalOf(after[0], after[1], after[2])
			a, b := was.length(), is.length()
			if b < 1e-14 || a > 1e-14 && was.dot(is) < turned*a*b {
				return false
			}
		}
	}
	return pockets < 2
}

// carry collapses an edge into its vertex a, and tells how many faces went.
func (c *collapser) carry(e candidate) (gone int) {
	a, b := e.a, e.b
	c.at[a] = e.to
	c.forms[a].add(&c.forms[b])
	c.changed[b]++
	ring := c.ring[:0]
	for _, end := range [2]int32{a, b} {
		for _, f := range c.around[end] {
			t := &c.faces[f]
			if t[0] < 0 {
				continue
			}
			ends := 0
			for _, v := range t {
				if v == a || v == b {
					ends++
				}
			}
			if ends == 2 {
				t[0] = -1
				gone++
				continue
			}
			for k, v := range t {
				if v == b {
					t[k] = a
				}
			}
			ring = append(ring, f)
		}
	}
	c.around[a] = append([]int32(nil), ring...)
	c.around[b] = nil
	c.later[a], c.later[b] = nil, nil
	c.ring = ring
	c.changed[a]++
	c.round++
	c.mark[a] = c.round
	for _, f := range c.around[a] {
		for _, v := range c.faces[f] {
			if c.mark[v] != c.round {
				c.mark[v] = c.round
				c.put(a, v)
				for _, e := range c.later[v] {
					if c.changed[e.a] == e.sa && c.changed[e.b] == e.sb {
						c.queue.push(e)
					}
				}
				c.later[v] = c.later[v][:0]
			}
		}
	}
	return gone
}
