package mesh

// splits are the leaves that were split, by block: the nodes that they became.
type splits [][]node

func (s splits) add(more splits) {
	for i, nodes := range more {
		s[i] = append(s[i], nodes...)
	}
}

// untangle splits every leaf that holds more than one sheet of surface, until
// none is left but at the finest size; those are marked multi. Splitting a
// leaf can tangle its neighbours, so it goes round until nothing changes; a
// round splits at least one leaf and leaves have a finest size, so it ends.
// After the first time, only leaves that touch the last splits are looked at. Leaves that
// were marked multi, or no longer are, are given among those that were split: their faces
// change.
func (t *octree) untangle(w *crew, last splits) (done splits, err error) {
	done = make(splits, len(t.blocks))
	where := t.everywhere()
	if last != nil {
		where = t.about(last)
	}
	for len(where.blocks) > 0 {
		tangled := make([][]int32, len(t.blocks))
		err = w.inParallel(where.blocks, func() func(i int32) error {
			c := &loopCounter{}
			c.maker = c
			return func(i int32) error {
				tangled[i] = c.tangledLeaves(t, t.blocks[i], where.in(i), &done[i])
				return nil
			}
		})
		if err != nil {
			return nil, err
		}
		last, err := t.splitAll(w, tangled)
		if err != nil {
			return nil, err
		}
		done.add(last)
		where = t.about(last)
	}
	return done, nil
}

// splitAll splits the leaves listed for each block.
func (t *octree) splitAll(w *crew, leaves [][]int32) (splits, error) {
	var blocks []int32
	for i, list := range leaves {
		if len(list) > 0 {
			blocks = append(blocks, int32(i))
		}
	}
	done := make(splits, len(t.blocks))
	err := w.inParallel(blocks, func() func(i int32) error {
		d := &descent{t: t}
		return func(i int32) error {
			done[i] = d.splitLeaves(t.blocks[i], leaves[i])
			t.add(&d.evaluator)
			return nil
		}
	})
	return done, err
}

// all lists every block.
func (t *octree) all() []int32 { return numbers(len(t.blocks)) }

// splitLeaves splits the leaves listed, in order, and gives the nodes they became;
// the rest stay.
func (d *descent) splitLeaves(b *block, list []int32) (done []node) {
	d.b = b
	clear(d.corners[:])
	old := b.leaves
	b.leaves = make([]leaf, 0, len(old)+7*len(list))
	for i := range old {
		if len(list) == 0 || list[0] != int32(i) {
			b.leaves = append(b.leaves, old[i])
			continue
		}
		list = list[1:]
		l := &old[i]
		done = append(done, node{x: l.x, y: l.y, z: l.z, size: l.size})
		d.split(int(l.x), int(l.y), int(l.z), int(l.size), d.t.fieldOf(b, l), d.known(l))
	}
	b.sum()
	return done
}

// known is what is known of the signs about a leaf.
func (d *descent) known(l *leaf) *halves {
	var h halves
	for c := range 8 {
		h[halfPlace(c)] = signOf(l.inside>>c&1 != 0)
	}
	return &h
}

// loopCounter is a tracer that only counts: vertices are numbers, faces are plain.
type loopCounter struct {
	tracer
	edges    keyTable
	vertices int32
}

func (c *loopCounter) crossing(x, y, z, axis, _ int) int32 {
	k := key(x, y, z, axis)
	v, ok := c.edges.get(k)
	if !ok {
		v = c.vertices
		c.vertices++
		c.edges.put(k, v)
	}
	return v
}

func (c *loopCounter) bend(_, _, _, _, _ int, _, _ int32) int32 { return -1 }

// tangledLeaves lists the leaves that are to be split, and marks the multi ones; those of
// which the mark changes are added to turned.
func (c *loopCounter) tangledLeaves(t *octree, b *block, in region, turned *[]node) (split []int32) {
	c.look(t, b)
	c.edges.reset()
	c.vertices = 0
	b.multis = 0
	for i := range b.leaves {
		l := &b.leaves[i]
		if in.holds(l) {
			tangled := c.isTangled(l)
			if tangled && l.size > 1 {
				split = append(split, int32(i))
			} else if multi := l.crossed() && tangled; multi != l.multi {
				l.multi = multi
				*turned = append(*turned, node{x: l.x, y: l.y, z: l.z, size: l.size})
			}
		}
		if l.multi {
			b.multis++
		}
	}
	return split
}

// isTangled says whether a leaf holds more than one plain sheet, or, where its
// corners see none, whether a finer neighbour does: one that comes in through the
// face they share.
func (c *loopCounter) isTangled(l *leaf) bool {
	switch {
	case l.crossed() && !c.isRefined(l):
		return tangledSigns[l.inside]
	case l.crossed():
		c.trace(l)
		return c.tangled
	case l.near && c.fine:
		c.trace(l)
		return len(c.segments) > 0
	}
	return false
}

// tangledSigns says of the signs of a leaf with no finer neighbour whether they give
// more than one plain sheet.
var tangledSigns = func() (table [256]bool) {
	for signs := range table {
		table[signs] = isTangledPattern(uint8(signs))
	}
	return table
}()

// isTangledPattern says whether a face of a cube has its signs crosswise, or the corners
// fall into more than one piece inside and one outside, joined along edges: k loops
// part the surface of the cube into k+1 pieces.
func isTangledPattern(signs uint8) bool {
	inside := func(c int) bool { return signs>>c&1 != 0 }
	var piece [8]int
	for c := range piece {
		piece[c] = c
	}
	pieces := 8
	for axis := range 3 {
		u, v := 1<<((axis+1)%3), 1<<((axis+2)%3)
		for _, low := range [2]int{0, 1 << axis} {
			a, b, c, d := low, low|u, low|u|v, low|v
			if inside(a) == inside(c) && inside(b) == inside(d) && inside(a) != inside(b) {
				return true
			}
		}
		for a := range 8 {
			b := a | 1<<axis
			if a == b || inside(a) != inside(b) || piece[a] == piece[b] {
				continue
			}
			pieces--
			from, to := piece[b], piece[a]
			for c := range piece {
				if piece[c] == from {
					piece[c] = to
				}
			}
		}
	}
	return pieces > 2
}
