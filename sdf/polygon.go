package sdf

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// polygon is an outline of straight edges. The nearest edge (the first of them
// on a tie) decides both the distance and the side.
type polygon struct {
	edges  []polygonEdge // by index, or in the tree's order
	tree   []edgeNode    // over edges, where there are many; else nil
	bounds r2.Box
}

// polygonEdge runs from a to b, counter-clockwise about the inside.
type polygonEdge struct {
	a, b             r2.Vec
	u, n             r2.Vec // along it; outward from it
	l                float64
	cornerA, cornerB polygonCorner
	index            int32
}

// polygonCorner tells inside from outside for points whose nearest point is the
// corner: by the sum of the two edges' normals where the outline turns less
// than a right angle (J. A. Baerentzen and H. Aanaes, "Signed distance computation
// using the angle weighted pseudonormal", 2005), and by its convexity where it
// turns sharply and that sum grows small.
type polygonCorner struct {
	normal r2.Vec
	side   float64 // 1 outside, -1 inside, 0 ask the normal
}

func newCorner(u, v r2.Vec) polygonCorner {
	if dot2(u, v) > 0 {
		return polygonCorner{normal: r2.Vec{X: u.Y + v.Y, Y: -u.X - v.X}}
	}
	return polygonCorner{side: math.Copysign(1, r2.Cross(u, v))}
}

func (c *polygonCorner) signed(d float64, from r2.Vec) float64 {
	if c.side < 0 || c.side == 0 && dot2(c.normal, from) < 0 {
		return -d
	}
	return d
}

// Polygon is the inside of a simple polygon, its corners in mm in either winding,
// not repeated at the end. Corners that coincide with the one before are left out;
// of fewer than three, of no area, or of a figure that is not finite, the empty
// shape. The outline must not cross itself: where it does, the inside is not
// defined. Is exact.
func Polygon(points []r2.Vec) Shape {
	edges := outline(points)
	if edges == nil {
		return emptyShape{}
	}
	return newPolygon(edges)
}

func newPolygon(edges []polygonEdge) *polygon {
	g := &polygon{edges: edges, bounds: r2.Box{Min: edges[0].a, Max: edges[0].a}}
	for _, e := range edges {
		for _, p := range [2]r2.Vec{e.a, e.b} {
			g.bounds.Min = r2.Vec{X: min(g.bounds.Min.X, p.X), Y: min(g.bounds.Min.Y, p.Y)}
			g.bounds.Max = r2.Vec{X: max(g.bounds.Max.X, p.X), Y: max(g.bounds.Max.Y, p.Y)}
		}
	}
	g.tree = newEdgeTree(g.edges)
	return g
}

// distinct leaves out corners within a nanometre's millionth of the one before.
func distinct(points []r2.Vec) []r2.Vec {
	const same = 1e-12
	var out []r2.Vec
	for _, p := range points {
		if len(out) == 0 || !(norm2(r2.Sub(p, out[len(out)-1])) <= same) {
			out = append(out, p)
		}
	}
	for len(out) > 1 && norm2(r2.Sub(out[0], out[len(out)-1])) <= same {
		out = out[:len(out)-1]
	}
	return out
}

// leastArea is the area, mm2, from which an outline has an inside: one that is thinner has
// sides of which rounding settles which way they look.
const leastArea = 1e-9

// outline makes the edges of a polygon, in order, counter-clockwise; nil where it
// holds no area.
func outline(points []r2.Vec) []polygonEdge {
	pts := distinct(points)
	area := 0.0
	for i, p := range pts {
		area += r2.Cross(r2.Sub(p, pts[0]), r2.Sub(pts[(i+1)%len(pts)], pts[0])) / 2
	}
	if len(pts) < 3 || math.Abs(area) < leastArea || math.IsNaN(area) || math.IsInf(area, 0) {
		return nil
	}
	if area < 0 {
		slices.Reverse(pts)
	}
	edges := make([]polygonEdge, len(pts))
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		d := r2.Sub(b, a)
		u := unit2(d, r2.Vec{X: 1})
		edges[i] = polygonEdge{a: a, b: b, u: u, n: r2.Vec{X: u.Y, Y: -u.X}, l: norm2(d), index: int32(i)}
	}
	for i := range edges {
		j := (i + 1) % len(edges)
		c := newCorner(edges[i].u, edges[j].u)
		edges[i].cornerB, edges[j].cornerA = c, c
	}
	return edges
}

// square is the squared distance from p, and where along the edge: -1 its
// start, 1 its end, 0 between.
func (e *polygonEdge) square(p r2.Vec) (float64, int) {
	q := r2.Vec{X: p.X - e.a.X, Y: p.Y - e.a.Y}
	switch t := dot2(e.u, q); {
	case t < 0:
		return dot2(q, q), -1
	case t > e.l:
		q = r2.Vec{X: p.X - e.b.X, Y: p.Y - e.b.Y}
		return dot2(q, q), 1
	}
	s := dot2(e.n, q)
	return s * s, 0
}

// signed is the signed distance to an edge, and its gradient, for a point whose
// nearest edge it is, at the place that square gives.
func (e *polygonEdge) signed(p r2.Vec, at int) (float64, r2.Vec) {
	v, c := e.a, &e.cornerA
	switch at {
	case 0:
		return dot2(e.n, r2.Vec{X: p.X - e.a.X, Y: p.Y - e.a.Y}), e.n
	case 1:
		v, c = e.b, &e.cornerB
	}
	q := r2.Vec{X: p.X - v.X, Y: p.Y - v.Y}
	l := norm2(q)
	d := c.signed(l, q)
	if l < 1e-150 {
		return d, e.n
	}
	return d, r2.Vec{X: q.X / l, Y: q.Y / l}
}

func (g *polygon) nearest(p r2.Vec) (e *polygonEdge, at int) {
	if g.tree != nil {
		return nearestEdge(g.tree, g.edges, p)
	}
	best := math.Inf(1)
	for i := range g.edges {
		f := &g.edges[i]
		if d, where := f.square(p); d < best {
			best, e, at = d, f, where
		}
	}
	return e, at
}

func (g *polygon) Distance(p r2.Vec) float64 {
	e, at := g.nearest(p)
	d, _ := e.signed(p, at)
	return d
}

func (g *polygon) Gradient(p r2.Vec) (float64, r2.Vec) {
	e, at := g.nearest(p)
	d, n := e.signed(p, at)
	if d < 0 && at != 0 {
		n = r2.Scale(-1, n)
	}
	return d, n
}

func (g *polygon) Bounds() r2.Box { return g.bounds }

// pruneDisc keeps the edges that can be nearest somewhere in the disc: those no
// further from its centre than the nearest and the diameter.
func (g *polygon) pruneDisc(c r2.Vec, r float64) Shape {
	e, at := g.nearest(c)
	d, _ := e.signed(c, at)
	limit := math.Abs(d) + 2*r + slack
	kept := edgesWithin(g.tree, g.edges, c, limit*limit)
	if len(kept) == 1 {
		e := &kept[0]
		if t := dot2(e.u, r2.Sub(c, e.a)); t-r > slack && t+r < e.l-slack {
			return &halfPlane{n: e.n, a: e.a}
		}
	}
	if len(kept) == len(g.edges) {
		return g
	}
	return &polygon{edges: kept, tree: newEdgeTree(kept), bounds: g.bounds}
}
