package mesh

import (
	"slices"
)

// contour makes the patches of the given blocks.
func (t *octree) contour(w *crew, blocks []int32, patches []patch, safe map[ipoint]bool) error {
	return w.inParallel(blocks, func() func(i int32) error {
		c := &contour{safe: safe}
		c.maker = c
		return func(i int32) error {
			c.run(t, t.blocks[i], region{all: true})
			patches[i] = c.copy()
			t.add(&c.evaluator)
			return nil
		}
	})
}

// contourAgain makes the patches again where they are, and leaves the rest of them as it
// is. It lists, by block, the leaves there that are too coarse for what is in them.
func (t *octree) contourAgain(w *crew, where places, patches []patch) (coarse [][]int32, err error) {
	coarse = make([][]int32, len(t.blocks))
	err = w.inParallel(where.blocks, func() func(i int32) error {
		c := &contour{}
		c.maker = c
		m := patchMerger{shared: map[ipoint]int32{}}
		return func(i int32) error {
			in := where.in(i)
			c.run(t, t.blocks[i], in)
			coarse[i] = slices.Clone(c.coarse)
			patches[i] = m.merge(&patches[i], &c.patch, in)
			t.add(&c.evaluator)
			return nil
		}
	})
	return coarse, err
}

// patchMerger replaces a part of a patch; a worker keeps one and reuses it.
type patchMerger struct {
	out    patch
	number []int32          // by point of the patch that is read, in out; -1: not yet
	shared map[ipoint]int32 // points of leaves that stay which those beside them may have too
}

// merge gives the patch of old outside a region and of fresh within it.
func (m *patchMerger) merge(old, fresh *patch, in region) patch {
	m.out = patch{points: m.out.points[:0], triangles: m.out.triangles[:0], leaves: m.out.leaves[:0]}
	clear(m.shared)
	first := int32(0)
	m.begin(old)
	for _, l := range old.leaves {
		if !in.touches(l.x, l.y, l.z, l.size) {
			m.add(old, l, first, func(p ipoint) int32 {
				n := int32(len(m.out.points))
				m.out.points = append(m.out.points, p)
				m.shared[p] = n
				return n
			})
		}
		first = l.end
	}
	first = 0
	m.begin(fresh)
	for _, l := range fresh.leaves {
		m.add(fresh, l, first, func(p ipoint) int32 {
			if n, ok := m.shared[p]; ok {
				return n
			}
			m.out.points = append(m.out.points, p)
			return int32(len(m.out.points) - 1)
		})
		first = l.end
	}
	return m.out.copy()
}

// begin starts to read a patch.
func (m *patchMerger) begin(p *patch) {
	m.number = slices.Grow(m.number[:0], len(p.points))[:len(p.points)]
	for i := range m.number {
		m.number[i] = -1
	}
}

// add takes over the triangles of a leaf, from first on; place numbers a point that is new.
func (m *patchMerger) add(from *patch, l leafPatch, first int32, place func(p ipoint) int32) {
	for _, t := range from.triangles[first:l.end] {
		for k, v := range t {
			if m.number[v] < 0 {
				m.number[v] = place(from.points[v])
			}
			t[k] = m.number[v]
		}
		m.out.triangles = append(m.out.triangles, t)
	}
	l.end = int32(len(m.out.triangles))
	m.out.leaves = append(m.out.leaves, l)
}

// splitRounds is how often leaves that turn out too coarse are split: once a size,
// and once more for the neighbours that a split shows to be too coarse.
const splitRounds = 4

// surface makes the patches of all blocks. Leaves that are too coarse for what is in
// them are split, and those about them made again, a few times: a split can show a
// neighbour to be too coarse in its turn.
func (t *octree) surface(w *crew) ([]patch, error) {
	patches := make([]patch, len(t.blocks))
	w.meter.stage(doneContour, len(t.blocks))
	if err := t.contour(w, t.all(), patches, nil); err != nil {
		return nil, err
	}
	coarse := make([][]int32, len(t.blocks))
	for i := range patches {
		coarse[i], patches[i].coarse = patches[i].coarse, nil
	}
	isAny := func(list []int32) bool { return len(list) > 0 }
	for round := 0; round < splitRounds && slices.ContainsFunc(coarse, isAny); round++ {
		last, err := t.splitAll(w, coarse)
		if err != nil {
			return nil, err
		}
		more, err := t.untangle(w, last)
		if err != nil {
			return nil, err
		}
		last.add(more)
		where := t.about(last)
		w.meter.stage(doneSurface, len(where.blocks))
		if coarse, err = t.contourAgain(w, where, patches); err != nil {
			return nil, err
		}
	}
	return patches, nil
}
