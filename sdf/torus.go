package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

type torus struct{ major, minor float64 }

// Torus is a ring about the z axis in the plane z = 0: major the radius of its
// centre line, minor that of its section, mm. A major radius not above zero is
// taken as zero, a sphere; of a minor one not above zero, Nothing. Is exact where
// minor <= major; beyond that, where the ring overlaps itself, a lower bound inside.
func Torus(major, minor float64) Field {
	if !positive(minor) || math.IsNaN(major) || math.IsInf(major, 1) {
		return Nothing()
	}
	return &torus{max(0, major), minor}
}

func (t *torus) Value(p r3.Vec) float64 {
	q := math.Sqrt(float64(p.X*p.X)+float64(p.Y*p.Y)) - t.major
	return math.Sqrt(float64(q*q)+float64(p.Z*p.Z)) - t.minor
}

func (t *torus) Gradient(p r3.Vec) (float64, r3.Vec) {
	rho := math.Sqrt(float64(p.X*p.X) + float64(p.Y*p.Y))
	g := unit(V(rho-t.major, 0, p.Z), V(0, 0, 1))
	return t.Value(p), aboutZ(g.X, g.Z, p, rho)
}

// aboutZ turns a direction of the half plane (radius, z) into the half plane that
// p lies in, rho its distance from the axis; on the axis, into that of +x.
func aboutZ(radial, z float64, p r3.Vec, rho float64) r3.Vec {
	if rho < 1e-150 {
		return V(radial, 0, z)
	}
	return V(radial*p.X/rho, radial*p.Y/rho, z)
}

func (t *torus) Bounds() r3.Box {
	r := t.major + t.minor
	return r3.Box{Min: V(-r, -r, -t.minor), Max: V(r, r, t.minor)}
}

func (t *torus) Lipschitz() float64 { return 1 }
func (t *torus) Tightness() float64 { return 1 }
func (t *torus) Cost() int          { return 1 }
func (t *torus) Prune(Ball) Field   { return t }
