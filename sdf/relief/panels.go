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
	split         float64 // share of the panels that are split at an end
}

// NewPanels is panels about length by width mm, with seams seam mm wide and depth mm
// deep. A panel lies up to step mm below the surface, and its middle up to cup mm below
// its edges; both together are held within the depth.
func NewPanels(seed uint64, length, width, seam, depth, step, cup float64) *Panels {
	width, length = max(width, 1e-3), max(length, 1e-3)
	if both := step + cup; both > depth {
		step, cup = step*depth/both, cup*depth/both
	}
	return &Panels{seed: seed, length: length, width: width, seam: min(seam, min(width, length)/2), depth: depth, step: step, cup: cup}
}

// Split is panels of which a share, 0 to 1, are split at an end: by a groove that runs in
// from it and narrows to nothing.
func (s *Panels) Split(share float64) *Panels {
	out := *s
	out.split = share
	return &out
}

// splitLong is how far a split runs in from the end of a panel, in widths of the panel.
const splitLong = 1.6

// cleft is the depth of the split at an end of panel n, lo..hi along x, and its slopes; off
// is how far a point lies from the middle of the panel, k the slope of its sides. It is 0 or
// less where there is none.
func (s *Panels) cleft(n uint64, x, lo, hi, off, k float64) (h, gx, gy float64) {
	if unit(sdf.Hash(n, 1, 0, 9)) >= s.split {
		return 0, 0, 0
	}
	off -= s.width * 0.22 * signed(sdf.Hash(n, 2, 0, 9))
	fall := s.depth / (splitLong * s.width)
	t, slope := x-lo, -fall
	if n&1 != 0 {
		t, slope = hi-x, fall
	}
	return s.depth - float64(fall*t) - float64(k*math.Abs(off)), slope, -math.Copysign(k, off)
}

// panelStray is how far the ends of a panel stray, over its length.
const panelStray = 0.2

// end is where end i of row j lies.
func (s *Panels) end(i, j int64) float64 {
	row := unit(sdf.Hash(s.seed, 0, j, 6))
	return s.length * (float64(i) + row + float64(panelStray*signed(sdf.Hash(s.seed, i, j, 7))))
}

// panel is the panel of row j that holds x: its number, and its ends.
func (s *Panels) panel(x float64, j int64) (n uint64, lo, hi float64) {
	i := int64(math.Floor(x/s.length)) - 2
	for x >= s.end(i+1, j) {
		i++
	}
	return sdf.Hash(s.seed, i, j, 8), s.end(i, j), s.end(i+1, j)
}

func (s *Panels) at(p r3.Vec) (h, gx, gy float64) {
	j := int64(math.Floor(p.Y / s.width))
	across := p.Y - float64(float64(j)*s.width)
	n, lo, hi := s.panel(p.X, j)
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
	if d := min(p.X-lo, hi-p.X); s.depth-float64(k*d) > h {
		h, gy = s.depth-float64(k*d), 0
		gx = k
		if p.X-lo < hi-p.X {
			gx = -k
		}
	}
	if s.split > 0 {
		if v, x, y := s.cleft(n, p.X, lo, hi, off, k); v > h {
			h, gx, gy = v, x, y
		}
	}
	return min(h, s.depth), gx, gy
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
	seam := 2 * s.depth / s.seam
	if s.split > 0 {
		return math.Hypot(seam, s.depth/(splitLong*s.width))
	}
	return max(seam, 2*s.cup/s.width)
}
func (s *Panels) Cost() int { return 1 }

// Prune gives the depth of the one panel that a ball sees, clear of its seams.
func (s *Panels) Prune(b sdf.Ball) Relief {
	r := b.R + slack
	j := math.Floor((b.C.Y - r) / s.width)
	if math.Floor((b.C.Y+r)/s.width) != j {
		return s
	}
	n, lo, hi := s.panel(b.C.X, int64(j))
	h, cup := float64(s.step*unit(n)), s.cup*unit(n>>20)
	clear := min(min(b.C.X-lo, hi-b.C.X), s.width/2-math.Abs(b.C.Y-float64(j*s.width)-s.width/2)) - r
	if cup > 0 || s.split > 0 || clear <= 0 || s.depth-float64(s.depth/(s.seam/2)*clear) > h {
		return s
	}
	return &even{min(h, s.depth)}
}

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
	px, py = max(px, 1e-3), max(py, 1e-3)
	flank = min(flank, min(px, py)/4)
	most := min(px, py)/2 - flank
	x, y := px/2-flank, py/2-flank
	if quarter {
		x, y = most, most
	}
	return &Studs{px, py, min(long/2, x), min(wide/2, y), flank, depth, quarter}
}

// at gives the depth over a point and its slopes.
func (s *Studs) at(p r3.Vec) (h, gx, gy float64) {
	o, h, gx, gy := s.off(p)
	switch {
	case o <= 0:
		return 0, 0, 0
	case o >= s.flank:
		return s.depth, 0, 0
	}
	return h, gx, gy
}

// off is how far a point lies off the flat top of its stud, mm, and depth and slopes on
// its flank.
func (s *Studs) off(p r3.Vec) (o, h, gx, gy float64) {
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
	o = max(ox, max(oy, oc))
	switch h = float64(k * o); o {
	case ox:
		return o, h, math.Copysign(k, dx), 0
	case oy:
		return o, h, 0, math.Copysign(k, dy)
	default:
		r := k * math.Sqrt2 / 2
		return o, h, math.Copysign(r, dx), math.Copysign(r, dy)
	}
}

// Prune gives the top of the stud that a ball sees, or the ground about it.
func (s *Studs) Prune(b sdf.Ball) Relief {
	r := b.R + slack
	same := func(x, pitch float64) bool { return math.Round((x-r)/pitch) == math.Round((x+r)/pitch) }
	if !same(b.C.X, s.px) || !same(b.C.Y, s.py) {
		return s
	}
	switch o, _, _, _ := s.off(b.C); {
	case o <= -r:
		return none
	case o-r >= s.flank:
		return &even{s.depth}
	}
	return s
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
	return &band{h, from, to, max(rate, 0.1)}
}

func (b *band) Value(p r3.Vec) float64 {
	most := float64(b.rate * min(p.Y-b.from, b.to-p.Y))
	if most <= 0 {
		return 0
	}
	return min(most, b.h.Value(p))
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

// Prune leaves out the ends where they do not reach, and all that lies beyond them.
func (b *band) Prune(in sdf.Ball) Relief {
	most := float64(b.rate * min(in.C.Y-b.from, b.to-in.C.Y))
	h, settled := heldTo(b.h, most, b.rate, in)
	switch {
	case settled:
		return h
	case h != b.h:
		return &band{h, b.from, b.to, b.rate}
	}
	return b
}

func (b *band) Depth() float64    { return b.h.Depth() }
func (b *band) Steepest() float64 { return max(b.rate, b.h.Steepest()) }
func (b *band) Cost() int         { return b.h.Cost() }
