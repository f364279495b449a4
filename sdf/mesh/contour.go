package mesh

import (
	"context"
	"math"

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
// its own loop.
const (
	cornerGap = 4
	insideGap = 2
)

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
	kinds     []vertexKind
	triangles [][3]int32
	clamped   int     // apexes pulled back into their cell
	coarse    []int32 // leaves too coarse for what is in them, in order
}

// contour makes the patch of a block.
type contour struct {
	tracer
	evaluator
	patch
	edges, faces keyTable
	normals      []r3.Vec  // unit, at crossings; zero elsewhere
	slopes       []float64 // the length of the gradient there
	f            sdf.Field
	unsure       bool            // the leaf in hand is too coarse
	safe         map[ipoint]bool // least corners of leaves to emit in safe mode
}

// noBend marks a face that must stay plain.
const noBend = -1

func (c *contour) run(t *octree, b *block) patch {
	c.look(t, b)
	c.edges.reset()
	c.faces.reset()
	c.patch = patch{}
	c.normals, c.slopes = c.normals[:0], c.slopes[:0]
	c.plainFaces()
	for i := range b.leaves {
		if l := &b.leaves[i]; l.crossed() {
			c.unsure = false
			c.leaf(l)
			if c.unsure {
				c.coarse = append(c.coarse, int32(i))
			}
		}
	}
	return c.patch
}

