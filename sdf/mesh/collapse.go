package mesh

import (
	"cmp"
	"math"
	"slices"
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
	limit   float64    // units
	ring    []int32    // neighbours of the vertex in hand, in order round it
	fan     [][2]int32 // the edges of its ring, unsorted
	spokes  []vec      // from the vertex to its ring
	normals []vec      // unit normals of its fan, each from a spoke to the next
	level   []bool     // which triangles of the fan are level, in the same order
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
		if k.holds(v, c.at) && k.linked(v, u) && k.carry(v, u, c.cost == 0) && (c.cost == 0 || k.spokesHold(v, c.at) && !k.crosses(v)) {
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
	lowest, highest := int32(-maxUnits), int32(maxUnits)
	k.level = k.level[:0]
	levels := 0
	for i, a := range k.spokes {
		m := crossv(a, k.spokes[(i+1)%n])
		lo, hi, level := k.heightsKept(v, k.ring[i], k.ring[(i+1)%n])
		lowest, highest = max(lowest, lo), min(highest, hi)
		k.level = append(k.level, level)
		if level {
			levels++
		}
		l := 1 / math.Sqrt(dotv(m, m))
		k.normals = append(k.normals, vec{m[0] * l, m[1] * l, m[2] * l})
	}
	for i, u := range k.ring {
		if z := k.points[u][2]; z < lowest || z > highest {
			continue // a level triangle about v would tilt
		}
		if levels > 0 && levels < n && !k.alongRim(i) {
			continue
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

// nearlyLevel is the spread of heights, in units, up to which a triangle counts as
// level but for rounding: a micrometre.
const nearlyLevel = 4

// alongRim says, of a vertex on the rim of something level, whether going to
// ring[i] follows the rim and leaves it straight: it must be one of just two edges with
// a level triangle on one side only, and the vertex within the limit of the line from
// there to the other. Else a neighbour that rises by next to nothing, such as the foot of
// a wall, would spread over the level ground as a slope.
func (k *collapser) alongRim(i int) bool {
	n := len(k.ring)
	other := -1
	for j := range n {
		if k.level[j] == k.level[(j+n-1)%n] {
			if j == i {
				return false
			}
			continue
		}
		if j != i {
			if other >= 0 {
				return false
			}
			other = j
		}
	}
	if other < 0 {
		return false
	}
	// How far the origin, the vertex, is off the line through both spokes' ends.
	a, b := k.spokes[i], k.spokes[other]
	d, m := sub(b, a), crossv(a, b)
	return dotv(m, m) <= k.limit*k.limit*dotv(d, d) && dotv(a, b) < 0
}

// heightsKept says whether the triangle (v,a,b) is level, and gives the heights that
// v may move to for it to stay as level as it is: exactly, if it is exactly level, so
// that undersides stay flat; to nearlyLevel, if it is nearly so, so that treads and
// floors do not lean.
func (k *collapser) heightsKept(v, a, b int32) (lo, hi int32, level bool) {
	z, za, zb := k.points[v][2], k.points[a][2], k.points[b][2]
	lo, hi = min(z, za, zb), max(z, za, zb)
	switch {
	case lo == hi:
		return z, z, true
	case hi-lo <= nearlyLevel:
		return max(za, zb) - nearlyLevel, min(za, zb) + nearlyLevel, true
	}
	return -maxUnits, maxUnits, false
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
// triangles carry, and for v. On flat ground, where nothing strays, what is too
// many is let go; elsewhere the collapse is not done.
func (k *collapser) carry(v, u int32, flat bool) bool {
	k.fresh, k.looked, k.home = k.fresh[:0], k.looked[:0], k.home[:0]
	for i, w := range k.ring {
		x := k.ring[(i+1)%len(k.ring)]
		if w != u && x != u {
			k.fresh = append(k.fresh, [3]int32{u, w, x})
		}
	}
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

// crosses tests the new triangles against those about the ring: quickly where all of
// them face one way, exactly where they do not.
func (k *collapser) crosses(v int32) bool {
	return !k.facesOneWay(v) && k.crossesExactly(v)
}

// facesOneWay says whether the new triangles and those about the ring are all seen
// from the front in the direction that the old ones face. Then, seen so, they lie side by
// side, as the old ones did, since the ring is the same: nothing new can cross. (A sheet
// that winds over itself within two rings would be an exception; the proof sees it.)
func (k *collapser) facesOneWay(v int32) bool {
	var d vec
	for _, n := range k.normals {
		d[0] += n[0]
		d[1] += n[1]
		d[2] += n[2]
	}
	front := func(q *[3]int32) bool {
		a := k.at(q[0])
		return dotv(d, crossv(sub(k.at(q[1]), a), sub(k.at(q[2]), a))) > 0
	}
	for i := range k.fresh {
		if !front(&k.fresh[i]) {
			return false
		}
	}
	for _, w := range k.ring {
		for _, o := range k.fans[w] {
			if q := &k.triangles[o]; q[0] != v && q[1] != v && q[2] != v && !front(q) {
				return false
			}
		}
	}
	return true
}

func (k *collapser) crossesExactly(v int32) bool {
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
