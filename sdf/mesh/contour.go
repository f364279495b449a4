package mesh

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Why the surface cannot cross itself: the loops of a leaf are simple curves
// on its boundary; a simple loop on the boundary of a convex cell, coned from
// any point strictly inside, is embedded; and leaves meet only along the same
// curves on their shared faces. Three guards keep that true after rounding to
// the lattice: crossings stay cornerGap units away from corners, bends and
// apexes insideGap units away from the rim of their face and cell, and a leaf
// that holds more than one loop has no bends and each apex at the centroid of
// its own loop. Loops that do without an apex (fan) stay within their cell likewise.
const (
	cornerGap = 4
	insideGap = 2
)

// vertexKind says where a vertex lies.
type vertexKind uint8

const (
	onEdge   vertexKind = iota // where the surface crosses an edge of a cell
	onCrease                   // where a crease crosses a face
	onFace                     // a bend on a curved surface
	inCell                     // an apex
)

// patch is the surface within one block.
type patch struct {
	points    []ipoint
	triangles [][3]int32
	leaves    []leafPatch // in the order of their triangles
	coarse    []int32     // leaves too coarse for what is in them, in order
}

// leafPatch is what of a patch is in one leaf.
type leafPatch struct {
	x, y, z, size uint8
	clamped       uint8 // apexes pulled back into it
	end           int32 // of its triangles, which begin where those of the one before end
}

// copy gives the patch in memory of its own.
func (p *patch) copy() patch {
	return patch{
		points: slices.Clone(p.points), triangles: slices.Clone(p.triangles),
		leaves: slices.Clone(p.leaves), coarse: slices.Clone(p.coarse),
	}
}

// contour makes the patch of a block.
type contour struct {
	tracer
	evaluator
	patch
	edges, faces keyTable
	doubts       keyTable // faces that a crease pokes out of
	known        corners
	kinds        []vertexKind
	normals      []r3.Vec  // unit, at crossings; zero elsewhere
	slopes       []float64 // the length of the gradient there
	f            sdf.Field
	unsure       bool            // the leaf in hand is too coarse
	clamped      uint8           // apexes of the leaf in hand that were pulled back into it
	safe         map[ipoint]bool // least corners of leaves to emit in safe mode
}

// noBend marks a face that must stay plain.
const noBend = -1

// run makes the patch of the leaves of a block that are in a region, in buffers that
// the next run uses again.
func (c *contour) run(t *octree, b *block, in region) {
	c.look(t, b)
	c.edges.reset()
	c.faces.reset()
	c.doubts.reset()
	c.known.forget()
	c.patch = patch{points: c.points[:0], triangles: c.triangles[:0], leaves: c.leaves[:0], coarse: c.coarse[:0]}
	c.kinds, c.normals, c.slopes = c.kinds[:0], c.normals[:0], c.slopes[:0]
	c.forbidBends()
	for i := range b.leaves {
		if l := &b.leaves[i]; l.crossed() && in.holds(l) {
			c.unsure, c.clamped = false, 0
			c.leaf(l)
			c.leaves = append(c.leaves, leafPatch{l.x, l.y, l.z, l.size, c.clamped, int32(len(c.triangles))})
			if c.unsure {
				c.coarse = append(c.coarse, int32(i))
			}
		}
	}
}

// forbidBends forbids bends on the faces of multi leaves, the neighbours' too.
func (c *contour) forbidBends() {
	for i := range int32(27) {
		dx, dy, dz := i%3-1, i/3%3-1, i/9-1
		b := c.t.neighbour(c.b, dx, dy, dz)
		if b == nil || b.multis == 0 && len(c.safe) == 0 {
			continue
		}
		for k := range b.leaves {
			l := &b.leaves[k]
			if l.multi || l.crossed() && len(c.safe) > 0 && c.safe[c.t.at(b.at, int(l.x), int(l.y), int(l.z))] {
				c.plain(l, int(dx)*blockSteps, int(dy)*blockSteps, int(dz)*blockSteps)
			}
		}
	}
}

// plain forbids bends on the minimal faces of a leaf.
func (c *contour) plain(l *leaf, ox, oy, oz int) {
	x, y, z, n := int(l.x)+ox, int(l.y)+oy, int(l.z)+oz, int(l.size)
	for axis := range 3 {
		c.plainFace(x, y, z, axis, n)
		hx, hy, hz := along(x, y, z, axis, n)
		c.plainFace(hx, hy, hz, axis, n)
	}
}

func (c *contour) plainFace(x, y, z, axis, size int) {
	hx, hy, hz := along(x, y, z, (axis+1)%3, size)
	hx, hy, hz = along(hx, hy, hz, (axis+2)%3, size)
	if min(x, y, z) < 0 || max(hx, hy, hz) > blockSteps {
		return // not a face of this block
	}
	if h := size / 2; c.splits(size) {
		mx, my, mz := along(x, y, z, (axis+1)%3, h)
		cx, cy, cz := along(mx, my, mz, (axis+2)%3, h)
		if c.isSplit(cx, cy, cz) {
			wx, wy, wz := along(x, y, z, (axis+2)%3, h)
			c.plainFace(x, y, z, axis, h)
			c.plainFace(mx, my, mz, axis, h)
			c.plainFace(wx, wy, wz, axis, h)
			c.plainFace(cx, cy, cz, axis, h)
			return
		}
	}
	c.faces.put(key(x, y, z, axis), noBend)
}

func (c *contour) add(p ipoint, kind vertexKind, gradient r3.Vec) int32 {
	c.points = append(c.points, p)
	c.kinds = append(c.kinds, kind)
	c.normals = append(c.normals, unitOrZero(gradient))
	c.slopes = append(c.slopes, r3.Norm(gradient))
	return int32(len(c.points) - 1)
}
