package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// ellipse is about the origin along the axes.
//
// The nearest point x of the outline to y has the normal (y - x) / t there, so
// x_i = s_i^2 y_i / (t + s_i^2), t being the greatest root of
//
//	G(t) = sum (s_i y_i / (t + s_i^2))^2 = 1
//
// (D. Eberly, "Distance from a Point to an Ellipse, an Ellipsoid, or a
// Hyperellipsoid", Geometric Tools). Written in u = t + m^2, m the least half-axis,
// no term loses digits near the pole u = 0. 1/sqrt(G) is increasing and concave in
// u > 0 (Conn, Gould and Toint, "Trust-Region Methods", section 7.3: the same
// equation), so a step of Newton's method never lands beyond the root, and from the
// left of it they climb to it. The first guess is a point of the outline, u = m^2.
type ellipse struct {
	s     [2]float64 // half-axes
	e     [2]float64 // s_i^2 - m^2
	m     float64    // least half-axis
	least int        // its axis
}

// EllipseShape is an ellipse about the origin, semiX and semiY its half-axes in mm;
// of one not above zero, the empty shape. Is exact, on the axes and in the middle too.
func EllipseShape(semiX, semiY float64) Shape {
	switch {
	case !positive(semiX, semiY):
		return emptyShape{}
	case semiX == semiY:
		return Circle(semiX)
	}
	f := &ellipse{s: [2]float64{semiX, semiY}, m: min(semiX, semiY)}
	if semiY < semiX {
		f.least = 1
	}
	for i, s := range f.s {
		f.e[i] = (s - f.m) * (s + f.m)
	}
	return f
}

// ellipseSteps is more than Newton's method was seen to need: 18 for one in a
// million random points and ellipsoids, with axes up to 10^4 : 1; mostly 3 to 5.
const ellipseSteps = 64

// Gradient does all in the first quadrant; the signs are put back at the end.
func (f *ellipse) Gradient(p r2.Vec) (float64, r2.Vec) {
	y := [2]float64{math.Abs(p.X), math.Abs(p.Y)}
	for i := range y {
		if y[i] < 1e-140 { // its square would underflow
			y[i] = 0
		}
	}
	// Each term of G alone reaches 1 left of the root.
	var sy [2]float64
	floor := 0.0
	for i := range y {
		sy[i] = float64(f.s[i] * y[i])
		floor = max(floor, sy[i]-f.e[i])
	}
	if floor <= 0 {
		if d, n, ok := f.inward(y); ok {
			return d, signed(n, p)
		}
	}
	u := float64(f.m * f.m)
	for range ellipseSteps {
		g, h := 0.0, 0.0
		for i := range y {
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
	var n [2]float64
	for i := range y {
		if y[i] > 0 {
			n[i] = y[i] / (u + f.e[i])
		}
	}
	l := math.Sqrt(float64(n[0]*n[0]) + float64(n[1]*n[1]))
	d := (u - float64(f.m*f.m)) * l
	for i := range n {
		n[i] /= l
	}
	return d, signed(n, p)
}

// inward deals with points on the long axis, near enough to the middle that the
// nearest points lie off that axis, one on each side.
func (f *ellipse) inward(y [2]float64) (float64, [2]float64, bool) {
	var n [2]float64
	rest := 1.0
	for i := range y {
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
	l := math.Sqrt(float64(n[0]*n[0]) + float64(n[1]*n[1]))
	for i := range n {
		n[i] /= l
	}
	return -f.m * f.m * l, n, true
}

func signed(n [2]float64, p r2.Vec) r2.Vec {
	return r2.Vec{X: math.Copysign(n[0], p.X), Y: math.Copysign(n[1], p.Y)}
}

func (f *ellipse) Distance(p r2.Vec) float64 {
	d, _ := f.Gradient(p)
	return d
}

func (f *ellipse) Bounds() r2.Box {
	s := r2.Vec{X: f.s[0], Y: f.s[1]}
	return r2.Box{Min: r2.Scale(-1, s), Max: s}
}
