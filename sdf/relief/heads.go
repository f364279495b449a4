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

// edges are those of the panel that holds a point: along its length and across.
type edges struct{ lo, hi, low, high float64 }

func (s *Heads) edges(p r3.Vec) edges {
	j := math.Floor(p.Y / s.panels.width)
	_, lo, hi := s.panels.panel(p.X, int64(j))
	return edges{lo, hi, float64(j * s.panels.width), float64((j + 1) * s.panels.width)}
}

// nearest is the vector to a point from the nearest head of its panel, in the plane.
func (s *Heads) nearest(p r3.Vec, e edges) (x, y float64) {
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
		return beside(p.X, e.lo, e.hi), along(p.Y, e.low, e.high)
	}
	return along(p.X, e.lo, e.hi), beside(p.Y, e.low, e.high)
}

// at gives the depth over a point and its slopes. Heads end at the edges of their panel, but
// that those on an end seam go on over it.
func (s *Heads) at(p r3.Vec) (h, gx, gy float64) {
	k := s.depth / s.flank
	e := s.edges(p)
	x, y := s.nearest(p, e)
	switch off := math.Sqrt(float64(x*x) + float64(y*y)); {
	case off <= s.round:
	case off >= s.round+s.flank:
		return s.depth, 0, 0
	default:
		h, gx, gy = min(s.depth, float64(k*(off-s.round))), k*x/off, k*y/off
	}
	up, down := p.Y-e.low, e.high-p.Y
	if v := s.depth - float64(k*min(up, down)); v > h {
		h, gx, gy = v, 0, -k
		if down < up {
			gy = k
		}
	}
	if s.onSeam() {
		return h, gx, gy
	}
	if v := s.depth - float64(k*min(p.X-e.lo, e.hi-p.X)); v > h {
		h, gx, gy = v, -k, 0
		if e.hi-p.X < p.X-e.lo {
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
	e := s.edges(b.C)
	// Within one panel the distance to its nearest head changes by no more than the place.
	if edge := min(b.C.X-e.lo, e.hi-b.C.X, b.C.Y-e.low, e.high-b.C.Y); edge <= r {
		return s
	}
	x, y := s.nearest(b.C, e)
	if math.Sqrt(float64(x*x)+float64(y*y)) >= s.round+s.flank+r {
		return &even{s.depth}
	}
	return s
}
