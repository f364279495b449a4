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

// judge lists, by block, the leaves that are too coarse for what is in them.
func (t *octree) judge(w *crew, where places) (coarse [][]int32, err error) {
	coarse = make([][]int32, len(t.blocks))
	err = w.inParallel(where.blocks, func() func(i int32) error {
		c := &contour{}
		c.maker = c
		return func(i int32) error {
			c.run(t, t.blocks[i], where.in(i))
			coarse[i] = slices.Clone(c.coarse)
			t.add(&c.evaluator)
			return nil
		}
	})
	return coarse, err
}

// splitRounds is how often leaves that turn out too coarse are split: once a size,
// and once more for the neighbours that a split shows to be too coarse.
const splitRounds = 4

// surface makes the patches of all blocks. Leaves that are too coarse for what is in
// them are split, and those about them judged again, a few times: a split can show a
// neighbour to be too coarse in its turn.
func (t *octree) surface(w *crew) ([]patch, error) {
	patches := make([]patch, len(t.blocks))
	w.meter.stage(doneContour, len(t.blocks))
	if err := t.contour(w, t.all(), patches, nil); err != nil {
		return nil, err
	}
	coarse := make([][]int32, len(t.blocks))
	for i := range patches {
		coarse[i] = patches[i].coarse
	}
	isAny := func(list []int32) bool { return len(list) > 0 }
	every := make(splits, len(t.blocks))
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
		every.add(last)
		if coarse, err = t.judge(w, t.about(last)); err != nil {
			return nil, err
		}
	}
	again := t.about(every).blocks
	w.meter.stage(doneSurface, len(again))
	return patches, t.contour(w, again, patches, nil)
}
