package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// The most removed vertices that a collapse may have to look after: bounds its cost.
const mostCarried = 160

// turned is the least cosine between a triangle's normal before and after.
const turned = 0.3

// thinness is the square of how many times longer than high a triangle may get
// where it gets thinner.
const thinness = 2500

// leastHeight is the height, in units, under which a triangle is a sliver: two
// micrometres.
const leastHeight = 8

// collapser tries single collapses; a worker's scratch space.
type collapser struct {
	*reducer
	ring    []int32    // neighbours of the vertex in hand, in order round it
	fan     [][2]int32 // the edges of its ring, unsorted
	spokes  []r3.Vec   // from the vertex to its ring
	normals []r3.Vec   // unit normals of its fan, each from a spoke to the next
	facing  r3.Vec     // the sum of their areas
	level   []bool     // which triangles of the fan are level, in the same order
	worst   float64    // the squared height of the sliver that is to go
	levels  int        // how many are
	lowest  int32      // the heights that the vertex may move to, units
	highest int32
	plain   float64 // how far off its planes the ring lies, at most, units
	choices []choice
	fresh   []fresh // the new triangles of a choice
	old     []facet // the triangles of the fan, made where they are needed
	looked  []int32 // removed vertices to look after
	home    []int32 // the new triangle of each
	number  []int32 // the numbers of the new triangles
}

// fresh is a triangle that a collapse would make.
type fresh struct {
	at [3]int32
	facet
}

type choice struct {
	at     int32   // index into the ring
	cost   float64 // how far it lies off the planes about the vertex, units
	length float64 // squared length of the edge
}

// mostFan is the largest fan that is looked at: larger ones cost their square.
const mostFan = 48

// try removes v if some collapse allows it.
func (k *collapser) try(v int32) bool {
	if !k.canGo(v) {
		return false
	}
	k.rank(v)
	for _, c := range k.choices {
		u := k.ring[c.at]
		if k.holds(c.at, false) && k.linked(v, u) && k.carry(v, c.cost == 0) &&
			(c.cost == 0 || (k.plain <= k.tolerance || k.spokesHold(v, c.at)) && !k.crosses(v)) {
			k.collapse(v, u)
			return true
		}
	}
	return false
}

// canGo says whether v may be removed at all, and walks its ring if so.
func (k *collapser) canGo(v int32) bool {
	n := len(k.fans[v])
	return !k.locked[v] && n >= 3 && n <= mostFan && k.walkRing(v)
}

// How far the planes about a vertex may be from where it goes, in limits: a
// chord of a curve strays from it by an eighth of what its end strays from the
// tangent.
const planeLimits = 8

// mostChoices is how many neighbours are tried, the likeliest first.
const mostChoices = 5

// survey takes the measure of the fan of v: spokes, normals, and whether it is level.
func (k *collapser) survey(v int32) {
	n := len(k.ring)
	pv := k.at(v)
	k.spokes, k.normals, k.level, k.choices = k.spokes[:0], k.normals[:0], k.level[:0], k.choices[:0]
	for _, w := range k.ring {
		k.spokes = append(k.spokes, r3.Sub(k.at(w), pv))
	}
	k.facing, k.levels = r3.Vec{}, 0
	k.lowest, k.highest = -maxUnits, maxUnits
	for i, a := range k.spokes {
		m := r3.Cross(a, k.spokes[(i+1)%n])
		lo, hi, level := k.heightsKept(v, k.ring[i], k.ring[(i+1)%n])
		k.lowest, k.highest = max(k.lowest, lo), min(k.highest, hi)
		k.level = append(k.level, level)
		if level {
			k.levels++
		}
		k.facing = r3.Add(k.facing, m)
		k.normals = append(k.normals, r3.Scale(1/math.Sqrt(r3.Dot(m, m)), m))
	}
}

// rank lists the neighbours that v might go to. The cost is how far a
// neighbour lies off the planes of v's triangles; a flat fan costs nothing.
func (k *collapser) rank(v int32) {
	k.survey(v)
	n := len(k.ring)
	k.plain = 0
	for i, u := range k.ring {
		s := k.spokes[i]
		cost := 0.0
		for j := range k.normals {
			cost = max(cost, math.Abs(r3.Dot(k.normals[j], s)))
		}
		k.plain = max(k.plain, cost)
		if cost > planeLimits*k.tolerance {
			continue
		}
		if z := k.points[u][2]; z < k.lowest || z > k.highest {
			continue // a level triangle about v would tilt
		}
		if k.levels > 0 && k.levels < n && !k.alongRim(i) {
			continue
		}
		if cost < 0.5 { // within half a unit: the lattice's own rounding
			cost = 0
		}
		k.keep(choice{int32(i), cost, r3.Dot(s, s)})
	}
}

