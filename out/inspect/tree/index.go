// Package tree answers what is asked of a closed mesh by exact lines and nearest points:
// which triangles a line goes through, which is nearest, how high it stands at a place.
package tree

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"
)

// Index finds the triangles of a mesh by place: along a line, or near a point.
// It is a tree of boxes, each about those below it (a bounding volume
// hierarchy), split where the surface area heuristic in bins finds it cheapest
// (Wald, On fast construction of SAH-based bounding volume hierarchies, IEEE
// Symposium on Interactive Ray Tracing 2007). The boxes are float32 as the
// vertices are, so they hold their triangles exactly. It reads the mesh that it
// was made of, which must not change. Any number of workers may ask it at once.
type Index struct {
	Vertices  [][3]float32
	Triangles [][3]uint32
	nodes     []node
	Order     []uint32 // triangles, leaf by leaf
}

// node is a box. Of an inner one the first child follows it and the second
// child is nodes[at]; a leaf has the count triangles from order[at] on.
type node struct {
	box   [2][3]float32 // its lower and its upper corner
	at    uint32
	count uint32 // 0 for an inner node
}

const (
	leafMost   = 6       // triangles that are not split further
	leafForced = 16      // triangles that a leaf may have where a split would not pay
	binned     = 28      // depth below which boxes are halved by number, so that the tree is at most 28 + 32 deep
	deepest    = 64      // nodes that can wait while a tree is walked
	forkAt     = 1 << 15 // triangles that are worth a worker of their own
	bins       = 16
)

// New makes the index of a mesh. It has the errors of a bad mesh that Slice
// has: no triangles, a coordinate that is not finite, an index that leads nowhere.
func New(ctx context.Context, vertices [][3]float32, triangles [][3]uint32) (*Index, error) {
	if _, _, err := ExtentOf(vertices, triangles); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	items := make([]item, len(triangles))
	for i, t := range triangles {
		a, b, c := vertices[t[0]], vertices[t[1]], vertices[t[2]]
		it := item{triangle: uint32(i)}
		for k := range 3 {
			it.lo[k], it.hi[k] = min(a[k], b[k], c[k]), max(a[k], b[k], c[k])
		}
		items[i] = it
	}
	x := &Index{Vertices: vertices, Triangles: triangles}
	x.nodes = slices.Clip(grow(ctx, seedling(items), items, 0, 0))
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	x.Order = make([]uint32, len(items))
	for i, it := range items {
		x.Order[i] = it.triangle
	}
	return x, nil
}

// ExtentOf gives the box of the vertices that triangles use.
func ExtentOf(vertices [][3]float32, triangles [][3]uint32) (lo, hi [3]float64, err error) {
	if len(triangles) == 0 {
		return lo, hi, fmt.Errorf("a mesh without triangles has no layers")
	}
	for c := range 3 {
		lo[c], hi[c] = math.Inf(1), math.Inf(-1)
	}
	for i, t := range triangles {
		for _, v := range t {
			if int64(v) >= int64(len(vertices)) {
				return lo, hi, fmt.Errorf("triangle %d names vertex %d of %d", i, v, len(vertices))
			}
			for c, x := range vertices[v] {
				f := float64(x)
				if math.IsNaN(f) || math.IsInf(f, 0) {
					return lo, hi, fmt.Errorf("vertex %d has a coordinate that is not finite: %v", v, vertices[v])
				}
				lo[c], hi[c] = min(lo[c], f), max(hi[c], f)
			}
		}
	}
	return lo, hi, nil
}

// Include grows the box by a point.
func (r *Box) Include(p r3.Vec) {
	v := [3]float64{p.X, p.Y, p.Z}
	r.Add(v, v)
}

// item is a triangle with its box, while the tree grows.
type item struct {
	lo, hi   [3]float32
	triangle uint32
}

// middle gives twice the middle of the item's box along an axis.
func (it *item) middle(axis int) float64 { return float64(it.lo[axis]) + float64(it.hi[axis]) }

// Box is a box in float64 that grows from nothing.
type Box struct{ Lo, Hi [3]float64 }

// NoBox is a box of nothing.
func NoBox() Box {
	inf := math.Inf(1)
	return Box{Lo: [3]float64{inf, inf, inf}, Hi: [3]float64{-inf, -inf, -inf}}
}

// Add grows the box by another one.
func (r *Box) Add(lo, hi [3]float64) {
	for k := range 3 {
		r.Lo[k], r.Hi[k] = min(r.Lo[k], lo[k]), max(r.Hi[k], hi[k])
	}
}

