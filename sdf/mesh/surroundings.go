package mesh

// surroundings is what a block's leaves need to know of their corners: its
// own leaves and the neighbours' that touch it.
type surroundings struct {
	t       *octree
	b       *block
	fine    bool              // some leaf about is finer than a cell
	cells   [cellPlaces]uint8 // marks at whole cells
	steps   []uint8           // and at every step, where it is fine
	touched []int32           // the steps to clear
}

const (
	markOutside = 1 << iota
	markInside
	markSplit // the middle of an edge or a face that is split
)

// cellPlaces is how many whole cells a block has, those of its far sides included.
const cellPlaces = (blockCells + 1) * (blockCells + 1) * (blockCells + 1)

// cellPlace is the place of a whole cell in an array of them.
func cellPlace(x, y, z int) int {
	const n = blockCells + 1
	return (z/cellSteps*n+y/cellSteps)*n + x/cellSteps
}

// stepPlace is the place of a step in an array of them.
func stepPlace(x, y, z int) int {
	const n = blockSteps + 1
	return (z*n+y)*n + x
}

func (s *surroundings) mark(x, y, z int) uint8 {
	if (x|y|z)%cellSteps == 0 {
		return s.cells[cellPlace(x, y, z)]
	}
	return s.steps[stepPlace(x, y, z)]
}

func (s *surroundings) put(x, y, z int, m uint8) {
	if (x|y|z)%cellSteps == 0 {
		s.cells[cellPlace(x, y, z)] |= m
		return
	}
	i := stepPlace(x, y, z)
	if s.steps[i] == 0 {
		s.touched = append(s.touched, int32(i))
	}
	s.steps[i] |= m
}

func (s *surroundings) inside(x, y, z int) bool { return s.mark(x, y, z)&markInside != 0 }

// isSplit says whether the edge or face whose middle is given is split.
func (s *surroundings) isSplit(x, y, z int) bool { return s.mark(x, y, z)&markSplit != 0 }

// splits says whether edges and faces of a size can be split at all here.
func (s *surroundings) splits(size int) bool { return size > cellSteps || s.fine && size > 1 }

// sum sums up the leaves and nodes of a block for its neighbours.
func (b *block) sum() {
	b.least, b.rim = blockSteps, b.rim[:0]
	for i := range b.leaves {
		b.least = min(b.least, b.leaves[i].size)
	}
	atSide := func(from, size uint8) bool { return from == 0 || int(from)+int(size) == blockSteps }
	for i, n := range b.nodes {
		if atSide(n.x, n.size) || atSide(n.y, n.size) || atSide(n.z, n.size) {
			b.rim = append(b.rim, int32(i))
		}
	}
}

// neighbour gives the block at an offset, or nil.
func (t *octree) neighbour(b *block, dx, dy, dz int32) *block {
	i, ok := t.beside(b, dx, dy, dz)
	if !ok {
		return nil
	}
	return t.blocks[i]
}

// look gathers the surroundings of b.
func (s *surroundings) look(t *octree, b *block) {
	s.t, s.b = t, b
	var near [27]*block
	s.fine = false
	for i := range int32(27) {
		near[i] = t.neighbour(b, i%3-1, i/3%3-1, i/9-1)
		s.fine = s.fine || near[i] != nil && near[i].least < cellSteps
	}
	if s.fine && s.steps == nil {
		s.steps = make([]uint8, stepPlace(0, 0, blockSteps+1))
	}
	clear(s.cells[:])
	for _, i := range s.touched {
		s.steps[i] = 0
	}
	s.touched = s.touched[:0]
	for i, other := range near {
		if other != nil {
			s.gather(other, i%3-1, i/3%3-1, i/9-1)
		}
	}
}

// touches says whether steps from..from+size of a block at an offset reach
// into this block.
func touches(from, size uint8, offset int) bool {
	switch offset {
	case -1:
		return int(from)+int(size) == blockSteps
	case 1:
		return from == 0
	}
	return true
}

// gather marks what a block, itself or a neighbour, knows of the places here: the
// middles of the edges and faces that are split, and their signs. The corners of a leaf
// are marked when it is traced.
func (s *surroundings) gather(b *block, dx, dy, dz int) {
	if b == s.b {
		for i := range b.nodes {
			s.gatherNode(&b.nodes[i], 0, 0, 0)
		}
		return
	}
	ox, oy, oz := dx*blockSteps, dy*blockSteps, dz*blockSteps
	for _, i := range b.rim {
		if n := &b.nodes[i]; touches(n.x, n.size, dx) && touches(n.y, n.size, dy) && touches(n.z, n.size, dz) {
			s.gatherNode(n, ox, oy, oz)
		}
	}
}

// middles are the points of a node, in half cells, that are not its corners, and the
// bit of each.
var middles = func() (list [19]struct{ i, j, k, bit int }) {
	n := 0
	for c := range 27 {
		if i, j, k := c%3, c/3%3, c/9; i == 1 || j == 1 || k == 1 {
			list[n] = struct{ i, j, k, bit int }{i, j, k, c}
			n++
		}
	}
	return list
}()

func (s *surroundings) gatherNode(l *node, ox, oy, oz int) {
	n := int(l.size / 2)
	if !s.splits(2 * n) {
		return
	}
	x, y, z := int(l.x)+ox, int(l.y)+oy, int(l.z)+oz
	for i := range middles {
		m := &middles[i]
		px, py, pz := x+n*m.i, y+n*m.j, z+n*m.k
		if px|py|pz >= 0 && px <= blockSteps && py <= blockSteps && pz <= blockSteps {
			s.put(px, py, pz, markSplit|markOf(l.inside>>m.bit&1 != 0))
		}
	}
}

func markOf(inside bool) uint8 {
	if inside {
		return markInside
	}
	return markOutside
}

// isRefined says whether a face or an edge of a leaf is split.
func (s *surroundings) isRefined(l *leaf) bool {
	if !s.splits(int(l.size)) {
		return false
	}
	x, y, z, n := int(l.x), int(l.y), int(l.z), int(l.size/2)
	for i := range middles {
		// The middle of the leaf itself is no concern.
		if m := &middles[i]; m.bit != 13 && s.isSplit(x+n*m.i, y+n*m.j, z+n*m.k) {
			return true
		}
	}
	return false
}

// markCorners marks the corners of a leaf.
func (s *surroundings) markCorners(l *leaf) {
	x, y, z, n := int(l.x), int(l.y), int(l.z), int(l.size)
	for c := range 8 {
		s.put(x+n*(c&1), y+n*(c>>1&1), z+n*(c>>2&1), markOf(l.inside>>c&1 != 0))
	}
}
