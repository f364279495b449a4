package relief

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Heads are round heads that stand in rows beside the seams of panels, in mm: rivets along
// plates, nails in the ends of boards, or, where they run into each other on the seam
// itself, the scales of a weld. All else lies as deep as they are high.
type Heads struct {
	panels *Panels
	ends   bool    // beside the ends of a panel, not its long edges
	in     float64 // from the seam
	pitch  float64 // along it, at least; each panel has a whole number
	round  float64 // radius of the flat top
	flank  float64 // from the top down to the ground about it
	depth  float64
}

// NewHeads is heads beside the long edges of panels, or with ends set their ends: in mm
// from the seam, about pitch mm apart along it, 2 round mm wide at the top, on flanks flank
// mm wide, and depth mm high. Sizes are held so that two rows do not meet.
func NewHeads(panels *Panels, ends bool, in, pitch, round, flank, depth float64) *Heads {
	flank = max(flank, 1e-3)
	across := panels.width
	if ends {
		across = panels.length * (1 - 2*panelStray)
	}
	in = max(0, min(in, across/4))
	return &Heads{panels, ends, in, max(pitch, 1e-3), max(0, round), flank, depth}
}

// nearest is the vector to a point from the nearest head of its panel, in the plane.
func (s *Heads) nearest(p r3.Vec) (x, y float64) {
	j := math.Floor(p.Y / s.panels.width)
	low, high := j*s.panels.width, (j+1)*s.panels.width
	_, lo, hi := s.panels.panel(p.X, int64(j))
	beside := func(v, a, b float64) float64 { // a row on each side
		if v-a < b-v {
			return v - (a + s.in)
		}
		return v - (b - s.in)
	}
	along := func(v, a, b float64) float64 { // spread evenly between the seams
		n := max(1, math.Floor((b-a)/s.pitch))
		step := (b - a) / n
		k := max(0, min(n-1, math.Floor((v-a)/step)))
		return v - (a + (k+0.5)*step)
	}
	if s.ends {
		return beside(p.X, lo, hi), along(p.Y, low, high)
	}
	return along(p.X, lo, hi), beside(p.Y, low, high)
}

// at gives the depth over a point and its slopes. Heads end at the edges of their panel, but
// that those on an end seam go on over it.
func (s *Heads) at(p r3.Vec) (h, gx, gy float64) {
	k := s.depth / s.flank
	x, y := s.nearest(p)
	switch off := math.Sqrt(float64(x*x) + float64(y*y)); {
	case off <= s.round:
	case off >= s.round+s.flank:
		return s.depth, 0, 0
	default:
		h, gx, gy = min(s.depth, float64(k*(off-s.round))), k*x/off, k*y/off
	}
	j := math.Floor(p.Y / s.panels.width)
	up, down := p.Y-float64(j*s.panels.width), float64((j+1)*s.panels.width)-p.Y
	if v := s.depth - float64(k*min(up, down)); v > h {
		h, gx, gy = v, 0, -k
		if down < up {
			gy = k
		}
	}
	if s.onSeam() {
		return h, gx, gy
	}
	_, lo, hi := s.panels.panel(p.X, int64(j))
	if v := s.depth - float64(k*min(p.X-lo, hi-p.X)); v > h {
		h, gx, gy = v, -k, 0
		if hi-p.X < p.X-lo {
			gx = k
		}
	}
	return h, gx, gy
}

// onSeam says whether the heads stand on the end seams themselves.
func (s *Heads) onSeam() bool { return s.ends && s.in == 0 }

// Value is the depth at p, whatever its z.
func (s *Heads) Value(p r3.Vec) float64 {
	h, _, _ := s.at(p)
	return h
}

// Gradient is the depth at p and its derivative.
func (s *Heads) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, gx, gy := s.at(p)
	return h, r3.Vec{X: gx, Y: gy}
}

func (s *Heads) Depth() float64    { return s.depth }
func (s *Heads) Steepest() float64 { return s.depth / s.flank }
func (s *Heads) Cost() int         { return 1 }

// Prune gives the ground about the heads where a ball sees none.
func (s *Heads) Prune(b sdf.Ball) Relief {
	r := b.R + slack
	j := math.Floor(b.C.Y / s.panels.width)
	_, lo, hi := s.panels.panel(b.C.X, int64(j))
	// Within one panel the distance to its nearest head changes by no more than the place.
	if edge := min(b.C.X-lo, hi-b.C.X, b.C.Y-j*s.panels.width, (j+1)*s.panels.width-b.C.Y); edge <= r {
		return s
	}
	x, y := s.nearest(b.C)
	if math.Sqrt(float64(x*x)+float64(y*y)) >= s.round+s.flank+r {
		return &even{s.depth}
	}
	return s
}
