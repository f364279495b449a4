package relief

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Grooves are straight grooves along y, side by side along x, in mm: V-shaped, of flat
// faces, each a little off its place and of a depth of its own. They are seams between
// boards, the lines of a chisel, ripples.
type Grooves struct {
	seed   uint64
	pitch  float64
	width  float64
	depth  float64
	least  float64 // the shallowest over the deepest
	stray  float64 // how far a groove may lie off its place, mm
	phase  float64 // where the first lies along x, mm
	bottom float64 // the flat bottom's share of the width
}

// NewGrooves is grooves every pitch mm, width mm wide at the surface and up to depth mm
// deep; the shallowest is least of that, 0 to 1. They stray by at most stray mm, which is
// held so that no two run into each other, and so is the width.
func NewGrooves(seed uint64, pitch, width, depth, least, stray float64) *Grooves {
	pitch = max(pitch, 1e-3)
	width = min(width, pitch)
	return &Grooves{seed: seed, pitch: pitch, width: width, depth: depth, least: least,
		stray: max(0, min(stray, (pitch-width)/2))}
}

// At gives the same grooves with one of them at x = phase, mm.
func (g Grooves) At(phase float64) *Grooves {
	g.phase = phase
	return &g
}

// Flat gives the same grooves with flat bottoms of a share of their width, 0 to 0.8.
func (g Grooves) Flat(share float64) *Grooves {
	g.bottom = min(max(share, 0), 0.8)
	return &g
}

// groove is number i: where it lies along x, mm from the phase, and how deep it is.
func (g *Grooves) groove(i float64) (stray, deep float64) {
	n := sdf.Hash(g.seed, int64(i), 0, 4)
	return float64(g.stray * signed(n)), g.depth * (g.least + float64((1-g.least)*unit(n>>20)))
}

func (g *Grooves) at(x float64) (h, slope float64) {
	x -= g.phase
	i := math.Round(x / g.pitch)
	stray, deep := g.groove(i)
	return g.section(x-float64(i*g.pitch)-stray, deep)
}

// section is the depth and the slope of a groove at a distance off its middle.
func (g *Grooves) section(off, deep float64) (h, slope float64) {
	half := g.width / 2
	flat := half * g.bottom
	switch d := math.Abs(off); {
	case d >= half:
		return 0, 0
	case d <= flat && flat > 0:
		return deep, 0
	default:
		k := deep / (half - flat)
		return float64(k * (half - d)), -math.Copysign(k, off)
	}
}

// Prune gives the one groove that a ball sees, or what of it the ball sees.
func (g *Grooves) Prune(b sdf.Ball) Relief {
	r, x := b.R+slack, b.C.X-g.phase
	i := math.Round((x - r) / g.pitch)
	if i != math.Round((x+r)/g.pitch) {
		return g
	}
	stray, deep := g.groove(i)
	one := &oneGroove{g, i * g.pitch, stray, deep, false}
	return one.Prune(b)
}

// oneGroove is grooves where there is but one of them.
type oneGroove struct {
	*Grooves
	middle, stray, deep float64
	sloped              bool // there is but one of its flanks
}

func (g *oneGroove) at(x float64) (h, slope float64) {
	x -= g.phase
	return g.section(x-g.middle-g.stray, g.deep)
}

func (g *oneGroove) Value(p r3.Vec) float64 {
	h, _ := g.at(p.X)
	return h
}

func (g *oneGroove) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, k := g.at(p.X)
	return h, r3.Vec{X: k}
}

func (g *oneGroove) Depth() float64 { return g.deep }
func (g *oneGroove) flat() bool     { return g.sloped }

func (g *oneGroove) Prune(b sdf.Ball) Relief {
	half, r := g.width/2, b.R+slack
	flat := half * g.bottom
	switch d := math.Abs(b.C.X - g.phase - g.middle - g.stray); {
	case d-r >= half:
		return none
	case d+r <= flat:
		return &even{g.deep}
	case d-r > flat && d+r < half && !g.sloped:
		one := *g
		one.sloped = true
		return &one
	}
	return g
}

// Value is the depth at p, whatever its y and z.
func (g *Grooves) Value(p r3.Vec) float64 {
	h, _ := g.at(p.X)
	return h
}

// Gradient is the depth at p and its derivative.
func (g *Grooves) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, k := g.at(p.X)
	return h, r3.Vec{X: k}
}

func (g *Grooves) Depth() float64    { return g.depth }
func (g *Grooves) Steepest() float64 { return 2 * g.depth / (g.width * (1 - g.bottom)) }
func (g *Grooves) Cost() int         { return 1 }
