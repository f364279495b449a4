package mesh

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Reduction collapses edges onto vertices that are there already, so every
// coordinate stays a lattice point that the contour placed. A collapse is done
// only where
//
//   - the surface stays a closed 2-manifold (the link condition),
//   - every vertex ever removed nearby stays within the tolerance of the new
//     triangles (each triangle carries the removed vertices that lie on it),
//   - no triangle turns over or thins out to a sliver,
//   - what is exactly level stays so, at its height: undersides, treads, floors.
//
// Whether anything crosses is left to the proof; where it fails, the vertices
// there are kept and the reduction is done again without them. But for flat
// ground, a collapse is tested against its surroundings first, so that this is rare.
type reducer struct {
	points    []ipoint
	triangles [][3]int32 // first vertex -1: gone
	fans      [][]int32  // triangles about each vertex
	locked    []bool     // vertices that may not be removed
	stuck     []bool     // vertices that could not go, and nothing about them changed since
	carried   []int32    // first removed vertex that each triangle carries, -1 for none
	next      []int32    // the next one after a removed vertex
	region    []uint8    // by vertex: where it may be worked on in parallel
	tolerance float64    // units
}

// The most removed vertices that a collapse may have to look after: bounds its cost.
const mostCarried = 160

// regions are slabs along x with about as many vertices each; they depend on the mesh
// alone, not on the workers.
const mostRegions = 16

// turned is the least cosine between a triangle's normal before and after.
const turned = 0.3

// thinness is the square of how many times longer than high a triangle may get
// where it gets thinner.
const thinness = 2500

// leastHeight is the height, in units, under which a triangle is a sliver: two
// micrometres.
const leastHeight = 8

// reduce thins out a closed mesh to within tolerance mm of itself.
func (s *soup) reduce(ctx context.Context, tolerance float64, workers int, keeps func(ipoint) bool) error {
	r := &reducer{
		points: s.points, triangles: s.triangles, tolerance: tolerance * unitsPerMM,
		fans: fansOf(len(s.points), s.triangles), locked: make([]bool, len(s.points)),
		stuck:   make([]bool, len(s.points)),
		carried: make([]int32, len(s.triangles)), next: make([]int32, len(s.points)),
	}
	for i := range r.carried {
		r.carried[i] = -1
	}
	for v, p := range s.points {
		r.locked[v] = keeps(p)
	}
	regions := r.divide()
	// Easy collapses first, so that the flat ground goes before curves are bent.
	for _, share := range [...]float64{0.25, 1} {
		clear(r.stuck)
		err := inParallel(ctx, workers, regions, func() func(i int32) error {
			return func(i int32) error { return r.sweep(ctx, share, i) }
		})
		if err != nil {
			return err
		}
		if err := r.sweep(ctx, share, anyRegion); err != nil {
			return err
		}
	}
	kept := s.triangles[:0]
	for _, t := range r.triangles {
		if t[0] >= 0 {
			kept = append(kept, t)
		}
	}
	s.triangles = kept
	s.compact()
	return nil
}

// fansOf lists the triangles about each vertex.
func fansOf(vertices int, triangles [][3]int32) [][]int32 {
	count := make([]int32, vertices+1)
	for _, t := range triangles {
		for _, v := range t {
			count[v+1]++
		}
	}
	for v := range vertices {
		count[v+1] += count[v]
	}
	all := make([]int32, 3*len(triangles))
	fans := make([][]int32, vertices)
	for v := range fans {
		fans[v] = all[count[v]:count[v]:count[v+1]]
	}
	for i, t := range triangles {
		for _, v := range t {
			fans[v] = append(fans[v], int32(i))
		}
	}
	return fans
}

// divide puts the vertices into regions.
func (r *reducer) divide() []int32 {
	n := min(mostRegions, max(1, len(r.points)/4096))
	xs := make([]int32, len(r.points))
	for v, p := range r.points {
		xs[v] = p[0]
	}
	slices.Sort(xs)
	cuts := make([]int32, 0, n)
	for k := 1; k < n; k++ {
		cuts = append(cuts, xs[k*len(xs)/n])
	}
	r.region = make([]uint8, len(r.points))
	for v, p := range r.points {
		k, _ := slices.BinarySearchFunc(cuts, p[0], func(c, x int32) int { return cmp.Compare(c, x+1) })
		r.region[v] = uint8(k)
	}
	regions := make([]int32, n)
	for k := range regions {
		regions[k] = int32(k)
	}
	return regions
}

// anyRegion is the sweep over what the regions could not touch.
const anyRegion = -1

