package relief

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Steps is bands along y of unequal width, each at a depth of its own, with steep flanks
// between them, in mm: the beds of a rock that is laid bare.
type Steps struct {
	seed  uint64
	pitch float64
	depth float64
	flank float64
}

// stepJitter is how far the edge of a band strays, over the pitch; a flank is at most
// what then lies between two of them.
const stepJitter = 0.3

// NewSteps is bands about pitch mm wide (at least 0.001), up to depth mm deep, with flanks
// flank mm wide.
func NewSteps(seed uint64, pitch, depth, flank float64) *Steps {
	pitch = max(pitch, 1e-3)
	return &Steps{seed: seed, pitch: pitch, depth: depth, flank: min(max(flank, 1e-3*pitch), (1-2*stepJitter)*pitch)}
}

// edge is where band i begins, mm; bed is its depth.
func (s *Steps) edge(i float64) float64 {
	return s.pitch * (i + float64(stepJitter*signed(sdf.Hash(s.seed, int64(i), 0, 31))))
}
func (s *Steps) bed(i float64) float64 { return s.depth * unit(sdf.Hash(s.seed, int64(i), 0, 32)) }

// band is the band that holds x.
func (s *Steps) band(x float64) float64 {
	i := math.Floor(x / s.pitch)
	if x < s.edge(i) {
		i--
	} else if x >= s.edge(i+1) {
		i++
	}
	return i
}

func (s *Steps) at(x float64) (h, slope float64) {
	i := s.band(x)
	h = s.bed(i)
	if t := x - s.edge(i); t < s.flank { // the flank lies behind the edge
		before := s.bed(i - 1)
		slope = (h - before) / s.flank
		return before + float64(slope*t), slope
	}
	return h, 0
}

// Value is the depth at p, whatever its y and z.
func (s *Steps) Value(p r3.Vec) float64 {
	h, _ := s.at(p.X)
	return h
}

// Gradient is the depth at p and its derivative.
func (s *Steps) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, k := s.at(p.X)
	return h, r3.Vec{X: k}
}

// Prune gives the depth of the one band that a ball sees, clear of its flank.
func (s *Steps) Prune(b sdf.Ball) Relief {
	lo, hi := b.C.X-b.R-slack, b.C.X+b.R+slack
	if i := s.band(lo); i == s.band(hi) && lo-s.edge(i) >= s.flank {
		return &even{s.bed(i)}
	}
	return s
}

func (s *Steps) Depth() float64    { return s.depth }
func (s *Steps) Steepest() float64 { return s.depth / s.flank }
func (s *Steps) Cost() int         { return 1 }
