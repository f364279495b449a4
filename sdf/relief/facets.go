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
	return &Facets{seed: seed, pitch: math.Max(pitch, 1e-3), depth: depth, quiet: quiet}
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

// edge is where the side from corner m to the next crosses a line at the share t of a strip.
func (f *Facets) edge(j, m int64, t float64) float64 {
	at := func(m int64) (float64, float64) {
		if (m^j)&1 == 0 {
			x, _ := f.corner(j, m)
			return x, 1 - t
		}
		x, _ := f.corner(j+1, m)
		return x, t
	}
	a, wa := at(m)
	b, wb := at(m + 1)
	return float64(a*wa) + float64(b*wb)
}

// at gives the depth over a point and its slopes.
func (f *Facets) at(p r3.Vec) (h, gx, gy float64) {
	x, y := p.X/f.pitch, p.Y/f.pitch
	j := int64(math.Floor(y))
	if y < f.row(j) {
		j--
	} else if y >= f.row(j+1) {
		j++
	}
	lo, hi := f.row(j), f.row(j+1)
	t := (y - lo) / (hi - lo)
	m := int64(math.Floor(2*x)) - 1
	for x < f.edge(j, m, t) {
		m--
	}
	for x >= f.edge(j, m+1, t) {
		m++
	}
	// Corners m and m+2 lie on one row, m+1 on the other.
	own, other, yo, yt := j, j+1, lo, hi
	if (m^j)&1 != 0 {
		own, other, yo, yt = j+1, j, hi, lo
	}
	x0, h0 := f.corner(own, m)
	x1, h1 := f.corner(other, m+1)
	x2, h2 := f.corner(own, m+2)
	gx = (h2 - h0) / (x2 - x0)
	gy = (h1 - h0 - float64(gx*(x1-x0))) / (yt - yo)
	h = h0 + float64(gx*(x-x0)) + float64(gy*(y-yo))
	return min(max(h, 0), f.depth), gx / f.pitch, gy / f.pitch
}

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
