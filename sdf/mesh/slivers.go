package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Slivers, triangles less than leastHeight high, come from crossings close to a corner
// of a cell. Slicers choke on them and light falls on them wrongly, so once the rest
// is reduced they are collapsed along their shortest side, or the longest is turned
// to join the other two corners about it, under the same tests as any collapse.

// sliverRounds is how often all slivers are gone over: one may be in another's way.
const sliverRounds = 4

// clearSlivers is done by one worker, over the whole mesh: slivers are few.
func (r *reducer) clearSlivers(w *crew) error {
	k := collapser{reducer: r}
	var list []int32
	for t := range r.triangles {
		if r.isSliver(int32(t)) {
			list = append(list, int32(t))
		}
	}
	for range sliverRounds {
		done := 0
		rest := list[:0]
		for i, t := range list {
			if i&255 == 0 && w.ctx.Err() != nil {
				return w.ctx.Err()
			}
			if !r.isSliver(t) {
				continue
			}
			if k.clearSliver(t) {
				done++
			}
			if r.isSliver(t) {
				rest = append(rest, t)
			}
		}
		list = rest
		if done == 0 || len(list) == 0 {
			break
		}
	}
	return nil
}

func (r *reducer) isSliver(t int32) bool {
	q := &r.triangles[t]
	return q[0] >= 0 && r.height2(q) < leastHeight*leastHeight
}

// height2 is the squared height of a triangle over its longest side.
func (r *reducer) height2(q *[3]int32) float64 {
	a, b, c := r.at(q[0]), r.at(q[1]), r.at(q[2])
	ab, ac, bc := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(c, b)
	return r3.Norm2(r3.Cross(ab, ac)) / max(r3.Norm2(ab), r3.Norm2(ac), r3.Norm2(bc))
}

// clearSliver tries the three sides, shortest first, to collapse, then longest first, to
// turn.
func (k *collapser) clearSliver(t int32) bool {
	q := k.triangles[t]
	k.worst = k.height2(&q)
	side := func(i int) float64 { return r3.Norm2(r3.Sub(k.at(q[(i+1)%3]), k.at(q[i]))) }
	order := [3]int{0, 1, 2}
	slices.SortStableFunc(order[:], func(i, j int) int { return cmp.Compare(side(i), side(j)) })
	for _, i := range order[:2] {
		if a, b := q[i], q[(i+1)%3]; k.collapseOnto(a, b) || k.collapseOnto(b, a) {
			return true
		}
	}
	return k.turn(t, order[2])
}

// collapseOnto moves v onto its neighbour u, loosely, if that is allowed.
func (k *collapser) collapseOnto(v, u int32) bool {
	if !k.canGo(v) {
		return false
	}
	k.survey(v)
	at := int32(slices.Index(k.ring, u))
	if k.fits(v, at) && k.holds(at, true) && k.linked(v, u) && k.carry(v, false) && k.spokesHold(v, at) && !k.crosses(v) {
		k.collapse(v, u)
		return true
	}
	return false
}

// fits says whether ring[at] is near the planes of v's triangles, and leaves level what is
// level among them; slivers have no plane to speak of.
func (k *collapser) fits(v, at int32) bool {
	u, s := k.ring[at], k.spokes[at]
	z := k.points[u][2]
	for i, m := range k.normals {
		w, x := k.ring[i], k.ring[(i+1)%len(k.ring)]
		if k.height2(&[3]int32{v, w, x}) < leastHeight*leastHeight {
			continue
		}
		lo, hi, _ := k.heightsKept(v, w, x)
		if z < lo || z > hi || math.Abs(r3.Dot(m, s)) > planeLimits*k.tolerance {
			return false
		}
	}
	return true
}

// turn takes the side i of a sliver, from a to b with c across from it, and the triangle
// on its other side, with d across, and joins c and d in place of a and b.
func (k *collapser) turn(t int32, i int) bool {
	q := k.triangles[t]
	a, b, c := q[i], q[(i+1)%3], q[(i+2)%3]
	other, d := k.across(a, b)
	if other < 0 || k.joined(c, d) || !k.sameLevel(a, b, c, d) {
		return false
	}
	pa, pb, pc, pd := k.at(a), k.at(b), k.at(c), k.at(d)
	facing := r3.Cross(r3.Sub(pa, pb), r3.Sub(pd, pb))
	worst := min(k.height2(&q), k.height2(&k.triangles[other]))
	k.fresh = k.fresh[:0]
	for _, f := range [2][3]int32{{a, d, c}, {d, b, c}} {
		p := [3]r3.Vec{k.at(f[0]), k.at(f[1]), k.at(f[2])}
		n := r3.Cross(r3.Sub(p[1], p[0]), r3.Sub(p[2], p[0]))
		l := r3.Norm(n)
		if l == 0 || r3.Dot(n, facing) < turned*l*r3.Norm(facing) || k.height2(&f) <= worst {
			return false
		}
		k.fresh = append(k.fresh, fresh{at: f, facet: facet{corner: p, normal: r3.Scale(1/l, n)}})
	}
	// What was on the old two is to be near the new two, the old side as well; and the
	// new side near the old two.
	if k.nearest(r3.Scale(0.5, r3.Add(pa, pb)), 0) < 0 {
		return false
	}
	limit := k.tolerance * k.tolerance
	for _, s := range [...]float64{0.25, 0.5, 0.75} {
		if m := r3.Add(pc, r3.Scale(s, r3.Sub(pd, pc))); distance2(m, pa, pb, pc) > limit && distance2(m, pb, pa, pd) > limit {
			return false
		}
	}
	k.looked, k.home = k.looked[:0], k.home[:0]
	for _, o := range [2]int32{t, other} {
		for v := k.carried[o]; v >= 0; v = k.next[v] {
			h := k.nearest(k.at(v), 0)
			if h < 0 {
				return false
			}
			k.looked, k.home = append(k.looked, v), append(k.home, int32(h))
		}
	}
	for _, w := range [4]int32{a, b, c, d} {
		for _, o := range k.fans[w] {
			if p := k.triangles[o]; o != t && o != other && k.meets(&p) {
				return false
			}
		}
	}
	k.triangles[t], k.triangles[other] = k.fresh[0].at, k.fresh[1].at
	k.fans[a], k.fans[b] = remove(k.fans[a], other), remove(k.fans[b], t)
	k.fans[c], k.fans[d] = append(k.fans[c], other), append(k.fans[d], t)
	k.carried[t], k.carried[other] = -1, -1
	k.number = append(k.number[:0], t, other)
	k.settle()
	return true
}

// across gives the triangle that has the side b-a, and its third corner; -1 where there
// is none.
func (r *reducer) across(a, b int32) (t, d int32) {
	for _, o := range r.fans[a] {
		for i, q := 0, &r.triangles[o]; i < 3; i++ {
			if q[i] == b && q[(i+1)%3] == a {
				return o, q[(i+2)%3]
			}
		}
	}
	return -1, -1
}

func (k *collapser) joined(c, d int32) bool {
	for _, o := range k.fans[c] {
		if q := &k.triangles[o]; q[0] == d || q[1] == d || q[2] == d {
			return true
		}
	}
	return false
}

// sameLevel says whether a triangle a, b, d that is level stays so when c joins it.
func (k *collapser) sameLevel(a, b, c, d int32) bool {
	z := k.points[a][2]
	return z != k.points[b][2] || z != k.points[d][2] || z == k.points[c][2]
}
