package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

type capsule struct {
	a, b r3.Vec
	u    r3.Vec  // unit vector from a to b
	l    float64 // from a to b
	r    float64
}

// Capsule is a rod from a to b with round ends of the same radius, mm, that reach
// beyond a and b by it. With a = b it is a sphere; of a radius not above zero,
// Nothing. Is exact.
func Capsule(a, b r3.Vec, radius float64) Field {
	if !positive(radius) {
		return Nothing()
	}
	d := r3.Sub(b, a)
	return &capsule{a: a, b: b, u: unit(d, V(0, 0, 1)), l: norm(d), r: radius}
}

// from is the vector to p from the nearest point of the axis.
func (c *capsule) from(p r3.Vec) r3.Vec {
	q := r3.Sub(p, c.a)
	t := max(0, min(c.l, dot(c.u, q)))
	return V(q.X-float64(t*c.u.X), q.Y-float64(t*c.u.Y), q.Z-float64(t*c.u.Z))
}

func (c *capsule) Value(p r3.Vec) float64 { return norm(c.from(p)) - c.r }

func (c *capsule) Gradient(p r3.Vec) (float64, r3.Vec) {
	q := c.from(p)
	// On the axis any direction square to it will do.
	side := r3.Cross(c.u, V(1, 0, 0))
	if math.Abs(c.u.X) > 0.9 {
		side = r3.Cross(c.u, V(0, 1, 0))
	}
	return norm(q) - c.r, unit(q, unit(side, V(0, 0, 1)))
}

func (c *capsule) Bounds() r3.Box {
	return boxGrow(boxUnion(r3.Box{Min: c.a, Max: c.a}, r3.Box{Min: c.b, Max: c.b}), c.r)
}

func (c *capsule) Lipschitz() float64 { return 1 }
func (c *capsule) Tightness() float64 { return 1 }
func (c *capsule) Cost() int          { return 1 }
func (c *capsule) Prune(Ball) Field   { return c }