// area gives half the area of the room's sides.
func (r *Box) area() float64 {
	a, b, c := r.Hi[0]-r.Lo[0], r.Hi[1]-r.Lo[1], r.Hi[2]-r.Lo[2]
	return float64(a*b) + float64(b*c) + float64(c*a)
}

func wide(v [3]float32) [3]float64 {
	return [3]float64{float64(v[0]), float64(v[1]), float64(v[2])}
}

// grow appends the tree of items to nodes, and puts the items in the order of
// its leaves; the first of them is number first in all. Large trees grow their
// halves side by side, the second in nodes of its own.
func grow(ctx context.Context, nodes []node, items []item, first, depth int) []node {
	n := node{box: [2][3]float32{items[0].lo, items[0].hi}}
	for i := range items {
		for k := range 3 {
			n.box[0][k], n.box[1][k] = min(n.box[0][k], items[i].lo[k]), max(n.box[1][k], items[i].hi[k])
		}
	}
	me := len(nodes)
	nodes = append(nodes, n)
	half := 0
	if len(items) > leafMost && ctx.Err() == nil {
		half = split(&n, items, depth)
	}
	if half == 0 {
		nodes[me].at, nodes[me].count = uint32(first), uint32(len(items))
		return nodes
	}
	if len(items) < forkAt {
		nodes = grow(ctx, nodes, items[:half], first, depth+1)
		nodes[me].at = uint32(len(nodes))
		return grow(ctx, nodes, items[half:], first+half, depth+1)
	}
	var second []node
	var wait sync.WaitGroup
	wait.Go(func() { second = grow(ctx, seedling(items[half:]), items[half:], first+half, depth+1) })
	nodes = grow(ctx, nodes, items[:half], first, depth+1)
	wait.Wait()
	by := uint32(len(nodes))
	nodes[me].at = by
	nodes = append(nodes, second...)
	for i := range nodes[by:] {
		if n := &nodes[int(by)+i]; n.count == 0 {
			n.at += by
		}
	}
	return nodes
}

// seedling is room for about as many nodes as a tree of the items has.
func seedling(items []item) []node { return make([]node, 0, len(items)/2) }

// split parts the items in two and gives how many are in the first part; 0
// where they had better stay together.
func split(n *node, items []item, depth int) int {
	middles := NoBox()
	for i := range items {
		m := [3]float64{items[i].middle(0), items[i].middle(1), items[i].middle(2)}
		middles.Add(m, m)
	}
	axis := 0
	for k := range 3 {
		if middles.Hi[k]-middles.Lo[k] > middles.Hi[axis]-middles.Lo[axis] {
			axis = k
		}
	}
	from, extent := middles.Lo[axis], middles.Hi[axis]-middles.Lo[axis]
	if depth >= binned || extent == 0 {
		if len(items) <= leafForced && extent == 0 {
			return 0
		}
		slices.SortFunc(items, func(a, b item) int {
			return cmp.Or(cmp.Compare(a.middle(axis), b.middle(axis)), cmp.Compare(a.triangle, b.triangle))
		})
		return len(items) / 2
	}

	bin := func(it *item) int { return min(int((it.middle(axis)-from)/extent*bins), bins-1) }
	var counts [bins]int
	var rooms [bins]Box
	for b := range rooms {
		rooms[b] = NoBox()
	}
	for i := range items {
		b := bin(&items[i])
		counts[b]++
		rooms[b].Add(wide(items[i].lo), wide(items[i].hi))
	}
	var costs [bins]float64 // of what lies before bin b
	left, before := NoBox(), 0
	for b := 1; b < bins; b++ {
		if counts[b-1] > 0 {
			left.Add(rooms[b-1].Lo, rooms[b-1].Hi)
			before += counts[b-1]
		}
		if before > 0 {
			costs[b] = left.area() * float64(before)
		}
	}
	right, after := NoBox(), 0
	best, cheapest := 0, math.Inf(1)
	for b := bins - 1; b > 0; b-- {
		if counts[b] > 0 {
			right.Add(rooms[b].Lo, rooms[b].Hi)
			after += counts[b]
		}
		if after == 0 || after == len(items) {
			continue
		}
		if cost := costs[b] + right.area()*float64(after); cost < cheapest {
			best, cheapest = b, cost
		}
	}
	whole := Box{Lo: wide(n.box[0]), Hi: wide(n.box[1])}
	if len(items) <= leafForced && cheapest >= whole.area()*float64(len(items)-1) {
		return 0
	}
	i, j := 0, len(items)
	for i < j {
		if bin(&items[i]) < best {
			i++
		} else {
			j--
			items[i], items[j] = items[j], items[i]
		}
	}
	return i
}

