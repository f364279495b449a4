package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// ellipse has its greater half-axis along x unless swap is set.
type ellipse struct {
	a, b float64 // a >= b > 0
	swap bool
}

// EllipseShape is a true ellipse about the origin with half-axes along x and y,
// mm. Is exact: the nearest point is found by bisection to the last bit (D.
// Eberly, "Distance from a point to an ellipse, an ellipsoid, or a
// hyperellipsoid", 2013), so the sets d <= -t are its true parallel insets, which
// are no ellipses.
func EllipseShape(semiX, semiY float64) Shape {
	semiX, semiY = math.Max(semiX, 1e-9), math.Max(semiY, 1e-9)
	if semiX == semiY {
		return Circle(semiX)
	}
	return &ellipse{math.Max(semiX, semiY), math.Min(semiX, semiY), semiY > semiX}
}

// nearest gives the nearest point of the ellipse to (u,v), both >= 0, in the
// frame where a is along u.
func (e *ellipse) nearest(u, v float64) (x, y float64) {
	if v <= 0 {
		// On the long axis: near the middle the nearest points lie off it.
		num, den := e.a*u, float64(e.a*e.a)-float64(e.b*e.b)
		if num < den {
			r := num / den
			return e.a * r, e.b * math.Sqrt(math.Max(0, 1-float64(r*r)))
		}
		return e.a, 0
	}
	if u <= 0 {
		return 0, e.b
	}
	// The root of G(s) = (r0 z0/(s+r0))^2 + (z1/(s+1))^2 - 1, s >= z1 - 1.
	z0, z1 := u/e.a, v/e.b
	r0 := (e.a / e.b) * (e.a / e.b)
	n0 := r0 * z0
	lo := z1 - 1
	hi := length2(n0, z1) - 1
	if float64(z0*z0)+float64(z1*z1) < 1 {
		hi = 0
	} else {
		lo = math.Max(lo, 0)
	}
	s := (lo + hi) / 2
	for range 128 {
		p, q := n0/(s+r0), z1/(s+1)
		g := float64(p*p) + float64(q*q) - 1
		if g > 0 {
			lo = s
		} else {
			hi = s
		}
		// Newton where it stays within the bracket: G falls and is convex.
		next := s + g/(2*(float64(p*p)/(s+r0)+float64(q*q)/(s+1)))
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if next == s || next == lo || next == hi {
			break
		}
		s = next
	}
	return r0 * u / (s + r0), v / (s + 1)
}

func (e *ellipse) fold(p r2.Vec) (u, v float64) {
	u, v = math.Abs(p.X), math.Abs(p.Y)
	if e.swap {
		u, v = v, u
	}
	return u, v
}

func (e *ellipse) side(u, v float64) float64 {
	p, q := u/e.a, v/e.b
	if float64(p*p)+float64(q*q) < 1 {
		return -1
	}
	return 1
}

func (e *ellipse) Distance(p r2.Vec) float64 {
	u, v := e.fold(p)
	x, y := e.nearest(u, v)
	return e.side(u, v) * length2(u-x, v-y)
}

func (e *ellipse) Gradient(p r2.Vec) (float64, r2.Vec) {
	u, v := e.fold(p)
	x, y := e.nearest(u, v)
	d := e.side(u, v) * length2(u-x, v-y)
	// The ellipse's own normal at the nearest point: defined on the curve too.
	g := unit2(r2.Vec{X: x / (e.a * e.a), Y: y / (e.b * e.b)}, r2.Vec{X: 1})
	if e.swap {
		g.X, g.Y = g.Y, g.X
	}
	return d, r2.Vec{X: math.Copysign(g.X, p.X), Y: math.Copysign(g.Y, p.Y)}
}

func (e *ellipse) Bounds() r2.Box {
	x, y := e.a, e.b
	if e.swap {
		x, y = y, x
	}
	return r2.Box{Min: r2.Vec{X: -x, Y: -y}, Max: r2.Vec{X: x, Y: y}}
}
