package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// intersection is what all of its parts share: the greatest value wins, on a
// tie the first part.
type intersection struct {
	parts  []Field
	extent *extent `digest:"-"` // nil in pruned intersections
	cost   int     `digest:"-"`
}

// Intersection is what all parts share; of no parts, Nothing. Is a lower
// bound outside, exact inside where the parts are.
func Intersection(parts ...Field) Field {
	kept := make([]Field, 0, len(parts))
	for _, p := range parts {
		switch q := p.(type) {
		case nothing:
			return Nothing()
		case *intersection:
			kept = append(kept, q.parts...)
		default:
			kept = append(kept, p)
		}
	}
	if len(kept) == 0 {
		return Nothing()
	}
	return newIntersection(kept)
}

func newIntersection(parts []Field) Field {
	if len(parts) == 1 {
		return parts[0]
	}
	extent := intersectionExtent(parts)
	return &intersection{parts: parts, extent: &extent, cost: totalCost(parts)}
}

// prunedIntersection is an intersection for use in a ball. Its extent is hardly ever
// asked for.
func prunedIntersection(parts []Field) Field {
	if len(parts) == 1 {
		return parts[0]
	}
	return &intersection{parts: parts, cost: totalCost(parts)}
}

func intersectionExtent(parts []Field) extent {
	e := extent{bounds: everywhere, tightness: 1}
	bounded := 0
	for _, p := range parts {
		b := p.Bounds()
		e.bounds = boxIntersection(e.bounds, b)
		if b != everywhere {
			e.tightness = min(e.tightness, p.Tightness())
			bounded++
		}
		e.lipschitz = max(e.lipschitz, p.Lipschitz())
	}
	// A point outside the shared box is outside some part's box along each axis
	// where it is out; the greatest of three such excesses is at least 1/sqrt(3)
	// of their length.
	if bounded > 1 {
		e.tightness /= math.Sqrt(3)
	}
	return e
}

// Difference is a solid with others taken away. Is a lower bound.
func Difference(from Field, take ...Field) Field {
	t := Union(take...)
	if _, none := t.(nothing); none {
		return from
	}
	return Intersection(from, Complement(t))
}

func (n *intersection) Value(p r3.Vec) float64 {
	d := n.parts[0].Value(p)
	for _, f := range n.parts[1:] {
		if v := f.Value(p); v > d {
			d = v
		}
	}
	return d
}

func (n *intersection) Gradient(p r3.Vec) (float64, r3.Vec) {
	best, d := 0, math.Inf(-1)
	for i, f := range n.parts {
		if v := f.Value(p); v > d {
			best, d = i, v
		}
	}
	return n.parts[best].Gradient(p)
}

// whole is the extent of the intersection, worked out anew where it is pruned.
func (n *intersection) whole() extent {
	if n.extent != nil {
		return *n.extent
	}
	return intersectionExtent(n.parts)
}

func (n *intersection) Bounds() r3.Box     { return n.whole().bounds }
func (n *intersection) Lipschitz() float64 { return n.whole().lipschitz }
func (n *intersection) Tightness() float64 { return n.whole().tightness }
func (n *intersection) Cost() int          { return n.cost }

// Prune is the union's rule turned over: a part more than 2r below the
// greatest never wins in the ball.
func (n *intersection) Prune(b Ball) Field {
	var few [16]int32
	near := n.near(b, few[:0])
	kept := make([]Field, len(near))
	changed := len(near) < len(n.parts)
	for i, k := range near {
		kept[i] = n.parts[k].Prune(b)
		changed = changed || kept[i] != n.parts[k]
	}
	if !changed {
		return n
	}
	return prunedIntersection(kept)
}

// near appends, in order, the parts that can win somewhere in the ball.
func (n *intersection) near(b Ball, to []int32) []int32 {
	var few [16]float64
	values := few[:0]
	most := math.Inf(-1)
	for _, f := range n.parts {
		v := f.Value(b.C)
		values = append(values, v)
		most = max(most, v)
	}
	for i, v := range values {
		if v >= most-2*b.R-slack {
			to = append(to, int32(i))
		}
	}
	return to
}

// complement is everything outside a solid.
type complement struct{ f Field }

// Complement is everything outside a solid. Is exact where the solid is.
func Complement(f Field) Field {
	if c, ok := f.(*complement); ok {
		return c.f
	}
	return &complement{f}
}

func (c *complement) Value(p r3.Vec) float64 { return -c.f.Value(p) }

func (c *complement) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := c.f.Gradient(p)
	return -d, r3.Scale(-1, g)
}

func (c *complement) Bounds() r3.Box     { return everywhere }
func (c *complement) Lipschitz() float64 { return c.f.Lipschitz() }
func (c *complement) Tightness() float64 { return 1 }
func (c *complement) Cost() int          { return c.f.Cost() }

func (c *complement) Prune(b Ball) Field {
	if f := c.f.Prune(b); f != c.f {
		return &complement{f}
	}
	return c
}

func (c *complement) Plane() (r3.Vec, float64, bool) {
	pl, ok := c.f.(Planar)
	if !ok {
		return r3.Vec{}, 0, false
	}
	n, d, ok := pl.Plane()
	return r3.Scale(-1, n), -d, ok
}

// Flat says whether its surface is one plane.
func (c *complement) Flat() bool { return IsFlat(c.f) }