// Normal gives the outward unit normal of a triangle; the zero vector where it
// has no area.
func (x *Index) Normal(triangle int) r3.Vec {
	a, b, c := x.Corners(triangle)
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	if l := r3.Norm(n); l > 0 {
		return r3.Scale(1/l, n)
	}
	return r3.Vec{}
}

// Area gives that of a triangle, mm2.
func (x *Index) Area(triangle int) float64 {
	a, b, c := x.Corners(triangle)
	return r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
}

// Corners gives the vertices of a triangle.
func (x *Index) Corners(triangle int) (a, b, c r3.Vec) {
	t := x.Triangles[triangle]
	return Vec(x.Vertices[t[0]]), Vec(x.Vertices[t[1]]), Vec(x.Vertices[t[2]])
}

// Vec is a vertex as a vector.
func Vec(v [3]float32) r3.Vec {
	return r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
}

// Crossing is where a line goes through the surface.
type Crossing struct {
	T        float64 // mm from where the line starts
	Triangle int
	Out      bool // it leaves the solid there; else it enters
}

// Hit gives the first triangle that the line from a point in a direction of unit
// length goes through, with 0 < t <= far: which, and how far away, mm. Of
// triangles equally far it is the one of lowest number.
func (x *Index) Hit(from, dir r3.Vec, far float64) (t float64, triangle int, ok bool) {
	r := x.ray(from, dir)
	best := Crossing{T: far, Triangle: math.MaxInt}
	x.along(&r, &best.T, func(c Crossing) {
		if c.T < best.T || c.T == best.T && c.Triangle < best.Triangle {
			best = c
		}
	})
	if best.Triangle == math.MaxInt {
		return 0, 0, false
	}
	return best.T, best.Triangle, true
}

// Hits gives every crossing of that line, the nearest first. Where it goes
// through an edge or a vertex there is one crossing, not one for each triangle
// that meets there, and where it only touches one, none, or one in and one out at
// the same place: see pierces. So the crossings of a line from afar through a
// closed mesh have as many in as out, always.
func (x *Index) Hits(from, dir r3.Vec, far float64) []Crossing {
	r := x.ray(from, dir)
	var all []Crossing
	x.along(&r, &far, func(c Crossing) { all = append(all, c) })
	slices.SortFunc(all, func(a, b Crossing) int {
		return cmp.Or(cmp.Compare(a.T, b.T), cmp.Compare(a.Triangle, b.Triangle))
	})
	return all
}

// ray is a line made ready for many triangles and boxes: the axes are taken in
// an order in which the third is the line's longest, and the first two are
// sheared so that it runs along the third.
type ray struct {
	from, inverse [3]float64
	// first is the corner of a box that it meets first, axis by axis. It is seen as
	// meeting it from a little ahead of its start, and leaving the other from a
	// little behind: by more than the rounding of what pierces compares.
	first          [3]uint8
	enters, leaves [3]float64
	axes           [3]int
	shear          [2]float64
	scale          float64 // mm along the line for one along the third axis
}

func (x *Index) ray(from, dir r3.Vec) ray {
	r := ray{from: [3]float64{from.X, from.Y, from.Z}}
	root := &x.nodes[0]
	off := 0.0
	for k := range 3 {
		off = max(off, math.Abs(r.from[k]), math.Abs(float64(root.box[0][k])), math.Abs(float64(root.box[1][k])))
	}
	off *= 0x1p-48
	d := [3]float64{dir.X, dir.Y, dir.Z}
	z := 0
	for k := range 3 {
		if math.Abs(d[k]) > math.Abs(d[z]) {
			z = k
		}
		// A line that does not move along an axis is as good as one that needs
		// for ever to: no box test meets 0 times infinity then.
		r.inverse[k] = 1e300
		if math.Abs(d[k]) > 1e-300 {
			r.inverse[k] = 1 / d[k]
		}
		r.enters[k], r.leaves[k] = r.from[k]+off, r.from[k]-off
		if r.inverse[k] < 0 {
			r.first[k] = 1
			r.enters[k], r.leaves[k] = r.leaves[k], r.enters[k]
		}
	}
	r.axes = [3]int{(z + 1) % 3, (z + 2) % 3, z}
	if d[z] < 0 { // keeps the turning of the triangles
		r.axes[0], r.axes[1] = r.axes[1], r.axes[0]
	}
	r.scale = 1 / d[z]
	r.shear = [2]float64{d[r.axes[0]] / d[z], d[r.axes[1]] / d[z]}
	return r
}

