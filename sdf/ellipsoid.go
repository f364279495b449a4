package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// ellipsoid is about the origin along the axes.
//
// The nearest point x of the surface to y has the normal (y - x) / t there, so
// x_i = s_i^2 y_i / (t + s_i^2), t being the greatest root of
//
//	G(t) = sum (s_i y_i / (t + s_i^2))^2 = 1
//
// (D. Eberly, "Distance from a Point to an Ellipse, an Ellipsoid, or a
// Hyperellipsoid", Geometric Tools). Written in u = t + m^2, m the least semi-axis,
// no term loses digits near the pole u = 0. 1/sqrt(G) is increasing and concave in
// u > 0 (Conn, Gould and Toint, "Trust-Region Methods", section 7.3: the same
// equation), so a step of Newton's method never lands beyond the root, and from the
// left of it they climb to it. The first guess is a point of the surface, u = m^2.
type ellipsoid struct {
	s     [3]float64 // semi-axes
	e     [3]float64 // s_i^2 - m^2
	m     float64    // least semi-axis
	least int        // its axis
}

// Ellipsoid is about the origin with the given semi-axes in mm along x, y and z; of
// one not above zero, Nothing. Is exact.
func Ellipsoid(semi r3.Vec) Field {
	if !positive(semi.X, semi.Y, semi.Z) {
		return Nothing()
	}
	return newEllipsoid(semi)
}

func newEllipsoid(semi r3.Vec) *ellipsoid {
	f := &ellipsoid{s: [3]float64{semi.X, semi.Y, semi.Z}}
	for i, s := range f.s {
		if s < f.s[f.least] {
			f.least = i
		}
	}
	f.m = f.s[f.least]
	for i, s := range f.s {
		f.e[i] = (s - f.m) * (s + f.m)
	}
	return f
}

// ellipsoidSteps is more than Newton's method was seen to need: 18 for one in a
// million random points and ellipsoids, with axes up to 10^4 : 1; mostly 3 to 5.
const ellipsoidSteps = 64

// nearest gives the distance and the unit normal at the nearest point. All is
// done in the first octant; the signs are put back at the end.
func (f *ellipsoid) nearest(p r3.Vec) (float64, r3.Vec) {
	y := [3]float64{math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z)}
	for i := range y {
		if y[i] < 1e-140 { // its square would underflow
			y[i] = 0
		}
	}
	// Each term of G alone reaches 1 left of the root.
	var sy [3]float64
	floor := 0.0
	for i := range 3 {
		sy[i] = float64(f.s[i] * y[i])
		floor = max(floor, sy[i]-f.e[i])
	}
	if floor <= 0 {
		if d, n, ok := f.flat(y); ok {
			return d, f.signed(n, p)
		}
	}
	u := float64(f.m * f.m)
	for range ellipsoidSteps {
		g, h := 0.0, 0.0
		for i := range 3 {
			if y[i] > 0 {
				w := 1 / (u + f.e[i])
				a := sy[i] * w
				g += float64(a * a)
				h += float64(float64(a*a) * w)
			}
		}
		next := max(floor, u+float64(g*(math.Sqrt(g)-1)/h))
		step := math.Abs(next - u)
		u = next
		if !(step > 1e-9*u) { // the error left is about the square of this
			break
		}
	}
	n := [3]float64{}
	for i := range 3 {
		if y[i] > 0 {
			n[i] = y[i] / (u + f.e[i])
		}
	}
	l := math.Sqrt(float64(n[0]*n[0]) + float64(n[1]*n[1]) + float64(n[2]*n[2]))
	d := (u - float64(f.m*f.m)) * l
	for i := range n {
		n[i] /= l
	}
	return d, f.signed(n, p)
}

// flat deals with points in the plane of symmetry across the least axis, near
// enough to the middle that the nearest points lie off that plane, one on each side.
func (f *ellipsoid) flat(y [3]float64) (float64, [3]float64, bool) {
	var n [3]float64
	rest := 1.0
	for i := range 3 {
		if f.e[i] > 0 {
			a := f.s[i] * y[i] / f.e[i]
			rest -= float64(a * a)
			n[i] = y[i] / f.e[i]
		} else if y[i] > 0 {
			return 0, n, false
		}
	}
	if rest < 0 {
		return 0, n, false
	}
	n[f.least] = math.Sqrt(rest) / f.m
	l := math.Sqrt(float64(n[0]*n[0]) + float64(n[1]*n[1]) + float64(n[2]*n[2]))
	for i := range n {
		n[i] /= l
	}
	return -f.m * f.m * l, n, true
}

func (f *ellipsoid) signed(n [3]float64, p r3.Vec) r3.Vec {
	return V(math.Copysign(n[0], p.X), math.Copysign(n[1], p.Y), math.Copysign(n[2], p.Z))
}

func (f *ellipsoid) Value(p r3.Vec) float64 {
	d, _ := f.nearest(p)
	return d
}

func (f *ellipsoid) Gradient(p r3.Vec) (float64, r3.Vec) { return f.nearest(p) }

func (f *ellipsoid) Bounds() r3.Box {
	s := V(f.s[0], f.s[1], f.s[2])
	return r3.Box{Min: r3.Scale(-1, s), Max: s}
}

func (f *ellipsoid) Lipschitz() float64 { return 1 }
func (f *ellipsoid) Tightness() float64 { return 1 }
func (f *ellipsoid) Cost() int          { return 1 }
func (f *ellipsoid) Prune(Ball) Field   { return f }
