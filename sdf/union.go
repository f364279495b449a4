package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// union is the hard union of its parts: the least value wins, on a tie the
// first part. Large ones carry a bounding-volume tree.
type union struct {
	parts  []Field
	tree   *volumeTree `digest:"-"` // nil where there are few parts
	extent *extent     `digest:"-"` // nil in pruned unions
	cost   int         `digest:"-"`
}

// treeFrom is the number of parts from which a bounding-volume tree pays.
const treeFrom = 12

// Union is all of its parts together. Empty parts are left out; no parts at
// all are Nothing. Is exact outside where the parts are; inside, where parts
// overlap, a lower bound.
func Union(parts ...Field) Field {
	kept := make([]Field, 0, len(parts))
	for _, p := range parts {
		switch q := p.(type) {
		case nothing:
		case *union: // flatten: one tree over all parts beats a tree of trees
			kept = append(kept, q.parts...)
		default:
			kept = append(kept, p)
		}
	}
	return newUnion(kept)
}

func newUnion(parts []Field) Field {
	switch len(parts) {
	case 0:
		return Nothing()
	case 1:
		return parts[0]
	}
	extent := unionExtent(parts)
	u := &union{parts: parts, extent: &extent, cost: totalCost(parts)}
	if len(parts) >= treeFrom {
		u.tree = newVolumeTree(parts)
	}
	return u
}

// prunedTreeFrom is the number of parts from which a tree pays for a union that is
// pruned: it serves one small ball, in which few parts are far.
const prunedTreeFrom = 32

// pruned is a union of what is left of some of the parts, for use in a ball. Its extent is
// hardly ever asked for.
func (u *union) pruned(near []int32, kept []Field) Field {
	if len(kept) < 2 {
		return newUnion(kept)
	}
	p := &union{parts: kept, cost: totalCost(kept)}
	switch {
	case len(kept) < prunedTreeFrom:
	case u.tree != nil:
		p.tree = u.tree.pruned(near, kept)
	default:
		p.tree = newVolumeTree(kept)
	}
	return p
}

// extent is what a field tells of itself as a whole.
type extent struct {
	bounds    r3.Box
	tightness float64
	lipschitz float64
}

func unionExtent(parts []Field) extent {
	e := extent{bounds: parts[0].Bounds(), tightness: 1}
	for _, p := range parts {
		e.bounds = boxUnion(e.bounds, p.Bounds())
		e.tightness = min(e.tightness, p.Tightness())
		e.lipschitz = max(e.lipschitz, p.Lipschitz())
	}
	return e
}

func totalCost(parts []Field) int {
	cost := 0
	for _, p := range parts {
		cost += p.Cost()
	}
	return cost
}

func (u *union) Value(p r3.Vec) float64 {
	if u.tree != nil {
		d, _ := u.tree.least(p)
		return d
	}
	d := u.parts[0].Value(p)
	for _, f := range u.parts[1:] {
		if v := f.Value(p); v < d {
			d = v
		}
	}
	return d
}

func (u *union) Gradient(p r3.Vec) (float64, r3.Vec) {
	best, d := 0, math.Inf(1)
	if u.tree != nil {
		_, best = u.tree.least(p)
	} else {
		for i, f := range u.parts {
			if v := f.Value(p); v < d {
				best, d = i, v
			}
		}
	}
	return u.parts[best].Gradient(p)
}

// whole is the extent of the union, worked out anew where it is pruned.
func (u *union) whole() extent {
	if u.extent != nil {
		return *u.extent
	}
	return unionExtent(u.parts)
}

func (u *union) Bounds() r3.Box     { return u.whole().bounds }
func (u *union) Lipschitz() float64 { return u.whole().lipschitz }
func (u *union) Tightness() float64 { return u.whole().tightness }
func (u *union) Cost() int          { return u.cost }

// Prune keeps a part i only where f_i(c) <= min f(c) + 2r: beyond that, by the
// Lipschitz bound, another part is less than it everywhere in the ball.
func (u *union) Prune(b Ball) Field {
	var few [treeFrom]int32
	near := u.near(b, few[:0])
	if len(near) == 1 {
		return u.parts[near[0]].Prune(b)
	}
	changed := len(near) < len(u.parts)
	kept := make([]Field, len(near))
	for i, n := range near {
		kept[i] = u.parts[n].Prune(b)
		changed = changed || kept[i] != u.parts[n]
	}
	if !changed {
		return u
	}
	return u.pruned(near, kept)
}

// near gives, in order, the parts that can win somewhere in the ball; without a tree they
// are appended to a list.
func (u *union) near(b Ball, to []int32) []int32 {
	if u.tree != nil {
		least, _ := u.tree.least(b.C)
		return u.tree.within(b.C, least+2*b.R+slack)
	}
	var few [prunedTreeFrom]float64
	values := few[:0]
	least := math.Inf(1)
	for _, f := range u.parts {
		v := f.Value(b.C)
		values = append(values, v)
		least = min(least, v)
	}
	for i, v := range values {
		if v <= least+2*b.R+slack {
			to = append(to, int32(i))
		}
	}
	return to
}