// near gives where the line enters a box, and whether it is in it anywhere from
// 0 to far. It may take a box that it misses by a hair, and misses none that it
// is in, also as rounded.
func (r *ray) near(n *node, far float64) (float64, bool) {
	// Axis by axis, each written out: this is asked more often than anything else.
	enter, leave := 0.0, far
	x, y, z := r.first[0]&1, r.first[1]&1, r.first[2]&1
	if a := (float64(n.box[x][0]) - r.enters[0]) * r.inverse[0]; a > enter {
		enter = a
	}
	if b := (float64(n.box[1-x][0]) - r.leaves[0]) * r.inverse[0]; b < leave {
		leave = b
	}
	if a := (float64(n.box[y][1]) - r.enters[1]) * r.inverse[1]; a > enter {
		enter = a
	}
	if b := (float64(n.box[1-y][1]) - r.leaves[1]) * r.inverse[1]; b < leave {
		leave = b
	}
	if enter > leave {
		return enter, false
	}
	if a := (float64(n.box[z][2]) - r.enters[2]) * r.inverse[2]; a > enter {
		enter = a
	}
	if b := (float64(n.box[1-z][2]) - r.leaves[2]) * r.inverse[2]; b < leave {
		leave = b
	}
	return enter, enter <= leave
}

// along gives the triangles that the line pierces with 0 < t <= *far, in no
// order that matters; far may come down as it goes.
func (x *Index) along(r *ray, far *float64, found func(Crossing)) {
	type waiting struct {
		node uint32
		near float64
	}
	var stack [deepest]waiting
	near, ok := r.near(&x.nodes[0], *far)
	if !ok {
		return
	}
	stack[0] = waiting{0, near}
	for top := 1; top > 0; {
		top--
		if stack[top].near > *far {
			continue
		}
		at := stack[top].node
		n := &x.nodes[at]
		if n.count > 0 {
			for _, i := range x.Order[n.at : n.at+n.count] {
				if t, out, ok := x.pierces(r, int(i)); ok && t > 0 && t <= *far {
					found(Crossing{T: t, Triangle: int(i), Out: out})
				}
			}
			continue
		}
		a, b := waiting{node: at + 1}, waiting{node: n.at}
		var inA, inB bool
		a.near, inA = r.near(&x.nodes[a.node], *far)
		b.near, inB = r.near(&x.nodes[b.node], *far)
		if a.near < b.near {
			a, b, inA, inB = b, a, inB, inA
		}
		if inA {
			stack[top] = a
			top++
		}
		if inB {
			stack[top] = b
			top++
		}
	}
}

// pierces tells whether the line goes through a triangle, how far from its
// start, and whether out of the solid.
//
// Each vertex is moved and sheared on its own, as in Woop, Benthin, Wald,
// Watertight ray/triangle intersection, Journal of Computer Graphics Techniques
// 2(1), 2013, so all triangles about it see the same point of the plane. There
// it is asked how often the triangle winds round the origin, by the crossings of
// its edges with the half axis +x: half-open in y, and with exact signs (see
// turn), not with the signs as rounded that the paper accepts. An edge that two
// triangles share counts the same for both, the other way round, so a line
// through an edge or vertex pierces what a line moved by an infinitely small
// step would: none is missed, none counts twice.
func (x *Index) pierces(r *ray, triangle int) (t float64, out, ok bool) {
	var px, py, pz [3]float64
	corners := x.Triangles[triangle]
	for i, v := range corners {
		p := &x.Vertices[v]
		pz[i] = float64(p[r.axes[2]]) - r.from[r.axes[2]]
		py[i] = float64(p[r.axes[1]]) - r.from[r.axes[1]] - float64(r.shear[1]*pz[i])
	}
	if up := py[0] > 0; up == (py[1] > 0) && up == (py[2] > 0) {
		return 0, false, false // no edge crosses the axis: most triangles
	}
	for i, v := range corners {
		px[i] = float64(x.Vertices[v][r.axes[0]]) - r.from[r.axes[0]] - float64(r.shear[0]*pz[i])
	}
	winds := 0
	for i := range 3 {
		j := (i + 1) % 3
		switch {
		case py[i] <= 0 && py[j] > 0:
			if turn(px[i], py[i], px[j], py[j]) > 0 {
				winds++
			}
		case py[j] <= 0 && py[i] > 0:
			if turn(px[i], py[i], px[j], py[j]) < 0 {
				winds--
			}
		}
	}
	if winds == 0 {
		return 0, false, false
	}
	u := float64(px[1]*py[2]) - float64(py[1]*px[2])
	v := float64(px[2]*py[0]) - float64(py[2]*px[0])
	w := float64(px[0]*py[1]) - float64(py[0]*px[1])
	low, high := min(pz[0], pz[1], pz[2]), max(pz[0], pz[1], pz[2])
	z := (low + high) / 2
	if all := u + v + w; all != 0 {
		z = (float64(u*pz[0]) + float64(v*pz[1]) + float64(w*pz[2])) / all
	}
	return min(max(z, low), high) * r.scale, winds > 0, true
}

