package mesh

import (
	"math"
	"slices"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// leaf is a cell of the octree that is not split: size steps a side at (x,y,z)
// steps within its block.
//
//	corner i is at (x + size*(i&1), y + size*(i>>1&1), z + size*(i>>2&1))
//
//	    6-------7
//	   /|      /|       z
//	  4-------5 |       | y
//	  | 2-----|-3       |/
//	  |/      |/        +-- x
//	  0-------1
type leaf struct {
	x, y, z, size uint8
	inside        uint8 // bit i: corner i is inside the solid
	near          bool  // the surface may enter, though no corner tells
	multi         bool  // of the finest size, and more than one sheet passes
	field         uint32
}

// crossed says whether the surface passes between the leaf's corners.
func (l *leaf) crossed() bool { return l.inside != 0 && l.inside != 0xff }

// node is a cell that is split. Bit i+3j+9k of inside says whether the point i, j, k
// half cells from its least corner is inside the solid.
type node struct {
	x, y, z, size uint8
	inside        uint32
}

// block is one cube of blockCells cells a side: the unit of parallel work.
type block struct {
	at     [3]int32
	root   sdf.Field   // simplified for the block
	fields []sdf.Field // simplified further, each for the leaves of one cell
	leaves []leaf      // crossed or not, in order of descent
	nodes  []node
	least  uint8   // the finest leaf size
	multis int     // how many leaves are multi
	rim    []int32 // the nodes that touch a side of the block
}

// evaluator counts what it evaluates.
type evaluator struct{ fields, prims int64 }

func (e *evaluator) value(f sdf.Field, p r3.Vec) float64 {
	e.fields++
	e.prims += int64(f.Cost())
	return f.Value(p)
}

func (e *evaluator) gradient(f sdf.Field, p r3.Vec) (float64, r3.Vec) {
	e.fields++
	e.prims += int64(f.Cost())
	return f.Gradient(p)
}

func (e *evaluator) side(f sdf.Field, b sdf.Ball) int {
	e.fields++
	e.prims += int64(f.Cost())
	return sdf.Side(f, b)
}

// reach is a little more than half the diagonal of a cube, per side: a field
// further from zero than reach*side at the centre has no surface in the cube.
const reach = 0.8660254037844387 * (1 + 1e-12)

// cubeBall is the ball about a cube of a length in units.
func cubeBall(lo ipoint, length int32) sdf.Ball {
	half := float64(length) * unit / 2
	return sdf.Ball{C: r3.Add(lo.vec(), r3.Vec{X: half, Y: half, Z: half}), R: 2 * half * reach}
}

// octree is the whole descent.
type octree struct {
	grid
	field  sdf.Field
	size   [3]int32 // blocks along each axis
	limits ibox     // the box that holds the solid: nothing may lie beyond it
	levels []int32  // heights of level surfaces, units, lowest first
	blocks []*block
	index  map[[3]int32]int32
	counts evaluator

	simplify func(f sdf.Field, b sdf.Ball) sdf.Field // for cubes of blocks
}

// within moves p along an axis by some units, no further than the limits, and onto a
// level surface that is as near as what the place is known to. A crossing, a bend or an
// apex is found to within a tolerance; a plinth's foot is to be at 0, not a thousandth
// below, and no stone a thousandth over its level.
func (t *octree) within(p ipoint, axis int, by, known int32) ipoint {
	p[axis] = min(max(p[axis]+by, t.limits.lo[axis]), t.limits.hi[axis])
	if axis == 2 {
		p[2] = t.levelled(p[2], known)
	}
	return p
}

// knownTo is the share of the side of a cell that bends and apexes are known to.
const knownTo = 200

// nearlyLevel is how far, in units, rounding may take a point off a level surface: a
// micrometre.
const nearlyLevel = 4

// known is what a bend or an apex in a cell of that length is known to, units.
func known(length int32) int32 { return max(nearlyLevel, length/knownTo) }

// levelled is the level surface nearest to a height, where it is that near; else the height.
func (t *octree) levelled(z, near int32) int32 {
	i, _ := slices.BinarySearch(t.levels, z)
	switch {
	case i < len(t.levels) && t.levels[i]-z <= near && (i == 0 || t.levels[i]-z <= z-t.levels[i-1]):
		return t.levels[i]
	case i > 0 && z-t.levels[i-1] <= near:
		return t.levels[i-1]
	}
	return z
}

// cubeOfBlocks is a cube of n blocks a side, from the block at on, that the surface may enter.
type cubeOfBlocks struct {
	at [3]int32
	n  int32
	f  sdf.Field
}

// halve gives the octants of a cube of blocks that the surface may enter, in order.
func (t *octree) halve(e *evaluator, c cubeOfBlocks) (out []cubeOfBlocks) {
	n := c.n / 2
	for i := range int32(8) {
		o := cubeOfBlocks{at: [3]int32{c.at[0] + n*(i&1), c.at[1] + n*(i>>1&1), c.at[2] + n*(i>>2&1)}, n: n, f: c.f}
		if t.prune(e, &o) {
			out = append(out, o)
		}
	}
	return out
}

// prune simplifies the field for a cube of blocks; it is false where the cube is beyond
// the grid or the surface cannot enter.
func (t *octree) prune(e *evaluator, c *cubeOfBlocks) bool {
	for i := range 3 {
		if c.at[i] >= t.size[i] {
			return false
		}
	}
	ball := t.ball(c)
	if e.side(c.f, ball) != 0 {
		return false
	}
	c.f = t.simplify(c.f, ball)
	return true
}

// ball is the ball about a cube of blocks.
func (t *octree) ball(c *cubeOfBlocks) sdf.Ball {
	return cubeBall(t.at(c.at, 0, 0, 0), c.n*blockSteps*t.step)
}

// findCubes finds the cubes of blocks that the surface can enter, in the order of a
// descent: level by level, the cubes of a level in parallel, until those of so many
// blocks a side will do, or they are single blocks.
func (t *octree) findCubes(w *crew, enough func(blocks int32) bool) ([]cubeOfBlocks, error) {
	all := cubeOfBlocks{n: 1, f: t.field}
	for all.n < max(t.size[0], t.size[1], t.size[2]) {
		all.n *= 2
	}
	var level []cubeOfBlocks
	if t.prune(&t.counts, &all) {
		level = append(level, all)
	}
	for n := all.n; n > 1 && !enough(n); n /= 2 {
		parts := make([][]cubeOfBlocks, len(level))
		err := w.inParallel(numbers(len(level)), func() func(i int32) error {
			e := &evaluator{}
			return func(i int32) error {
				parts[i] = t.halve(e, level[i])
				t.add(e)
				return nil
			}
		})
		if err != nil {
			return nil, err
		}
		level = slices.Concat(parts...)
	}
	return level, nil
}

// findBlocks finds the blocks that the surface can enter.
func (t *octree) findBlocks(w *crew) error {
	level, err := t.findCubes(w, func(int32) bool { return false })
	if err != nil {
		return err
	}
	t.index = make(map[[3]int32]int32, len(level))
	for i, c := range level {
		t.index[c.at] = int32(i)
		t.blocks = append(t.blocks, &block{at: c.at, root: c.f})
	}
	return nil
}

// descent descends within one block; a worker keeps one and reuses it.
type descent struct {
	evaluator
	t *octree
	b *block
	// corners remembers signs at whole cells.
	corners [cellPlaces]corner
}

// corner is what is known of the sign at a place.
type corner uint8

const (
	unknown corner = iota
	signOutside
	signInside
)

func signOf(inside bool) corner {
	if inside {
		return signInside
	}
	return signOutside
}

// halves remembers signs about a cell: that i, j, k half cells from its least corner at
// i+3j+9k. So what cells of one split share is looked at once.
type halves [27]corner

// halfPlace is where halves keep a corner of the cell; of an octant, half as far from the
// octant's own.
func halfPlace(corner int) int { return 2*(corner&1) + 6*(corner>>1&1) + 18*(corner>>2&1) }

// octant is what is known of the corners of an octant.
func (h *halves) octant(i int) (o halves) {
	for c := range 8 {
		o[halfPlace(c)] = h[(halfPlace(i)+halfPlace(c))/2]
	}
	return o
}

// learn takes over what became known of the corners of an octant.
func (h *halves) learn(i int, o *halves) {
	for c := range 8 {
		h[(halfPlace(i)+halfPlace(c))/2] = o[halfPlace(c)]
	}
}

func (d *descent) run(b *block) {
	d.b = b
	clear(d.corners[:])
	b.leaves, b.nodes, b.fields = b.leaves[:0], b.nodes[:0], b.fields[:0]
	d.descend(0, 0, 0, blockSteps, b.root, &halves{})
	b.sum()
}

// descend makes the leaves of a cell, and gives the signs of its corners as a leaf does.
func (d *descent) descend(x, y, z, size int, f sdf.Field, known *halves) uint8 {
	length := int32(size) * d.t.step
	ball := cubeBall(d.t.at(d.b.at, x, y, z), length)
	if side := d.side(f, ball); side != 0 {
		return d.uniform(x, y, z, size, side < 0)
	}
	pruned := f
	if size > cellSteps || size == cellSteps && f.Cost() > cheap {
		pruned = f.Prune(ball)
	}
	if size <= cellSteps || sdf.IsFlat(pruned) {
		inside := d.signs(x, y, z, size, pruned, known)
		if inside != 0 && inside != 0xff {
			if size == 1 || sdf.IsFlat(pruned) || !d.hides(x, y, z, size, inside, pruned, known) {
				d.leaf(x, y, z, size, inside, false, f)
				return inside
			}
			return d.split(x, y, z, size, pruned, known)
		}
		// No corner sees the surface. If something thin comes into the cell all the
		// same, look closer, as long as there is a finer size; a hollow as thin is passed
		// over.
		if size == 1 || sdf.IsFlat(pruned) {
			return d.uniform(x, y, z, size, inside != 0)
		}
		if inside != 0 || !d.enters(pruned, ball.C, float64(length)*unit) {
			d.leaf(x, y, z, size, inside, true, f)
			return inside
		}
	}
	return d.split(x, y, z, size, pruned, known)
}

// split makes eight cells of one, and gives the signs of its corners.
func (d *descent) split(x, y, z, size int, f sdf.Field, known *halves) uint8 {
	at := len(d.b.nodes)
	d.b.nodes = append(d.b.nodes, node{x: uint8(x), y: uint8(y), z: uint8(z), size: uint8(size)})
	n := size / 2
	var inside uint32
	for i := range 8 {
		octant := known.octant(i)
		signs := d.descend(x+n*(i&1), y+n*(i>>1&1), z+n*(i>>2&1), n, f, &octant)
		known.learn(i, &octant)
		inside |= octants[signs] << (i&1 + 3*(i>>1&1) + 9*(i>>2&1))
	}
	d.b.nodes[at].inside = inside
	var corners uint8
	for i := range 8 {
		if inside>>(2*(i&1)+6*(i>>1&1)+18*(i>>2&1))&1 != 0 {
			corners |= 1 << i
		}
	}
	return corners
}

// octants places the signs of a leaf's corners as those of the first octant of a node.
var octants = func() (table [256]uint32) {
	for signs := range table {
		for i := range 8 {
			table[signs] |= uint32(signs>>i&1) << (i&1 + 3*(i>>1&1) + 9*(i>>2&1))
		}
	}
	return table
}()

// hides says whether an edge of the cell hides a pair of crossings: whether its
// middle is inside the solid and both of its ends are outside. So a fin that stands on
// a floor is not passed over.
func (d *descent) hides(x, y, z, size int, inside uint8, f sdf.Field, known *halves) bool {
	n := size / 2
	for axis := range 3 {
		for c := range 8 {
			if c>>axis&1 != 0 || (inside>>c|inside>>(c|1<<axis))&1 != 0 {
				continue
			}
			mx, my, mz := along(x+size*(c&1), y+size*(c>>1&1), z+size*(c>>2&1), axis, n)
			if d.isInside(mx, my, mz, f, &known[(halfPlace(c)+halfPlace(c|1<<axis))/2]) {
				return true
			}
		}
	}
	return false
}

// enters guesses whether the surface comes into the cube about c, whose corners are
// outside the solid: whether the nearest surface point, one Newton step away, lies
// within it.
func (d *descent) enters(f sdf.Field, c r3.Vec, side float64) bool {
	v, g := d.gradient(f, c)
	n := r3.Dot(g, g)
	if n < 1e-6 {
		return false
	}
	t := math.Abs(v) / n * (1 + 1e-9)
	most := max(math.Abs(g.X), max(math.Abs(g.Y), math.Abs(g.Z)))
	return t*most < side/2
}

func (d *descent) uniform(x, y, z, size int, inside bool) uint8 {
	l := leaf{x: uint8(x), y: uint8(y), z: uint8(z), size: uint8(size)}
	if inside {
		l.inside = 0xff
	}
	d.b.leaves = append(d.b.leaves, l)
	return l.inside
}

// cheap is the cost of a field up to which it is not simplified for a single cell: that
// costs as much as some of its values.
const cheap = 8

// fieldOf is the field simplified for a leaf. Leaves keep that of the cell they are part
// of, since many share it: the simplified ones of all leaves are more than all else.
func (t *octree) fieldOf(b *block, l *leaf) sdf.Field {
	f := b.fields[l.field]
	if f.Cost() <= cheap {
		return f
	}
	lo := t.at(b.at, int(l.x), int(l.y), int(l.z))
	return f.Prune(cubeBall(lo, int32(l.size)*t.step))
}

func (d *descent) leaf(x, y, z, size int, inside uint8, near bool, f sdf.Field) {
	b := d.b
	if n := len(b.fields); n == 0 || b.fields[n-1] != f {
		b.fields = append(b.fields, f)
	}
	b.leaves = append(b.leaves, leaf{
		x: uint8(x), y: uint8(y), z: uint8(z), size: uint8(size),
		inside: inside, near: near, field: uint32(len(b.fields) - 1),
	})
}

func (d *descent) signs(x, y, z, size int, f sdf.Field, known *halves) (inside uint8) {
	for i := range 8 {
		if d.isInside(x+size*(i&1), y+size*(i>>1&1), z+size*(i>>2&1), f, &known[halfPlace(i)]) {
			inside |= 1 << i
		}
	}
	return inside
}

// isInside says whether a place is inside the solid, and makes that known.
func (d *descent) isInside(x, y, z int, f sdf.Field, known *corner) bool {
	if *known != unknown {
		return *known == signInside
	}
	if (x|y|z)%cellSteps == 0 {
		known = &d.corners[cellPlace(x, y, z)]
	}
	if *known == unknown {
		*known = signOf(d.value(f, d.t.at(d.b.at, x, y, z).vec()) < 0)
	}
	return *known == signInside
}

// build descends everywhere.
func (t *octree) build(w *crew) error {
	if err := t.findBlocks(w); err != nil {
		return err
	}
	w.meter.stage(doneOctree, len(t.blocks))
	return w.inParallel(t.all(), func() func(i int32) error {
		d := &descent{t: t}
		return func(i int32) error {
			d.run(t.blocks[i])
			t.add(&d.evaluator)
			return nil
		}
	})
}

// add counts a worker's evaluations and starts its count again.
func (t *octree) add(e *evaluator) {
	atomic.AddInt64(&t.counts.fields, e.fields)
	atomic.AddInt64(&t.counts.prims, e.prims)
	*e = evaluator{}
}
