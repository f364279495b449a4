package relief

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Facets is a broken face of flat triangles over the x, y plane, in mm: their corners
// lie about a pitch apart, at depths of their own between 0 and the greatest. Flat, it
// makes few triangles of a mesh.
//
// The corners lie in rows half a pitch out of step; corner m of a strip between two rows
// lies near m/2 pitches, in turn on the lower and on the upper row, and the triangles
// are those of three corners that follow each other:
//
//	row j+1     m+1-----m+3
//	           /   \   /   \
//	row j     m-----m+2----m+4
type Facets struct {
	seed  uint64
	pitch float64
	depth float64
	quiet float64 // share of the corners that are left at the surface
}

// facetJitter is how far corners and rows stray, over the pitch: neighbours in a row, and
// rows, then lie at least 1-2*facetJitter apart, and a corner lies between its neighbours
// of the other row.
const facetJitter = 0.2

// facetSlope bounds the slope of a face of depth 1 and pitch 1: along a row two corners
// are at least 0.6 apart, and across the rows the third corner is at least 0.6 from the
// line between them.
const facetSlope = math.Sqrt2 / (1 - 2*facetJitter)

// NewFacets is a face with corners about pitch mm apart (at least 0.001), up to depth mm
// deep. A share quiet of the corners, 0 to 1, stays at the surface.
func NewFacets(seed uint64, pitch, depth, quiet float64) *Facets {
	return &Facets{seed: seed, pitch: max(pitch, 1e-3), depth: depth, quiet: quiet}
}

// row is where row j lies along y, in pitches.
func (f *Facets) row(j int64) float64 {
	return float64(j) + float64(facetJitter*signed(sdf.Hash(f.seed, 0, j, 1)))
}

// corner is corner m of row j: where it lies along x, in pitches, and its depth.
func (f *Facets) corner(j, m int64) (x, h float64) {
	n := sdf.Hash(f.seed, m, j, 2)
	x = float64(m)/2 + float64(facetJitter*signed(n))
	if u := unit(n >> 20); u > f.quiet {
		h = f.depth * (u - f.quiet) / (1 - f.quiet)
	}
	return x, h
}

// grid is where the corners of facets lie.
type grid interface {
	row(j int64) float64
	corner(j, m int64) (x, h float64)
}

// edge is where the side from corner m to the next crosses a line at the share t of a strip.
func edge[G grid](g G, j, m int64, t float64) float64 {
	at := func(m int64) (float64, float64) {
		if (m^j)&1 == 0 {
			x, _ := g.corner(j, m)
			return x, 1 - t
		}
		x, _ := g.corner(j+1, m)
		return x, t
	}
	a, wa := at(m)
	b, wb := at(m + 1)
	return float64(a*wa) + float64(b*wb)
}

// triangle gives the strip over a place, in pitches, and the first corner of its triangle.
func triangle[G grid](g G, x, y float64) (j, m int64) {
	j = int64(math.Floor(y))
	if y < g.row(j) {
		j--
	} else if y >= g.row(j+1) {
		j++
	}
	lo, hi := g.row(j), g.row(j+1)
	t := (y - lo) / (hi - lo)
	m = int64(math.Floor(2*x)) - 1
	for x < edge(g, j, m, t) {
		m--
	}
	for x >= edge(g, j, m+1, t) {
		m++
	}
	return j, m
}

// facet is one of the triangles, in pitches: its first corner, the row that this lies on,
// its depth there, mm, and its slopes.
type facet struct {
	x, y, h, gx, gy float64
	pitch, depth    float64
}

// facetAt gives a triangle: corners m and m+2 lie on one row, m+1 on the other.
func facetAt[G grid](g G, j, m int64) (f facet) {
	own, other := j, j+1
	if (m^j)&1 != 0 {
		own, other = j+1, j
	}
	x0, h0 := g.corner(own, m)
	x1, h1 := g.corner(other, m+1)
	x2, h2 := g.corner(own, m+2)
	f.x, f.y, f.h = x0, g.row(own), h0
	f.gx = (h2 - h0) / (x2 - x0)
	f.gy = (h1 - h0 - float64(f.gx*(x1-x0))) / (g.row(other) - f.y)
	return f
}

// at gives the depth over a place in pitches.
func (f *facet) at(x, y, depth float64) float64 {
	h := f.h + float64(f.gx*(x-f.x)) + float64(f.gy*(y-f.y))
	return min(max(h, 0), depth)
}

// depthOver gives the depth of facets over a point and its slopes, by corners at hand.
func depthOver[G grid](g G, f *Facets, p r3.Vec) (h, gx, gy float64) {
	x, y := p.X/f.pitch, p.Y/f.pitch
	j, m := triangle(g, x, y)
	one := facetAt(g, j, m)
	return one.at(x, y, f.depth), one.gx / f.pitch, one.gy / f.pitch
}

// at gives the depth over a point and its slopes.
func (f *Facets) at(p r3.Vec) (h, gx, gy float64) { return depthOver(f, f, p) }