// turn gives the sign of ax by - ay bx, exactly: rounding keeps the order of the
// products, and where they round to the same, what was rounded off decides.
func turn(ax, ay, bx, by float64) int {
	p, q := float64(ax*by), float64(ay*bx)
	if p != q {
		return cmp.Compare(p, q)
	}
	return cmp.Compare(math.FMA(ax, by, -p), math.FMA(ay, bx, -q))
}

// Nearest gives the point of the surface nearest to p, not further than far, its
// distance and its triangle; of triangles equally near the one of lowest number.
func (x *Index) Nearest(p r3.Vec, far float64) (q r3.Vec, distance float64, triangle int, ok bool) {
	type waiting struct {
		node uint32
		near float64
	}
	if far < 0 {
		return r3.Vec{}, 0, 0, false
	}
	best := far * far
	triangle = math.MaxInt
	var stack [deepest]waiting
	stack[0] = waiting{0, x.nodes[0].away(p)}
	for top := 1; top > 0; {
		top--
		// A box is seen as a little nearer than rounding may have put it.
		if stack[top].near*(1-0x1p-48) > best {
			continue
		}
		at := stack[top].node
		n := &x.nodes[at]
		if n.count > 0 {
			for _, i := range x.Order[n.at : n.at+n.count] {
				a, b, c := x.Corners(int(i))
				r := NearestOn(p, a, b, c)
				if d := r3.Norm2(r3.Sub(p, r)); d < best || d == best && int(i) < triangle {
					q, best, triangle = r, d, int(i)
				}
			}
			continue
		}
		a := waiting{at + 1, x.nodes[at+1].away(p)}
		b := waiting{n.at, x.nodes[n.at].away(p)}
		if a.near < b.near {
			a, b = b, a
		}
		stack[top], stack[top+1] = a, b
		top += 2
	}
	if triangle == math.MaxInt {
		return r3.Vec{}, 0, 0, false
	}
	return q, math.Sqrt(best), triangle, true
}

// away gives the square of the distance from a point to a node's box.
func (n *node) away(p r3.Vec) float64 {
	sum := 0.0
	for k, c := range [3]float64{p.X, p.Y, p.Z} {
		d := max(float64(n.box[0][k])-c, c-float64(n.box[1][k]), 0)
		sum += float64(d * d)
	}
	return sum
}

// NearestOn gives the point of the triangle a b c nearest to p, by the regions
// of its corners, edges and face (Ericson, Real-Time Collision Detection, 2005,
// 5.1.5).
func NearestOn(p, a, b, c r3.Vec) r3.Vec {
	ab, ac, ap := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(p, a)
	d1, d2 := r3.Dot(ab, ap), r3.Dot(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := r3.Sub(p, b)
	d3, d4 := r3.Dot(ab, bp), r3.Dot(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 && d1 > d3 {
		return r3.Add(a, r3.Scale(d1/(d1-d3), ab))
	}
	cp := r3.Sub(p, c)
	d5, d6 := r3.Dot(ab, cp), r3.Dot(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 && d2 > d6 {
		return r3.Add(a, r3.Scale(d2/(d2-d6), ac))
	}
	va := d3*d6 - d5*d4
	if e, f := d4-d3, d5-d6; va <= 0 && e >= 0 && f >= 0 && e+f > 0 {
		return r3.Add(b, r3.Scale(e/(e+f), r3.Sub(c, b)))
	}
	if all := va + vb + vc; all > 0 {
		return r3.Add(a, r3.Add(r3.Scale(vb/all, ab), r3.Scale(vc/all, ac)))
	}
	return a
}
