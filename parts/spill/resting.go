package spill

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/convex"
)

// seat is a place that a fragment can rest on.
type seat struct {
	at     r3.Vec
	normal r3.Vec
	on     int // the fragment that it is on; -1: what lies under the spill
}

const (
	// steepestRest is the steepest surface that a fragment rests on, degrees:
	// steeper than loose rubble lies, since fragments are bedded in.
	steepestRest = 50
	// mostDropSteps bounds the march down to a surface.
	mostDropSteps = 400
	// dropTouch is the distance at which the march has arrived, mm.
	dropTouch = 1e-3
	// mostPileCells bounds the grid of fragments.
	mostPileCells = 1 << 18
)

// pile finds where fragments rest: on a field, and on the fragments laid so
// far, which it keeps in a grid over the plan by the highest in each cell.
type pile struct {
	under    sdf.Field
	top      float64 // above everything, mm
	bottom   float64 // no surface is looked for below, mm
	laid     []*convex.Polytope
	area     r2.Box
	pitch    float64
	overhung bool // work stands over it
	nx, ny   int
	cells    []pileCell
}

type pileCell struct {
	highest int // number in laid plus one; 0: none
	z       float64
}

// newPile is an empty pile over a region of the plan, for fragments of about a
// least size.
func newPile(under sdf.Field, area r2.Box, least float64) *pile {
	b := under.Bounds()
	p := &pile{under: under, area: area, top: b.Max.Z + 0.1, bottom: b.Min.Z}
	const unbounded = 1000
	if !(p.top < unbounded) {
		p.top = unbounded
	}
	if !(p.bottom > -unbounded) {
		p.bottom = -unbounded
	}
	size := r2.Sub(area.Max, area.Min)
	p.pitch = math.Max(least, math.Max(size.X, size.Y)/math.Sqrt(mostPileCells))
	p.nx = 1 + int(size.X/p.pitch)
	p.ny = 1 + int(size.Y/p.pitch)
	p.cells = make([]pileCell, p.nx*p.ny)
	return p
}

// below lets fragments fall from a height at most: what is solid there takes none.
func (p *pile) below(height float64) *pile {
	if height < p.top {
		p.top, p.overhung = height, true
	}
	return p
}

func (p *pile) cell(x, y float64) *pileCell {
	i, j := int((x-p.area.Min.X)/p.pitch), int((y-p.area.Min.Y)/p.pitch)
	return &p.cells[min(max(j, 0), p.ny-1)*p.nx+min(max(i, 0), p.nx-1)]
}

// drop gives what a fragment let down at a place comes to rest on; ok is false
// where there is nothing, or only what is too steep.
func (p *pile) drop(x, y float64) (seat, bool) {
	least := math.Cos(steepestRest * math.Pi / 180)
	on, z := -1, math.Inf(-1)
	var normal r3.Vec
	if c := p.cell(x, y); c.highest > 0 {
		if _, hi, n, ok := p.laid[c.highest-1].Pierce(x, y); ok {
			on, z, normal = c.highest-1, hi, n
		}
	}
	if surface, ok := p.surface(x, y, z); ok {
		_, g := p.under.Gradient(surface)
		if l := r3.Norm(g); l > 1e-9 {
			g = r3.Scale(1/l, g)
		}
		on, z, normal = -1, surface.Z, g
	}
	if math.IsInf(z, -1) || normal.Z < least {
		return seat{}, false
	}
	return seat{at: sdf.V(x, y, z), normal: normal, on: on}, true
}

// surface marches down to the field's surface above a height.
func (p *pile) surface(x, y, above float64) (r3.Vec, bool) {
	z := p.top
	lowest := math.Max(p.bottom, above)
	for range mostDropSteps {
		v := p.under.Value(sdf.V(x, y, z))
		if p.overhung && z == p.top && v < dropTouch {
			return r3.Vec{}, false
		}
		if v < dropTouch {
			return sdf.V(x, y, z), true
		}
		if z -= v; z < lowest {
			return r3.Vec{}, false
		}
	}
	return r3.Vec{}, false
}

// bitten is the point of a fragment's middle half as deep as it is sunk: both
// the fragment and what it rests on are solid there.
func (s seat) bitten(sunk float64) r3.Vec { return r3.Sub(s.at, sdf.V(0, 0, sunk/2)) }

// holds says whether what a seat is on is solid under its middle: beside an edge
// that the march just brushed it is not.
func (p *pile) holds(s seat, sunk float64) bool {
	below := p.under
	if s.on >= 0 {
		below = p.laid[s.on]
	}
	return below.Value(s.bitten(sunk)) < 0
}

// bears says whether at least three of four points round a seat, depth mm below
// its surface, are solid.
func (p *pile) bears(s seat, reach, depth float64) bool {
	pose := uprightTo(s.normal).Then(sdf.At(s.at))
	solid := 0
	for i := range 4 {
		d := [4][2]float64{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}[i]
		q := pose.Apply(sdf.V(d[0]*reach, d[1]*reach, -depth))
		if p.solid(q) {
			solid++
		}
		if solid+3-i < 3 {
			return false
		}
	}
	return true
}

func (p *pile) solid(q r3.Vec) bool {
	if p.under.Value(q) < 0 {
		return true
	}
	c := p.cell(q.X, q.Y)
	return c.highest > 0 && p.laid[c.highest-1].Value(q) < 0
}

// add lays a fragment whose seat is over (x, y).
func (p *pile) add(f *convex.Polytope, x, y float64) {
	p.laid = append(p.laid, f)
	n := len(p.laid)
	raise := func(c *pileCell, x, y float64) {
		if _, hi, _, ok := f.Pierce(x, y); ok && (c.highest == 0 || hi > c.z) {
			c.highest, c.z = n, hi
		}
	}
	i0, i1 := int((f.Box.Min.X-p.area.Min.X)/p.pitch), int((f.Box.Max.X-p.area.Min.X)/p.pitch)
	j0, j1 := int((f.Box.Min.Y-p.area.Min.Y)/p.pitch), int((f.Box.Max.Y-p.area.Min.Y)/p.pitch)
	for j := max(j0, 0); j <= min(j1, p.ny-1); j++ {
		for i := max(i0, 0); i <= min(i1, p.nx-1); i++ {
			raise(&p.cells[j*p.nx+i], p.area.Min.X+(float64(i)+0.5)*p.pitch, p.area.Min.Y+(float64(j)+0.5)*p.pitch)
		}
	}
	raise(p.cell(x, y), x, y)
}