// sweep visits the vertices of a region, in order, until nothing more can go.
// A vertex is the region's own where all its neighbours are of the region too:
// then no other region reads or writes what a collapse there changes.
func (r *reducer) sweep(ctx context.Context, share float64, region int32) error {
	k := collapser{reducer: r, limit: r.tolerance * share}
	var queue []int32
	for v := range r.points {
		if len(r.fans[v]) == 0 || region != anyRegion && int32(r.region[v]) != region {
			continue
		}
		if region == anyRegion && r.own(int32(v)) {
			continue
		}
		queue = append(queue, int32(v))
	}
	for done := 1; done > 0; {
		done = 0
		rest := queue[:0]
		for i, v := range queue {
			if i&1023 == 0 && ctx.Err() != nil {
				return ctx.Err()
			}
			if len(r.fans[v]) == 0 {
				continue // gone
			}
			if !r.stuck[v] && (region == anyRegion || r.own(v)) {
				if k.try(v) {
					done++
					continue
				}
				r.stuck[v] = true
			}
			rest = append(rest, v)
		}
		queue = rest
	}
	return nil
}

func (r *reducer) own(v int32) bool {
	for _, t := range r.fans[v] {
		for _, w := range r.triangles[t] {
			if r.region[w] != r.region[v] {
				return false
			}
		}
	}
	return true
}

// collapser tries single collapses; a worker's scratch space.
type collapser struct {
	*reducer
	limit   float64    // units
	ring    []int32    // neighbours of the vertex in hand, in order round it
	fan     [][2]int32 // the edges of its ring, unsorted
	spokes  []vec      // from the vertex to its ring
	normals []vec      // unit normals of its fan, each from a spoke to the next
	choices []choice
	fresh   [][3]int32 // the new triangles of a choice
	looked  []int32    // removed vertices to look after
	home    []int32    // the new triangle of each
	about   []int32    // the triangles round the ring
}

type choice struct {
	at     int32   // index into the ring
	cost   float64 // how far it lies off the planes about the vertex, units
	length float64 // squared length of the edge
}

type vec = [3]float64

func sub(a, b vec) vec      { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func dotv(a, b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func crossv(a, b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func (r *reducer) at(v int32) vec {
	p := r.points[v]
	return vec{float64(p[0]), float64(p[1]), float64(p[2])}
}

// mostFan is the largest fan that is looked at: larger ones cost their square.
const mostFan = 48

// try removes v if some collapse allows it.
func (k *collapser) try(v int32) bool {
	fan := k.fans[v]
	if k.locked[v] || len(fan) < 3 || len(fan) > mostFan || !k.walkRing(v) {
		return false
	}
	k.rank(v)
	for i, c := range k.choices {
		if i == mostChoices {
			break
		}
		u := k.ring[c.at]
		if k.holds(v, c.at) && k.linked(v, u) && k.carry(v, u) && (c.cost == 0 || k.spokesHold(v, c.at) && !k.crosses(v)) {
			k.collapse(v, u)
			return true
		}
	}
	return false
}

// How far the planes about a vertex may be from where it goes, in limits: a
// chord of a curve strays from it by an eighth of what its end strays from the
// tangent.
const planeLimits = 8

// mostChoices is how many neighbours are tried, the likeliest first.
const mostChoices = 3

// rank lists the neighbours that v might go to. The cost is how far a
// neighbour lies off the planes of v's triangles; a flat fan costs nothing.
func (k *collapser) rank(v int32) {
	n := len(k.ring)
	pv := k.at(v)
	k.spokes, k.normals, k.choices = k.spokes[:0], k.normals[:0], k.choices[:0]
	for _, w := range k.ring {
		k.spokes = append(k.spokes, sub(k.at(w), pv))
	}
	level := false
	for i, a := range k.spokes {
		m := crossv(a, k.spokes[(i+1)%n])
		level = level || m[0] == 0 && m[1] == 0
		l := 1 / math.Sqrt(dotv(m, m))
		k.normals = append(k.normals, vec{m[0] * l, m[1] * l, m[2] * l})
	}
	for i, u := range k.ring {
		if level && k.points[u][2] != k.points[v][2] {
			continue // a level triangle about v would tilt
		}
		s := k.spokes[i]
		cost := 0.0
		for _, m := range k.normals {
			cost = math.Max(cost, math.Abs(dotv(m, s)))
		}
		if cost > planeLimits*k.limit {
			continue
		}
		if cost < 0.5 { // within half a unit: the lattice's own rounding
			cost = 0
		}
		k.choices = append(k.choices, choice{int32(i), cost, dotv(s, s)})
	}
	slices.SortFunc(k.choices, func(a, b choice) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.length, b.length), cmp.Compare(a.at, b.at))
	})
}

