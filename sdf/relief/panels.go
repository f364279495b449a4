package relief

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Panels are boards or plates side by side in the x, y plane, in mm: rows of a width
// along x, cut into lengths, with a V-shaped seam about each; all panels are at a height
// of their own, and curl up at their long edges.
type Panels struct {
	seed          uint64
	length, width float64
	seam, depth   float64
	step          float64 // most that a panel lies below the surface
	cup           float64 // most that its middle lies below its edges
}

// NewPanels is panels about length by width mm, with seams seam mm wide and depth mm
// deep. A panel lies up to step mm below the surface, and its middle up to cup mm below
// its edges; both together are held within the depth.
func NewPanels(seed uint64, length, width, seam, depth, step, cup float64) *Panels {
	width, length = math.Max(width, 1e-3), math.Max(length, 1e-3)
	if both := step + cup; both > depth {
		step, cup = step*depth/both, cup*depth/both
	}
	return &Panels{seed: seed, length: length, width: width, seam: math.Min(seam, math.Min(width, length)/2), depth: depth, step: step, cup: cup}
}

// panelStray is how far the ends of a panel stray, over its length.
const panelStray = 0.2

// end is where end i of row j lies.
func (s *Panels) end(i, j int64) float64 {
	row := unit(sdf.Hash(s.seed, 0, j, 6))
	return s.length * (float64(i) + row + float64(panelStray*signed(sdf.Hash(s.seed, i, j, 7))))
}

func (s *Panels) at(p r3.Vec) (h, gx, gy float64) {
	j := int64(math.Floor(p.Y / s.width))
	across := p.Y - float64(float64(j)*s.width)
	i := int64(math.Floor(p.X/s.length)) - 2
	for p.X >= s.end(i+1, j) {
		i++
	}
	lo, hi := s.end(i, j), s.end(i+1, j)
	n := sdf.Hash(s.seed, i, j, 8)
	half := s.width / 2
	off := across - half
	h = float64(s.step * unit(n))
	if cup := s.cup * unit(n>>20); cup > 0 {
		h += float64(cup * (1 - math.Abs(off)/half))
		gy = -math.Copysign(cup/half, off)
	}
	// The seams: the nearest edge of the panel.
	k := s.depth / (s.seam / 2)
	if v := s.depth - float64(k*(half-math.Abs(off))); v > h {
		h, gy = v, math.Copysign(k, off)
	}
	if d := math.Min(p.X-lo, hi-p.X); s.depth-float64(k*d) > h {
		h, gy = s.depth-float64(k*d), 0
		gx = k
		if p.X-lo < hi-p.X {
			gx = -k
		}
	}
	return math.Min(h, s.depth), gx, gy
}

// Value is the depth at p, whatever its z.
func (s *Panels) Value(p r3.Vec) float64 {
	h, _, _ := s.at(p)
	return h
}

// Gradient is the depth at p and its derivative.
func (s *Panels) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, gx, gy := s.at(p)
	return h, r3.Vec{X: gx, Y: gy}
}

func (s *Panels) Depth() float64 { return s.depth }
func (s *Panels) Steepest() float64 {
	return math.Max(2*s.depth/s.seam, 2*s.cup/s.width)
}
func (s *Panels) Cost() int { return 1 }

// Studs are flat-topped studs that stand up from a face, in mm: the x, y plane is laid
// out in cells, each with one stud in its middle. Round studs are heads of rivets, bolts
// and nails; long ones, turned by a quarter from each cell to the next, are the pattern
// of a tread plate.
type Studs struct {
	px, py     float64 // cell
	long, wide float64 // half sizes of a stud at its top
	flank      float64 // width of its flanks
	depth      float64
	quarter    bool
}

// NewStuds is studs every px by py mm, long by wide mm at the top, on flanks flank mm
// wide, depth mm high; with quarter set they are turned about in a basket pattern. Sizes
// are held so that no two meet.
func NewStuds(px, py, long, wide, flank, depth float64, quarter bool) *Studs {
	px, py = math.Max(px, 1e-3), math.Max(py, 1e-3)
	flank = math.Min(flank, math.Min(px, py)/4)
	most := math.Min(px, py)/2 - flank
	x, y := px/2-flank, py/2-flank
	if quarter {
		x, y = most, most
	}
	return &Studs{px, py, math.Min(long/2, x), math.Min(wide/2, y), flank, depth, quarter}
}

func (s *Studs) at(p r3.Vec) (h, gx, gy float64) {
	i, j := math.Round(p.X/s.px), math.Round(p.Y/s.py)
	dx, dy := p.X-float64(i*s.px), p.Y-float64(j*s.py)
	hx, hy := s.long, s.wide
	if s.quarter && int64(i+j)&1 != 0 {
		hx, hy = hy, hx
	}
	ox, oy := math.Abs(dx)-hx, math.Abs(dy)-hy
	k := s.depth / s.flank
	// Heads of rivets have their corners cut off at 45 degrees.
	oc := (math.Abs(dx) + math.Abs(dy) - (hx+hy)*0.75) * math.Sqrt2 / 2
	if s.quarter {
		oc = ox
	}
	switch o := math.Max(ox, math.Max(oy, oc)); {
	case o <= 0:
		return 0, 0, 0
	case o >= s.flank:
		return s.depth, 0, 0
	case o == ox:
		return float64(k * o), math.Copysign(k, dx), 0
	case o == oy:
		return float64(k * o), 0, math.Copysign(k, dy)
	default:
		r := k * math.Sqrt2 / 2
		return float64(k * o), math.Copysign(r, dx), math.Copysign(r, dy)
	}
}

// Value is the depth at p, whatever its z.
func (s *Studs) Value(p r3.Vec) float64 {
	h, _, _ := s.at(p)
	return h
}

// Gradient is the depth at p and its derivative.
func (s *Studs) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, gx, gy := s.at(p)
	return h, r3.Vec{X: gx, Y: gy}
}

func (s *Studs) Depth() float64    { return s.depth }
func (s *Studs) Steepest() float64 { return s.depth / s.flank }
func (s *Studs) Cost() int         { return 1 }

// band is a relief on a stretch of y alone.
type band struct {
	h        Relief
	from, to float64
	rate     float64
}

// Band keeps a relief to a stretch along y, mm; the solid is whole beyond it. At its
// ends it deepens at rate.
func Band(h Relief, from, to, rate float64) Relief {
	if h == nil || to <= from {
		return nil
	}
	return &band{h, from, to, math.Max(rate, 0.1)}
}

func (b *band) Value(p r3.Vec) float64 {
	most := float64(b.rate * math.Min(p.Y-b.from, b.to-p.Y))
	if most <= 0 {
		return 0
	}
	return math.Min(most, b.h.Value(p))
}

func (b *band) Gradient(p r3.Vec) (float64, r3.Vec) {
	most, g := float64(b.rate*(p.Y-b.from)), b.rate
	if v := float64(b.rate * (b.to - p.Y)); v < most {
		most, g = v, -b.rate
	}
	if most <= 0 {
		return 0, r3.Vec{}
	}
	v, k := b.h.Gradient(p)
	if v <= most {
		return v, k
	}
	return most, r3.Vec{Y: g}
}

func (b *band) Depth() float64    { return b.h.Depth() }
func (b *band) Steepest() float64 { return math.Max(b.rate, b.h.Steepest()) }
func (b *band) Cost() int         { return b.h.Cost() }