// Value is the depth over p, whatever its z.
func (f *Facets) Value(p r3.Vec) float64 {
	h, _, _ := f.at(p)
	return h
}

// Gradient is the depth over p and its derivative.
func (f *Facets) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, gx, gy := f.at(p)
	return h, r3.Vec{X: gx, Y: gy}
}

func (f *Facets) Depth() float64    { return f.depth }
func (f *Facets) Steepest() float64 { return facetSlope * f.depth / f.pitch }
func (f *Facets) Cost() int         { return 2 }

// Prune gives the one triangle that a ball sees, or keeps the corners of several.
func (f *Facets) Prune(b sdf.Ball) Relief {
	if one := onlyFacet(f, f, b); one != nil {
		return one
	}
	x, y, r := b.C.X/f.pitch, b.C.Y/f.pitch, b.R/f.pitch+slack
	// The rows of the strips that it sees and one beyond; along them, the corners of the
	// triangles that it sees and three beyond.
	n := &nearFacets{Facets: f, first: int64(math.Floor(y-r)) - 1, from: int64(math.Floor(2*(x-r))) - 3}
	n.from -= n.from & 1
	rows := int64(math.Floor(y+r)) + 3 - n.first
	n.along = (int64(math.Floor(2*(x+r)))+5-n.from)/2 + 1
	if rows*n.along > mostKept {
		return f
	}
	n.rows, n.corners = make([]float64, rows), make([][2]float64, 0, rows*n.along)
	for j := range rows {
		n.rows[j] = f.row(n.first + j)
		for k := range n.along {
			x, h := f.corner(n.first+j, n.from+2*k+(n.first+j)&1)
			n.corners = append(n.corners, [2]float64{x, h})
			n.deepest = max(n.deepest, h)
		}
	}
	return n
}

// onlyFacet gives the triangle of facets that holds all of a ball, by corners at hand; nil
// where there are several.
func onlyFacet[G grid](g G, f *Facets, b sdf.Ball) *facet {
	x, y, r := b.C.X/f.pitch, b.C.Y/f.pitch, b.R/f.pitch+slack
	j, m := triangle(g, x, y)
	lo, hi := g.row(j), g.row(j+1)
	if y-r < lo || y+r >= hi {
		return nil
	}
	t := (y - lo) / (hi - lo)
	for k := range int64(2) {
		lean := edge(g, j, m+k, 1) - edge(g, j, m+k, 0)
		far := r * math.Sqrt(1+float64(lean*lean)/float64((hi-lo)*(hi-lo)))
		if math.Abs(x-edge(g, j, m+k, t)) < far {
			return nil
		}
	}
	one := facetAt(g, j, m)
	one.pitch, one.depth = f.pitch, f.depth
	return &one
}

func (f *facet) Value(p r3.Vec) float64 { return f.at(p.X/f.pitch, p.Y/f.pitch, f.depth) }

func (f *facet) Gradient(p r3.Vec) (float64, r3.Vec) {
	return f.Value(p), r3.Vec{X: f.gx / f.pitch, Y: f.gy / f.pitch}
}

func (f *facet) Depth() float64 { return f.depth }
func (f *facet) Steepest() float64 {
	return math.Sqrt(float64(f.gx*f.gx)+float64(f.gy*f.gy)) / f.pitch
}
func (f *facet) Cost() int             { return 1 }
func (f *facet) Prune(sdf.Ball) Relief { return f }
func (f *facet) flat() bool            { return true }

// nearFacets is facets whose corners in one place are at hand: of each row from the first
// on, so many along it. It has the bits of the facets everywhere.
type nearFacets struct {
	*Facets
	first, from, along int64
	rows               []float64
	corners            [][2]float64
	deepest            float64
}

func (n *nearFacets) row(j int64) float64 {
	if k := uint64(j - n.first); k < uint64(len(n.rows)) {
		return n.rows[k]
	}
	return n.Facets.row(j)
}

func (n *nearFacets) corner(j, m int64) (x, h float64) {
	if k, l := uint64(j-n.first), uint64(m-n.from)>>1; k < uint64(len(n.rows)) && l < uint64(n.along) {
		c := &n.corners[int64(k)*n.along+int64(l)]
		return c[0], c[1]
	}
	return n.Facets.corner(j, m)
}

func (n *nearFacets) at(p r3.Vec) (h, gx, gy float64) { return depthOver(n, n.Facets, p) }

func (n *nearFacets) Value(p r3.Vec) float64 {
	h, _, _ := n.at(p)
	return h
}

func (n *nearFacets) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, gx, gy := n.at(p)
	return h, r3.Vec{X: gx, Y: gy}
}

func (n *nearFacets) Depth() float64 { return n.deepest }
func (n *nearFacets) Cost() int      { return 1 }

func (n *nearFacets) Prune(b sdf.Ball) Relief {
	if one := onlyFacet(n, n.Facets, b); one != nil {
		return one
	}
	return n
}