// keep puts a choice in its place among the best so far: cheap before dear, near
// before far, first before last.
func (k *collapser) keep(c choice) {
	i := len(k.choices)
	for i > 0 && (c.cost < k.choices[i-1].cost || c.cost == k.choices[i-1].cost && c.length < k.choices[i-1].length) {
		i--
	}
	if i == mostChoices {
		return
	}
	if len(k.choices) < mostChoices {
		k.choices = append(k.choices, choice{})
	}
	copy(k.choices[i+1:], k.choices[i:])
	k.choices[i] = c
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

// holds makes the new triangles of moving the vertex in hand onto ring[at], and checks
// their shapes: it is false where one turns over or thins out. To be rid of a sliver it
// is looser: slivers may turn, since which way they face means nothing, and what is thin
// may stay as thin, or be less thin than the sliver.
func (k *collapser) holds(at int32, loose bool) bool {
	n := int32(len(k.ring))
	u := k.ring[at]
	pu := k.at(u)
	k.fresh = k.fresh[:0]
	for j := int32(1); j < n-1; j++ {
		i := at + j
		if i >= n {
			i -= n
		}
		next := i + 1
		if next == n {
			next = 0
		}
		a, b := k.at(k.ring[i]), k.at(k.ring[next])
		ab, ua, ub := r3.Sub(b, a), r3.Sub(pu, a), r3.Sub(pu, b)
		after := r3.Cross(ab, ua)
		la := r3.Norm2(after)
		longest := max(r3.Norm2(ab), r3.Norm2(ua), r3.Norm2(ub))
		d := r3.Dot(after, k.normals[i])
		faces := d > 0 && d*d >= turned*turned*la
		isThin := la < leastHeight*leastHeight*longest || la*thinness < longest*longest
		if !faces || isThin {
			before := r3.Norm2(r3.Cross(k.spokes[i], k.spokes[next]))
			wasLongest := max(r3.Norm2(ab), r3.Norm2(k.spokes[i]), r3.Norm2(k.spokes[next]))
			switch {
			case !loose:
				// The height over the longest side, and against that of before.
				if !faces || la < leastHeight*leastHeight*longest || la < before {
					return false
				}
			case !faces && (before >= leastHeight*leastHeight*wasLongest || r3.Dot(after, k.facing) <= 0):
				return false
			case la < leastHeight*leastHeight*longest && la*wasLongest < before*longest && la <= k.worst*longest:
				return false
			}
		}
		k.fresh = append(k.fresh, fresh{
			at:    [3]int32{u, k.ring[i], k.ring[next]},
			facet: facet{corner: [3]r3.Vec{pu, a, b}, normal: r3.Scale(1/math.Sqrt(la), after)},
		})
	}
	return true
}

// linked is the link condition (Dey, Edelsbrunner, Guha, Nekhayev 1999): v and u
// have exactly the two neighbours in common that their shared triangles have.
func (k *collapser) linked(v, u int32) bool {
	common := 0
	for _, w := range k.ring {
		if w != u && k.joined(w, u) {
			common++
		}
	}
	// A tetrahedron would fold flat.
	return common == 2 && len(k.ring) > 3 || common == 2 && len(k.fans[u]) > 3
}

// carry finds a new triangle within the limit for every removed vertex that v's
// triangles carry, and for v. On flat ground, where nothing strays, what is too
// many is let go; elsewhere the collapse is not done.
func (k *collapser) carry(v int32, flat bool) bool {
	k.looked, k.home = k.looked[:0], k.home[:0]
	k.looked = append(k.looked, v)
gather:
	for _, t := range k.fans[v] {
		for c := k.carried[t]; c >= 0; c = k.next[c] {
			if len(k.looked) == mostCarried {
				if flat {
					break gather
				}
				return false
			}
			k.looked = append(k.looked, c)
		}
	}
	guess := 0
	for _, c := range k.looked {
		found := k.nearest(k.at(c), guess)
		if found < 0 {
			return false
		}
		guess = found
		k.home = append(k.home, int32(found))
	}
	return true
}

// nearest gives a new triangle within the tolerance of p, tried from a guess on; -1 for
// none.
func (k *collapser) nearest(p r3.Vec, guess int) int {
	n := len(k.fresh)
	for j := range n {
		i := guess + j
		if i >= n {
			i -= n
		}
		if k.fresh[i].isNear(p, k.tolerance) {
			return i
		}
	}
	return -1
}

// spokesHold checks what vertices alone cannot tell: large triangles have
// none within them. Along every new edge, and in the middle of every old one, the
// old surface and the new must be within the tolerance.
func (k *collapser) spokesHold(v, at int32) bool {
	n, i := len(k.ring), int(at)
	pv := k.at(v)
	k.old = k.old[:0]
	for j, s := range k.spokes {
		t := k.spokes[(j+1)%n]
		k.old = append(k.old, facet{corner: [3]r3.Vec{pv, r3.Add(pv, s), r3.Add(pv, t)}, normal: k.normals[j]})
	}
	pu := k.old[i].corner[1]
	for j := 2; j < n-1; j++ {
		w := k.old[(i+j)%n].corner[1]
		for _, s := range [...]float64{0.5, 0.25, 0.75} {
			if !k.nearOld(r3.Add(pu, r3.Scale(s, r3.Sub(w, pu)))) {
				return false
			}
		}
	}
	for j := 1; j < n; j++ {
		w := k.old[(i+j)%n].corner[1]
		if k.nearest(r3.Scale(0.5, r3.Add(pv, w)), 0) < 0 {
			return false
		}
	}
	return true
}

func (k *collapser) nearOld(p r3.Vec) bool {
	for t := range k.old {
		if k.old[t].isNear(p, k.tolerance) {
			return true
		}
	}
	return false
}

// crosses tests the new triangles against those about the ring, exactly but for pairs
// that are told apart at a glance. Where the new ones are all seen from the front in the
// direction that the old ones face, those about the ring that are seen from the front too
// lie beside them, as they lay beside the old ones, since the ring is the same. (A sheet
// that winds over itself within two rings would be an exception; the proof sees it.)
func (k *collapser) crosses(v int32) bool {
	var d r3.Vec
	for _, n := range k.normals {
		d = r3.Add(d, n)
	}
	front := true
	for i := range k.fresh {
		front = front && r3.Dot(d, k.fresh[i].normal) > 0
	}
	before := k.ring[len(k.ring)-1]
	if len(k.ring) == 3 {
		before = v
	}
	for _, w := range k.ring {
		for _, o := range k.fans[w] {
			q := k.triangles[o]
			if q[0] == v || q[1] == v || q[2] == v {
				continue
			}
			if q[0] == before || q[1] == before || q[2] == before {
				continue // its turn is with the vertex before
			}
			if front {
				a := k.at(q[0])
				if r3.Dot(d, r3.Cross(r3.Sub(k.at(q[1]), a), r3.Sub(k.at(q[2]), a))) > 0 {
					continue
				}
			}
			if k.meets(&q) {
				return true
			}
		}
		if len(k.ring) > 3 {
			before = w
		}
	}
	return false
}

// meets says whether a triangle and a new one share a point that they ought not to.
func (k *collapser) meets(q *[3]int32) bool {
	b := triangleBox(k.points, q)
	for i := range k.fresh {
		f := &k.fresh[i]
		if k.planeParts(f, q) {
			continue
		}
		if tb := triangleBox(k.points, &f.at); !b.touches(&tb) {
			continue
		}
		t := [3]ipoint{k.points[f.at[0]], k.points[f.at[1]], k.points[f.at[2]]}
		u := [3]ipoint{k.points[q[0]], k.points[q[1]], k.points[q[2]]}
		if improper(&t, &u, &f.at, q) {
			return true
		}
	}
	return false
}

// wellOff is a distance, in units, that is beyond all rounding.
const wellOff = 0.01

// planeParts says whether all vertices of a triangle, but for those that it shares with
// a new one, are well on one side of the new one's plane.
func (k *collapser) planeParts(f *fresh, q *[3]int32) bool {
	above, below := true, true
	for _, w := range q {
		if w == f.at[0] || w == f.at[1] || w == f.at[2] {
			continue
		}
		d := r3.Dot(f.normal, r3.Sub(k.at(w), f.corner[0]))
		above = above && d > wellOff
		below = below && d < -wellOff
	}
	return above || below
}

// collapse moves v onto u.
func (k *collapser) collapse(v, u int32) {
	for _, w := range k.ring {
		k.stuck[w] = false
	}
	// The triangles about v that keep their number get u in place of v; those
	// that hold u go.
	fan := k.fans[v]
	k.number = append(k.number[:0], make([]int32, len(k.fresh))...)
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
				for j := range k.fresh {
					if f := &k.fresh[j]; f.at[1] == a && f.at[2] == b {
						k.number[j] = t
					}
				}
				break
			}
		}
		k.fans[u] = append(k.fans[u], t)
	}
	k.fans[v] = nil
	k.settle()
}

// settle gives the removed vertices that were looked after to their new triangles.
func (k *collapser) settle() {
	for i, c := range k.looked {
		t := k.number[k.home[i]]
		k.next[c] = k.carried[t]
		k.carried[t] = c
	}
}

func remove(list []int32, x int32) []int32 {
	i := slices.Index(list, x)
	return slices.Delete(list, i, i+1)
}
