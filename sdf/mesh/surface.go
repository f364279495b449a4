package mesh

import (
	"context"
)

// contour makes the patches of the given blocks.
func (t *octree) contour(ctx context.Context, workers int, blocks []int32, patches []patch, safe map[ipoint]bool) error {
	return inParallel(ctx, workers, blocks, func() func(i int32) error {
		c := &contour{safe: safe}
		c.maker = c
		return func(i int32) error {
			patches[i] = c.run(t, t.blocks[i])
			t.add(&c.evaluator)
			return nil
		}
	})
}

// splitRounds is how often leaves that turn out too coarse are split: once a size,
// and once more for the neighbours that a split shows to be too coarse.
const splitRounds = 4

// surface makes the patches of all blocks. Leaves that are too coarse for what is in
// them (an apex that falls outside, a crease that ends within) are split, and
// the blocks about them made again, a few times: a split can show a neighbour to
// be too coarse in its turn.
func (t *octree) surface(ctx context.Context, workers int) ([]patch, error) {
	patches := make([]patch, len(t.blocks))
	dirty := t.all()
	for round := 0; ; round++ {
		if err := t.contour(ctx, workers, dirty, patches, nil); err != nil {
			return nil, err
		}
		if round == splitRounds {
			return patches, nil
		}
		var split []int32
		coarse := make([][]int32, len(t.blocks))
		for _, i := range dirty {
			for _, k := range patches[i].coarse {
				if t.blocks[i].leaves[k].size > 1 {
					coarse[i] = append(coarse[i], k)
				}
			}
			if len(coarse[i]) > 0 {
				split = append(split, i)
			}
		}
		if len(split) == 0 {
			return patches, nil
		}
		if err := t.splitAll(ctx, workers, split, coarse); err != nil {
			return nil, err
		}
		changed, err := t.untangle(ctx, workers, t.around(split))
		if err != nil {
			return nil, err
		}
		dirty = t.around(append(split, changed...))
	}
}
