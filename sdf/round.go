package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// capsule is a rod with round ends.
type capsule struct {
	a, ab r3.Vec
	len2  float64
	r     float64
}

// Capsule is every point within radius mm of the segment from a to b; none at
// all where the radius is not positive. Is exact.
func Capsule(a, b r3.Vec, radius float64) Field {
	if !(radius > 0) {
		return Nothing()
	}
	ab := r3.Sub(b, a)
	return &capsule{a: a, ab: ab, len2: dot(ab, ab), r: radius}
}

// from is p seen from the nearest point of the segment.
func (c *capsule) from(p r3.Vec) r3.Vec {
	q := r3.Sub(p, c.a)
	t := 0.0
	if c.len2 > 0 {
		t = math.Max(0, math.Min(1, dot(q, c.ab)/c.len2))
	}
	return V(q.X-float64(t*c.ab.X), q.Y-float64(t*c.ab.Y), q.Z-float64(t*c.ab.Z))
}

func (c *capsule) Value(p r3.Vec) float64 { return norm(c.from(p)) - c.r }

func (c *capsule) Gradient(p r3.Vec) (float64, r3.Vec) {
	q := c.from(p)
	return norm(q) - c.r, unit(q, V(0, 0, 1))
}

func (c *capsule) Bounds() r3.Box {
	b := r3.Add(c.a, c.ab)
	return boxGrow(boxUnion(r3.Box{Min: c.a, Max: c.a}, r3.Box{Min: b, Max: b}), c.r)
}

func (c *capsule) Lipschitz() float64 { return 1 }
func (c *capsule) Tightness() float64 { return 1 }
func (c *capsule) Prune(Ball) Field   { return c }
func (c *capsule) Cost() int          { return 1 }

// torus is a ring about the z axis.
type torus struct{ major, minor float64 }

// Torus is a ring about the z axis: a circle of radius minor swept round a
// circle of radius major, mm; none at all where minor is not positive. Is exact.
func Torus(major, minor float64) Field {
	if !(minor > 0) {
		return Nothing()
	}
	return &torus{math.Max(0, major), minor}
}

func (t *torus) Value(p r3.Vec) float64 {
	q := math.Sqrt(float64(p.X*p.X)+float64(p.Y*p.Y)) - t.major
	return math.Sqrt(float64(q*q)+float64(p.Z*p.Z)) - t.minor
}

func (t *torus) Gradient(p r3.Vec) (float64, r3.Vec) {
	out := unit(V(p.X, p.Y, 0), V(1, 0, 0))
	q := math.Sqrt(float64(p.X*p.X)+float64(p.Y*p.Y)) - t.major
	g := unit(V(q, 0, p.Z), V(0, 0, 1))
	return t.Value(p), V(g.X*out.X, g.X*out.Y, g.Z)
}

func (t *torus) Bounds() r3.Box {
	r := t.major + t.minor
	return r3.Box{Min: V(-r, -r, -t.minor), Max: V(r, r, t.minor)}
}

func (t *torus) Lipschitz() float64 { return 1 }
func (t *torus) Tightness() float64 { return 1 }
func (t *torus) Prune(Ball) Field   { return t }
func (t *torus) Cost() int          { return 1 }