// walkRing puts the neighbours of v in order; false where they are no single ring.
func (k *collapser) walkRing(v int32) bool {
	k.fan, k.ring = k.fan[:0], k.ring[:0]
	for _, t := range k.fans[v] {
		q := k.triangles[t]
		switch v {
		case q[0]:
			k.fan = append(k.fan, [2]int32{q[1], q[2]})
		case q[1]:
			k.fan = append(k.fan, [2]int32{q[2], q[0]})
		default:
			k.fan = append(k.fan, [2]int32{q[0], q[1]})
		}
	}
	at := k.fan[0][0]
	for range k.fan {
		k.ring = append(k.ring, at)
		found := false
		for _, e := range k.fan {
			if e[0] == at {
				at, found = e[1], true
				break
			}
		}
		if !found {
			return false
		}
	}
	return at == k.ring[0]
}

// holds checks the shapes of the new triangles of moving v onto ring[at]: it is
// false where one turns over or thins out.
func (k *collapser) holds(v, at int32) bool {
	n := int32(len(k.ring))
	pu := k.at(k.ring[at])
	for j := int32(1); j < n-1; j++ {
		i := (at + j) % n
		a, b := k.at(k.ring[i]), k.at(k.ring[(i+1)%n])
		ab, ua, ub := sub(b, a), sub(pu, a), sub(pu, b)
		after := crossv(ab, ua)
		la := dotv(after, after)
		d := dotv(after, k.normals[i])
		if d <= 0 || d*d < turned*turned*la {
			return false
		}
		// The height over the longest side, and against that of before.
		longest := math.Max(dotv(ab, ab), math.Max(dotv(ua, ua), dotv(ub, ub)))
		if la < leastHeight*leastHeight*longest {
			return false
		}
		if la*thinness < longest*longest {
			before := crossv(k.spokes[i], k.spokes[(i+1)%n])
			if la < dotv(before, before) {
				return false
			}
		}
	}
	return true
}

// linked is the link condition (Dey, Edelsbrunner, Guha, Nekhayev 1999): v and u
// have exactly the two neighbours in common that their shared triangles have.
func (k *collapser) linked(v, u int32) bool {
	common := 0
	for _, w := range k.ring {
		if w == u {
			continue
		}
		for _, t := range k.fans[w] {
			q := &k.triangles[t]
			if q[0] == u || q[1] == u || q[2] == u {
				common++
				break
			}
		}
	}
	// A tetrahedron would fold flat.
	return common == 2 && len(k.ring) > 3 || common == 2 && len(k.fans[u]) > 3
}

// carry finds a new triangle within the limit for every removed vertex that v's
// triangles carry, and for v.
func (k *collapser) carry(v, u int32) bool {
	k.fresh, k.looked, k.home = k.fresh[:0], k.looked[:0], k.home[:0]
	for i, w := range k.ring {
		x := k.ring[(i+1)%len(k.ring)]
		if w != u && x != u {
			k.fresh = append(k.fresh, [3]int32{u, w, x})
		}
	}
	k.looked = append(k.looked, v)
	for _, t := range k.fans[v] {
		for c := k.carried[t]; c >= 0; c = k.next[c] {
			k.looked = append(k.looked, c)
			if len(k.looked) > mostCarried {
				return false
			}
		}
	}
	limit := k.limit * k.limit
	guess := 0
	for _, c := range k.looked {
		p := k.at(c)
		found := -1
		for j := range k.fresh {
			i := (guess + j) % len(k.fresh)
			q := k.fresh[i]
			if distance2(p, k.at(q[0]), k.at(q[1]), k.at(q[2])) <= limit {
				found = i
				break
			}
		}
		if found < 0 {
			return false
		}
		guess = found
		k.home = append(k.home, int32(found))
	}
	return true
}

