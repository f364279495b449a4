package mesh

import "context"

// untangle splits every leaf that holds more than one sheet of surface, until
// none is left but at the finest size; those are listed as multi. Splitting a
// leaf can tangle its neighbours, so it goes round until nothing changes; a
// round splits at least one leaf and leaves have a finest size, so it ends.
// Only the blocks given are looked at first; changed lists those that split.
func (t *octree) untangle(ctx context.Context, workers int, dirty []int32) (changed []int32, err error) {
	for len(dirty) > 0 {
		tangled := make([][]int32, len(t.blocks))
		err = inParallel(ctx, workers, dirty, func() func(i int32) error {
			c := &loopCounter{}
			c.maker = c
			return func(i int32) error {
				b := t.blocks[i]
				tangled[i], b.multi = c.tangledLeaves(t, b)
				return nil
			}
		})
		if err != nil {
			return nil, err
		}
		var split []int32
		for _, i := range dirty {
			if len(tangled[i]) > 0 {
				split = append(split, i)
			}
		}
		if err := t.splitAll(ctx, workers, split, tangled); err != nil {
			return nil, err
		}
		changed = append(changed, split...)
		dirty = t.around(split)
	}
	return changed, nil
}

// splitAll splits the leaves listed for each of the given blocks.
func (t *octree) splitAll(ctx context.Context, workers int, blocks []int32, leaves [][]int32) error {
	return inParallel(ctx, workers, blocks, func() func(i int32) error {
		d := &descent{t: t}
		return func(i int32) error {
			d.splitLeaves(t.blocks[i], leaves[i])
			t.add(&d.evaluator)
			return nil
		}
	})
}

// all lists every block.
func (t *octree) all() []int32 { return numbers(len(t.blocks)) }

// around lists, in order, the given blocks and all their neighbours.
func (t *octree) around(blocks []int32) []int32 {
	near := make([]bool, len(t.blocks))
	for _, i := range blocks {
		b := t.blocks[i]
		for k := range int32(27) {
			if j, ok := t.index[[3]int32{b.at[0] + k%3 - 1, b.at[1] + k/3%3 - 1, b.at[2] + k/9 - 1}]; ok {
				near[j] = true
			}
		}
	}
	var out []int32
	for i, is := range near {
		if is {
			out = append(out, int32(i))
		}
	}
	return out
}

// splitLeaves splits the leaves listed, in order; the rest keep theirs.
func (d *descent) splitLeaves(b *block, list []int32) {
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
		d.split(int(l.x), int(l.y), int(l.z), int(l.size), b.fields[l.field])
	}
	b.least = b.finest()
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

func (c *loopCounter) tangledLeaves(t *octree, b *block) (split, multi []int32) {
	c.look(t, b)
	c.edges.reset()
	c.vertices = 0
	for i := range b.leaves {
		l := &b.leaves[i]
		if l.near && c.fine {
			// A finer neighbour may see the surface come through the shared face.
			if c.trace(l); len(c.segments) > 0 {
				split = append(split, int32(i))
			}
			continue
		}
		if !l.crossed() {
			continue
		}
		c.trace(l)
		switch {
		case !c.tangled:
		case l.size > 1:
			split = append(split, int32(i))
		default:
			multi = append(multi, int32(i))
		}
	}
	return split, multi
}
