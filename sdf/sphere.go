package sdf

import "gonum.org/v1/gonum/spatial/r3"

type sphere struct{ r float64 }

// Sphere is a ball about the origin, radius in mm; of a radius not above zero,
// Nothing. Is exact.
func Sphere(radius float64) Field {
	if !positive(radius) {
		return Nothing()
	}
	return &sphere{radius}
}

func (s *sphere) Value(p r3.Vec) float64 { return norm(p) - s.r }

func (s *sphere) Gradient(p r3.Vec) (float64, r3.Vec) { return s.Value(p), unit(p, V(0, 0, 1)) }

func (s *sphere) Bounds() r3.Box {
	return r3.Box{Min: V(-s.r, -s.r, -s.r), Max: V(s.r, s.r, s.r)}
}

func (s *sphere) Lipschitz() float64 { return 1 }
func (s *sphere) Tightness() float64 { return 1 }
func (s *sphere) Cost() int          { return 1 }
func (s *sphere) Prune(Ball) Field   { return s }
