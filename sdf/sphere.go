package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// sphere is a ball about the origin.
type sphere struct{ r float64 }

// Sphere is a ball about the origin of the given radius, mm; none at all where
// the radius is not positive. Is exact.
func Sphere(radius float64) Field {
	if !(radius > 0) {
		return Nothing()
	}
	return &sphere{radius}
}

func (s *sphere) Value(p r3.Vec) float64 { return norm(p) - s.r }

func (s *sphere) Gradient(p r3.Vec) (float64, r3.Vec) {
	return s.Value(p), unit(p, V(0, 0, 1))
}

func (s *sphere) Bounds() r3.Box     { return r3.Box{Min: V(-s.r, -s.r, -s.r), Max: V(s.r, s.r, s.r)} }
func (s *sphere) Lipschitz() float64 { return 1 }
func (s *sphere) Tightness() float64 { return 1 }
func (s *sphere) Prune(Ball) Field   { return s }
func (s *sphere) Cost() int          { return 1 }

// ellipsoid is an ellipsoid about the origin.
type ellipsoid struct {
	semi      r3.Vec
	least     float64
	tightness float64
}

// Ellipsoid is an ellipsoid about the origin with the given half-axes, mm; none
// at all where one is not positive. The sign is exact. Is a lower bound: the
// scaled radius |p/semi| - 1 times the least half-axis, whose gradient is at most
// least/least = 1 long.
func Ellipsoid(semi r3.Vec) Field {
	least := math.Min(semi.X, math.Min(semi.Y, semi.Z))
	if !(least > 0) {
		return Nothing()
	}
	most := math.Max(semi.X, math.Max(semi.Y, semi.Z))
	// Outside its box by D along an axis of half-length a, |p/semi| - 1 >= D/a.
	return &ellipsoid{semi: semi, least: least, tightness: least / most / math.Sqrt(3)}
}

func (e *ellipsoid) scaled(p r3.Vec) r3.Vec { return V(p.X/e.semi.X, p.Y/e.semi.Y, p.Z/e.semi.Z) }

func (e *ellipsoid) Value(p r3.Vec) float64 { return e.least * (norm(e.scaled(p)) - 1) }

func (e *ellipsoid) Gradient(p r3.Vec) (float64, r3.Vec) {
	q := e.scaled(p)
	d := e.least * (norm(q) - 1)
	n := norm(q)
	if n < 1e-300 {
		return d, V(0, 0, e.least/e.semi.Z)
	}
	return d, V(e.least*q.X/(n*e.semi.X), e.least*q.Y/(n*e.semi.Y), e.least*q.Z/(n*e.semi.Z))
}

func (e *ellipsoid) Bounds() r3.Box     { return r3.Box{Min: r3.Scale(-1, e.semi), Max: e.semi} }
func (e *ellipsoid) Lipschitz() float64 { return 1 }
func (e *ellipsoid) Tightness() float64 { return e.tightness }
func (e *ellipsoid) Prune(Ball) Field   { return e }
func (e *ellipsoid) Cost() int          { return 1 }