// plainFaces forbids bends on the faces of multi leaves, the neighbours' too.
func (c *contour) plainFaces() {
	for i := range int32(27) {
		dx, dy, dz := i%3-1, i/3%3-1, i/9-1
		b := c.t.neighbour(c.b, dx, dy, dz)
		if b == nil {
			continue
		}
		for _, m := range b.multi {
			l := &b.leaves[m]
			c.plain(l, int(dx)*blockSteps, int(dy)*blockSteps, int(dz)*blockSteps)
		}
		if len(c.safe) == 0 {
			continue
		}
		for k := range b.leaves {
			if l := &b.leaves[k]; l.crossed() && c.safe[c.t.at(b.at, int(l.x), int(l.y), int(l.z))] {
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

// crossing finds where the surface crosses a minimal edge.
func (c *contour) crossing(x, y, z, axis, size int) int32 {
	k := key(x, y, z, axis)
	if v, ok := c.edges.get(k); ok {
		return v
	}
	lo := c.t.at(c.b.at, x, y, z)
	length := int32(size) * c.t.step
	at := c.root(lo, axis, length)
	p := c.t.within(lo, axis, int32(math.Round(at)))
	p[axis] = min(max(p[axis], lo[axis]+cornerGap), lo[axis]+length-cornerGap)
	_, g := c.gradient(c.f, p.vec())
	v := c.add(p, onEdge, g)
	c.edges.put(k, v)
	return v
}

func unitOrZero(g r3.Vec) r3.Vec {
	n := r3.Norm(g)
	if n < 1e-9 {
		return r3.Vec{}
	}
	return r3.Scale(1/n, g)
}

// rootTolerance is the |field| in mm at which a crossing is found: an eighth of
// a unit.
const rootTolerance = unit / 8

// root finds where along an edge of length units the field changes sign, in
// units from its low end: Illinois false position, then halving.
func (c *contour) root(lo ipoint, axis int, length int32) float64 {
	base := lo.vec()
	at := func(s float64) float64 {
		p := base
		switch axis {
		case 0:
			p.X += s * unit
		case 1:
			p.Y += s * unit
		default:
			p.Z += s * unit
		}
		return c.value(c.f, p)
	}
	a, b := 0.0, float64(length)
	fa, fb := at(a), at(b)
	for i := range 60 {
		if b-a < 0.25 {
			break
		}
		m := a + (b-a)*fa/(fa-fb)
		if i > 8 || !(m > a && m < b) {
			m = (a + b) / 2
		}
		fm := at(m)
		if math.Abs(fm) < rootTolerance {
			return m
		}
		if (fm < 0) == (fa < 0) {
			a, fa = m, fm
			fb /= 2
		} else {
			b, fb = m, fm
			fa /= 2
		}
	}
	return (a + b) / 2
}

// bend finds where a segment bends within its face: at the crease if there is
// one, else at the surface if that leaves the chord by more than a fiftieth
// of the cell.
func (c *contour) bend(x, y, z, axis, size int, a, b int32) int32 {
	k := key(x, y, z, axis)
	if v, ok := c.faces.get(k); ok {
		return v
	}
	f := faceFrame{lo: c.t.at(c.b.at, x, y, z), axis: axis, length: int32(size) * c.t.step}
	pa, pb := c.points[a], c.points[b]
	na, nb := c.normals[a], c.normals[b]
	if pb[0] < pa[0] || pb[0] == pa[0] && (pb[1] < pa[1] || pb[1] == pa[1] && pb[2] < pa[2]) {
		pa, pb, na, nb = pb, pa, nb, na // the same order from either side
	}
	v := int32(noBend)
	if p, kind, ok := c.bendAt(f, pa, pb, na, nb, (c.slopes[a]+c.slopes[b])/2); ok {
		v = c.add(p, kind, r3.Vec{})
	}
	c.faces.put(k, v)
	return v
}

// faceFrame is a face of a cell as a square in two coordinates, in mm from
// its least corner.
type faceFrame struct {
	lo     ipoint
	axis   int
	length int32
}

func (f faceFrame) flat(v [3]float64) (s, t float64) { return v[(f.axis+1)%3], v[(f.axis+2)%3] }

func (f faceFrame) point(p ipoint) (s, t float64) {
	return f.flat([3]float64{
		float64(p[0]-f.lo[0]) * unit, float64(p[1]-f.lo[1]) * unit, float64(p[2]-f.lo[2]) * unit,
	})
}

// normal gives the direction of a normal within the face, at length one.
func (f faceFrame) normal(n r3.Vec) (s, t float64, ok bool) {
	s, t = f.flat([3]float64{n.X, n.Y, n.Z})
	l := math.Hypot(s, t)
	if l < 1e-6 {
		return 0, 0, false
	}
	return s / l, t / l, true
}

func (f faceFrame) within(s, t float64) bool {
	lo, hi := insideGap*unit, float64(f.length-insideGap)*unit
	return s >= lo && s <= hi && t >= lo && t <= hi
}

// lift gives the point of space at (s,t) of the face.
func (f faceFrame) lift(s, t float64) r3.Vec {
	p := f.lo.vec()
	v := [3]float64{p.X, p.Y, p.Z}
	v[(f.axis+1)%3] += s
	v[(f.axis+2)%3] += t
	return r3.Vec{X: v[0], Y: v[1], Z: v[2]}
}

// snap gives the lattice point nearest to (s,t), strictly within the face.
func (c *contour) snap(f faceFrame, s, t float64) ipoint {
	p := f.lo
	for i, x := range [2]float64{s, t} {
		a := (f.axis + 1 + i) % 3
		p = c.t.within(p, a, int32(math.Round(x*unitsPerMM)))
		p[a] = min(max(p[a], f.lo[a]+insideGap), f.lo[a]+f.length-insideGap)
	}
	return p
}

// straight is the sine of the angle between two normals below which a
// segment counts as straight: two degrees.
const straight = 0.035

// creaseShare is the share of a smooth arc's distance to where its tangents meet
// under which a bend counts as a crease.
const creaseShare = 0.2

// creaseMost is how far, in sides of the face, a crease may lie off the surface.
const creaseMost = 0.004

func (c *contour) bendAt(f faceFrame, pa, pb ipoint, na, nb r3.Vec, slope float64) (ipoint, vertexKind, bool) {
	as, at := f.point(pa)
	bs, bt := f.point(pb)
	ms, mt, oka := f.normal(na)
	ns, nt, okb := f.normal(nb)
	if !oka || !okb {
		return ipoint{}, 0, false
	}
	if math.Abs(ms*nt-mt*ns) < straight && ms*ns+mt*nt > 0 {
		return ipoint{}, 0, false
	}
	side := float64(f.length) * unit
	// A smooth arc between the two points would leave the meeting point of its
	// tangents by an eighth of its length times its turn; a crease runs through it.
	turn := math.Atan2(math.Abs(ms*nt-mt*ns), ms*ns+mt*nt)
	crease := slope * math.Min(math.Hypot(bs-as, bt-at)*turn/8*creaseShare, side*creaseMost)
	// Where the two tangents meet; where the surfaces are curved, once more
	// from nearer by.
	xs, xt, ok := meet(as, at, ms, mt, 0, bs, bt, ns, nt, 0)
	if ok && f.within(xs, xt) {
		d := math.Abs(c.value(c.f, f.lift(xs, xt)))
		if d > crease/4 {
			xs, xt, d = c.closer(f, xs, xt, d, as, at, bs, bt)
		}
		if d <= crease && f.within(xs, xt) {
			return c.snap(f, xs, xt), onCrease, true
		}
	}
	// No crease: follow a curve that leaves its chord.
	cs, ct := (as+bs)/2, (at+bt)/2
	d, g := c.gradient(c.f, f.lift(cs, ct))
	if math.Abs(d) < slope*side/50 {
		return ipoint{}, 0, false
	}
	for range 2 {
		gs, gt := f.flat([3]float64{g.X, g.Y, g.Z})
		l := gs*gs + gt*gt
		if l < 1e-4 {
			return ipoint{}, 0, false
		}
		cs, ct = cs-d*gs/l, ct-d*gt/l
		if !f.within(cs, ct) {
			return ipoint{}, 0, false
		}
		if d, g = c.gradient(c.f, f.lift(cs, ct)); math.Abs(d) < slope*side/200 {
			break
		}
	}
	if math.Abs(d) > slope*side/50 {
		return ipoint{}, 0, false
	}
	return c.snap(f, cs, ct), onFace, true
}

// closer takes tangents again a quarter of the way from the meeting point back
// to either crossing; it gives the better of the two points.
func (c *contour) closer(f faceFrame, xs, xt, d, as, at, bs, bt float64) (float64, float64, float64) {
	tangent := func(s, t float64) (ps, pt, ns, nt, v float64, ok bool) {
		ps, pt = xs+(s-xs)/4, xt+(t-xt)/4
		v, g := c.gradient(c.f, f.lift(ps, pt))
		gs, gt := f.flat([3]float64{g.X, g.Y, g.Z})
		l := math.Hypot(gs, gt)
		if l < 1e-6 {
			return 0, 0, 0, 0, 0, false
		}
		return ps, pt, gs / l, gt / l, v / l, true
	}
	ps, pt, ms, mt, v, ok1 := tangent(as, at)
	qs, qt, ns, nt, w, ok2 := tangent(bs, bt)
	if !ok1 || !ok2 {
		return xs, xt, d
	}
	ys, yt, ok := meet(ps, pt, ms, mt, v, qs, qt, ns, nt, w)
	if !ok || !f.within(ys, yt) {
		return xs, xt, d
	}
	if e := math.Abs(c.value(c.f, f.lift(ys, yt))); e < d {
		return ys, yt, e
	}
	return xs, xt, d
}

// meet gives the point x with m.(x-a) = -v and n.(x-b) = -w.
func meet(as, at, ms, mt, v, bs, bt, ns, nt, w float64) (s, t float64, ok bool) {
	det := ms*nt - mt*ns
	if math.Abs(det) < straight/2 {
		return 0, 0, false
	}
	p, q := ms*as+mt*at-v, ns*bs+nt*bt-w
	return (p*nt - q*mt) / det, (ms*q - ns*p) / det, true
}

// leaf makes the triangles of a leaf: each loop coned to its apex.
func (c *contour) leaf(l *leaf) {
	c.f = c.b.fields[l.field]
	c.trace(l)
	lo := c.t.at(c.b.at, int(l.x), int(l.y), int(l.z))
	length := int32(l.size) * c.t.step
	plain := len(c.loops) > 1 || c.safe[lo]
	start := 0
	for _, end := range c.loops {
		loop := c.loop[start:end]
		start = end
		if !plain && c.aroundCorner(loop) {
			c.triangles = append(c.triangles, [3]int32{loop[0], loop[1], loop[2]})
			continue
		}
		if !plain && c.acrossFour(loop, lo, length) {
			continue
		}
		var p ipoint
		if plain {
			p = c.pullInside(c.centroid(loop), lo, length)
		} else {
			p = c.apex(loop, lo, length)
		}
		a := c.add(p, inCell, r3.Vec{})
		for i, v := range loop {
			c.triangles = append(c.triangles, [3]int32{v, loop[(i+1)%len(loop)], a})
		}
	}
}

// aroundCorner says whether a loop is three crossings on the three edges at a
// corner of the cell: then it needs no apex.
func (c *contour) aroundCorner(loop []int32) bool {
	if len(loop) != 3 {
		return false
	}
	a, b, d := c.points[loop[0]], c.points[loop[1]], c.points[loop[2]]
	for _, v := range loop {
		if c.kinds[v] != onEdge {
			return false
		}
	}
	for i := range 3 {
		if a[i] == b[i] && b[i] == d[i] {
			return false // all on one face
		}
	}
	return true
}

// flatShare is how far, in sides of the cell, a patch of four crossings may lie off
// its tangent planes and still go without an apex.
const flatShare = 0.01

// acrossFour makes two triangles of a loop that crosses the four parallel edges of
// a cell, where the surface is flat enough: the commonest loop by far. The diagonal
// joins opposite edges, which share no face, so it runs inside the cell, and with
// it both triangles. Of the two diagonals, the one nearer the tangent planes.
func (c *contour) acrossFour(loop []int32, lo ipoint, length int32) bool {
	if len(loop) != 4 {
		return false
	}
	axis := -1
	for _, v := range loop {
		p := c.points[v]
		for i := range 3 {
			if p[i] != lo[i] && p[i] != lo[i]+length {
				if axis >= 0 && axis != i || c.kinds[v] != onEdge {
					return false
				}
				axis = i
			}
		}
	}
	m := c.centroid(loop)
	if c.offPlanes(m, loop) > float64(length)*unit*flatShare {
		return false
	}
	a, b, d, e := loop[0], loop[1], loop[2], loop[3]
	off := func(v, w int32) float64 {
		s := r3.Sub(c.points[w].vec(), c.points[v].vec())
		return math.Abs(r3.Dot(c.normals[v], s)) + math.Abs(r3.Dot(c.normals[w], s))
	}
	if off(a, d) <= off(b, e) {
		c.triangles = append(c.triangles, [3]int32{a, b, d}, [3]int32{a, d, e})
	} else {
		c.triangles = append(c.triangles, [3]int32{b, d, e}, [3]int32{b, e, a})
	}
	return true
}

func (c *contour) centroid(loop []int32) r3.Vec {
	var m r3.Vec
	for _, v := range loop {
		m = r3.Add(m, c.points[v].vec())
	}
	return r3.Scale(1/float64(len(loop)), m)
}

// pullInside is the lattice point nearest to p strictly inside a cell.
func (c *contour) pullInside(p r3.Vec, lo ipoint, length int32) ipoint {
	q := lo
	for a, x := range [3]float64{p.X, p.Y, p.Z} {
		q = c.t.within(q, a, int32(math.Round(x*unitsPerMM))-lo[a])
		q[a] = min(max(q[a], lo[a]+insideGap), lo[a]+length-insideGap)
	}
	return q
}

// apex places the apex of a loop: at the corner where three or more creases
// meet, on the chord between two, else on the surface in the middle.
func (c *contour) apex(loop []int32, lo ipoint, length int32) ipoint {
	var m r3.Vec
	creases := 0
	for _, v := range loop {
		if c.kinds[v] == onCrease {
			m = r3.Add(m, c.points[v].vec())
			creases++
		}
	}
	sharp := c.sharp(loop)
	if creases == 1 && sharp {
		c.unsure = true // a crease goes in and does not come out
	}
	if creases > 1 {
		m = r3.Scale(1/float64(creases), m)
	} else {
		m = c.centroid(loop)
	}
	if isPlane(c.f) {
		return c.pullInside(m, lo, length)
	}
	q := planes{m: m}
	for _, v := range loop {
		if n := c.normals[v]; n != (r3.Vec{}) {
			q.add(c.points[v].vec(), n)
		}
	}
	side := float64(length) * unit
	best := q.solve()
	off := math.Inf(1)
	if isInside(best, lo, length) && (creases > 2 || c.beside(best, loop, side*stray)) {
		off = math.Abs(c.value(c.f, best))
	}
	if off > side/200 {
		// The planes do not tell: step from the middle onto the surface.
		p := m
		for range 2 {
			d, g := c.gradient(c.f, p)
			n := r3.Dot(g, g)
			if n < 1e-4 {
				break
			}
			p = r3.Sub(p, r3.Scale(d/n, g))
		}
		if !isInside(p, lo, length) {
			if math.IsInf(off, 1) {
				c.clamped++
				c.unsure = c.unsure || sharp
			}
			p = c.pullInside(p, lo, length).vec()
		}
		if d := math.Abs(c.value(c.f, p)); d < off {
			best = p
		}
	}
	if creases > 1 && c.offPlanes(best, loop) > side*torn {
		c.unsure = true // two creases that do not meet: one apex cannot hold both
	}
	return c.pullInside(best, lo, length)
}

// torn is how far, in sides of the cell, an apex may lie off the tangent planes
// of a loop with creases.
const torn = 0.1

// offPlanes is how far p lies off the tangent planes of a loop, at most, mm.
func (c *contour) offPlanes(p r3.Vec, loop []int32) float64 {
	most := 0.0
	for _, v := range loop {
		most = math.Max(most, math.Abs(r3.Dot(c.normals[v], r3.Sub(p, c.points[v].vec()))))
	}
	return most
}

// stray is how far, in sides of the cell, an apex may lie outside the box of its
// loop where fewer than three creases meet: there the planes of a curved or
// rough surface meet anywhere, and a point far off would be a spike.
const stray = 0.1

// beside says whether p lies within margin mm of the box of a loop.
func (c *contour) beside(p r3.Vec, loop []int32, margin float64) bool {
	lo, hi := c.points[loop[0]], c.points[loop[0]]
	for _, v := range loop {
		for i, x := range c.points[v] {
			lo[i], hi[i] = min(lo[i], x), max(hi[i], x)
		}
	}
	a, b := lo.vec(), hi.vec()
	return p.X >= a.X-margin && p.Y >= a.Y-margin && p.Z >= a.Z-margin &&
		p.X <= b.X+margin && p.Y <= b.Y+margin && p.Z <= b.Z+margin
}

// bentCosine is the cosine of the angle between two normals of a loop, 30
// degrees, from which the leaf is taken to hold a crease.
const bentCosine = 0.866

// sharp says whether the normals about a loop differ by more than a smooth
// surface would at this size.
func (c *contour) sharp(loop []int32) bool {
	first := r3.Vec{}
	for _, v := range loop {
		n := c.normals[v]
		if n == (r3.Vec{}) {
			continue
		}
		if first == (r3.Vec{}) {
			first = n
		} else if r3.Dot(first, n) < bentCosine {
			return true
		}
	}
	return false
}

func isInside(p r3.Vec, lo ipoint, length int32) bool {
	for i, x := range [3]float64{p.X, p.Y, p.Z} {
		u := x*unitsPerMM - float64(lo[i])
		if !(u >= insideGap && u <= float64(length-insideGap)) {
			return false
		}
	}
	return true
}

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

// splitRounds is how often leaves that turn out too coarse are split.
const splitRounds = 3

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
