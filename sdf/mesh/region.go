package mesh

// region is where to look within a block: at the leaves that share more than a corner
// with one of the boxes, or at all. Where cells share just a corner, neither knows what
// becomes of the other: their faces and edges are not the same.
type region struct {
	boxes []stepBox
	all   bool
}

// stepBox is a closed box in the steps of a block.
type stepBox struct{ lo, hi [3]int16 }

func (r region) holds(l *leaf) bool { return r.touches(l.x, l.y, l.z, l.size) }

// touches says whether a cell of a size shares more than a corner with the region.
func (r region) touches(x, y, z, size uint8) bool {
	if r.all {
		return true
	}
	lo := [3]int16{int16(x), int16(y), int16(z)}
	n := int16(size)
	for i := range r.boxes {
		b := &r.boxes[i]
		if lo[0] > b.hi[0] || lo[1] > b.hi[1] || lo[2] > b.hi[2] ||
			lo[0]+n < b.lo[0] || lo[1]+n < b.lo[1] || lo[2]+n < b.lo[2] {
			continue
		}
		beside := func(a int) bool { return lo[a] == b.hi[a] || lo[a]+n == b.lo[a] }
		if !(beside(0) && beside(1) && beside(2)) {
			return true
		}
	}
	return false
}

// places are the blocks to look at, in order, and where within them.
type places struct {
	blocks []int32
	boxes  [][]stepBox // by block; nil: everywhere
}

func (p *places) in(block int32) region {
	if p.boxes == nil {
		return region{all: true}
	}
	return region{boxes: p.boxes[block]}
}

// everywhere is all of all blocks.
func (t *octree) everywhere() places { return places{blocks: t.all()} }

// about gives where leaves touch those that were split: what a split may change.
func (t *octree) about(s splits) places {
	p := places{boxes: make([][]stepBox, len(t.blocks))}
	for i, nodes := range s {
		for k := range int32(27) {
			if len(nodes) == 0 {
				break
			}
			dx, dy, dz := k%3-1, k/3%3-1, k/9-1
			j, ok := t.beside(t.blocks[i], dx, dy, dz)
			if !ok {
				continue
			}
			for _, n := range nodes {
				if !touches(n.x, n.size, int(-dx)) || !touches(n.y, n.size, int(-dy)) || !touches(n.z, n.size, int(-dz)) {
					continue
				}
				b := stepBox{lo: [3]int16{
					int16(int32(n.x) - dx*blockSteps), int16(int32(n.y) - dy*blockSteps), int16(int32(n.z) - dz*blockSteps),
				}}
				for a := range 3 {
					b.hi[a] = b.lo[a] + int16(n.size)
				}
				p.boxes[j] = append(p.boxes[j], b)
			}
		}
	}
	for i, boxes := range p.boxes {
		if len(boxes) > 0 {
			p.blocks = append(p.blocks, int32(i))
		}
	}
	return p
}

// beside gives the number of the block at an offset; ok is false where there is none.
func (t *octree) beside(b *block, dx, dy, dz int32) (int32, bool) {
	i, ok := t.index[[3]int32{b.at[0] + dx, b.at[1] + dy, b.at[2] + dz}]
	return i, ok
}

// around lists, in order, the given blocks and all their neighbours.
func (t *octree) around(blocks []int32) []int32 {
	near := make([]bool, len(t.blocks))
	for _, i := range blocks {
		b := t.blocks[i]
		for k := range int32(27) {
			if j, ok := t.beside(b, k%3-1, k/3%3-1, k/9-1); ok {
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