// spokesHold checks what vertices alone cannot tell: large triangles have
// none within them. Along every new edge, and in the middle of every old one, the
// old surface and the new must be within the limit.
func (k *collapser) spokesHold(v, at int32) bool {
	limit := k.limit * k.limit
	n, i := len(k.ring), int(at)
	pv, pu := k.at(v), k.at(k.ring[at])
	for j := 2; j < n-1; j++ {
		w := k.at(k.ring[(i+j)%n])
		for _, s := range [...]float64{0.5, 0.25, 0.75} {
			p := vec{pu[0] + s*(w[0]-pu[0]), pu[1] + s*(w[1]-pu[1]), pu[2] + s*(w[2]-pu[2])}
			near := false
			for _, e := range k.fan {
				if distance2(p, pv, k.at(e[0]), k.at(e[1])) <= limit {
					near = true
					break
				}
			}
			if !near {
				return false
			}
		}
	}
	for j := 1; j < n; j++ {
		w := k.at(k.ring[(i+j)%n])
		p := vec{(pv[0] + w[0]) / 2, (pv[1] + w[1]) / 2, (pv[2] + w[2]) / 2}
		near := false
		for _, q := range k.fresh {
			if distance2(p, k.at(q[0]), k.at(q[1]), k.at(q[2])) <= limit {
				near = true
				break
			}
		}
		if !near {
			return false
		}
	}
	return true
}

// crosses tests the new triangles, exactly, against those about the ring.
func (k *collapser) crosses(v int32) bool {
	k.about = k.about[:0]
	for _, w := range k.ring {
		for _, o := range k.fans[w] {
			p := &k.triangles[o]
			if p[0] != v && p[1] != v && p[2] != v {
				k.about = append(k.about, o)
			}
		}
	}
	slices.Sort(k.about)
	k.about = slices.Compact(k.about)
	for _, q := range k.fresh {
		t := [3]ipoint{k.points[q[0]], k.points[q[1]], k.points[q[2]]}
		if normalOf(t[0], t[1], t[2]) == [3]int64{} {
			return true
		}
		tb := triangleBox(k.points, &q)
		for _, o := range k.about {
			p := k.triangles[o]
			if ob := triangleBox(k.points, &p); !ob.touches(&tb) {
				continue
			}
			u := [3]ipoint{k.points[p[0]], k.points[p[1]], k.points[p[2]]}
			if improper(&t, &u, &q, &p) {
				return true
			}
		}
	}
	return false
}

// collapse moves v onto u.
func (k *collapser) collapse(v, u int32) {
	for _, w := range k.ring {
		k.stuck[w] = false
	}
	// The triangles about v that keep their number get u in place of v; those
	// that hold u go.
	fan := k.fans[v]
	number := make([]int32, len(k.fresh))
	for _, t := range fan {
		q := &k.triangles[t]
		k.carried[t] = -1
		if q[0] == u || q[1] == u || q[2] == u {
			for _, w := range q {
				if w != v {
					k.fans[w] = remove(k.fans[w], t)
				}
			}
			q[0] = -1
			continue
		}
		for i := range q {
			if q[i] == v {
				q[i] = u
				a, b := q[(i+1)%3], q[(i+2)%3]
				for j, f := range k.fresh {
					if f[1] == a && f[2] == b {
						number[j] = t
					}
				}
				break
			}
		}
		k.fans[u] = append(k.fans[u], t)
	}
	k.fans[v] = nil
	for i, c := range k.looked {
		t := number[k.home[i]]
		k.next[c] = k.carried[t]
		k.carried[t] = c
	}
}

func remove(list []int32, x int32) []int32 {
	i := slices.Index(list, x)
	return slices.Delete(list, i, i+1)
}

// distance2 is the squared distance from p to the triangle (a,b,c); Ericson,
// Real-Time Collision Detection, 5.1.5.
func distance2(p, a, b, c vec) float64 {
	ab, ac, ap := sub(b, a), sub(c, a), sub(p, a)
	d1, d2 := dotv(ab, ap), dotv(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return dotv(ap, ap)
	}
	bp := sub(p, b)
	d3, d4 := dotv(ab, bp), dotv(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return dotv(bp, bp)
	}
	if vc := d1*d4 - d3*d2; vc <= 0 && d1 >= 0 && d3 <= 0 {
		return awayFrom(ap, ab, d1/(d1-d3))
	}
	cp := sub(p, c)
	d5, d6 := dotv(ab, cp), dotv(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return dotv(cp, cp)
	}
	if vb := d5*d2 - d1*d6; vb <= 0 && d2 >= 0 && d6 <= 0 {
		return awayFrom(ap, ac, d2/(d2-d6))
	}
	if va := d3*d6 - d5*d4; va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return awayFrom(bp, sub(c, b), (d4-d3)/((d4-d3)+(d5-d6)))
	}
	n := crossv(ab, ac)
	h := dotv(n, ap)
	return h * h / dotv(n, n)
}

// awayFrom is the squared length of p - t*d.
func awayFrom(p, d vec, t float64) float64 {
	q := vec{p[0] - t*d[0], p[1] - t*d[1], p[2] - t*d[2]}
	return dotv(q, q)
}
