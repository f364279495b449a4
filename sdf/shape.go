package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Shape is a region of the plane with an exact signed distance in mm, negative
// inside: what footprints are made of.
type Shape interface {
	Distance(p r2.Vec) float64
	// Gradient gives Distance(p), to the bit, and its unit gradient.
	Gradient(p r2.Vec) (float64, r2.Vec)
	Bounds() r2.Box
}

func length2(x, y float64) float64 { return math.Sqrt(float64(x*x) + float64(y*y)) }

func unit2(v, fallback r2.Vec) r2.Vec {
	n := length2(v.X, v.Y)
	if n < 1e-300 {
		return fallback
	}
	return r2.Vec{X: v.X / n, Y: v.Y / n}
}

type circle struct{ r float64 }

// Circle is a disc about the origin, radius in mm. Is exact.
func Circle(radius float64) Shape { return &circle{math.Max(radius, 0)} }

func (c *circle) Distance(p r2.Vec) float64 { return length2(p.X, p.Y) - c.r }
func (c *circle) Gradient(p r2.Vec) (float64, r2.Vec) {
	return c.Distance(p), unit2(p, r2.Vec{X: 1})
}
func (c *circle) Bounds() r2.Box {
	return r2.Box{Min: r2.Vec{X: -c.r, Y: -c.r}, Max: r2.Vec{X: c.r, Y: c.r}}
}

type rectangle struct{ hx, hy, r float64 }

// Rectangle is width along x by depth along y about the origin, mm, its corners
// rounded to a radius (at most half the lesser side). Is exact.
func Rectangle(width, depth, round float64) Shape {
	width, depth = math.Max(width, 0), math.Max(depth, 0)
	r := math.Max(0, math.Min(round, math.Min(width, depth)/2))
	return &rectangle{width/2 - r, depth/2 - r, r}
}

// Stadium is long along x by short along y about the origin, mm: a rectangle
// with two half-round ends. Is exact.
func Stadium(long, short float64) Shape { return Rectangle(long, short, math.Min(long, short)/2) }

func (b *rectangle) Distance(p r2.Vec) float64 {
	x, y := math.Abs(p.X)-b.hx, math.Abs(p.Y)-b.hy
	switch {
	case x <= 0 && y <= 0:
		return math.Max(x, y) - b.r
	case x <= 0:
		return y - b.r
	case y <= 0:
		return x - b.r
	}
	return length2(x, y) - b.r
}

func (b *rectangle) Gradient(p r2.Vec) (float64, r2.Vec) {
	x, y := math.Abs(p.X)-b.hx, math.Abs(p.Y)-b.hy
	d := b.Distance(p)
	sx, sy := math.Copysign(1, p.X), math.Copysign(1, p.Y)
	switch {
	case x <= 0 && y <= 0 && x >= y, x > 0 && y <= 0:
		return d, r2.Vec{X: sx}
	case x <= 0:
		return d, r2.Vec{Y: sy}
	}
	g := unit2(r2.Vec{X: x, Y: y}, r2.Vec{X: 1})
	return d, r2.Vec{X: g.X * sx, Y: g.Y * sy}
}

func (b *rectangle) Bounds() r2.Box {
	x, y := b.hx+b.r, b.hy+b.r
	return r2.Box{Min: r2.Vec{X: -x, Y: -y}, Max: r2.Vec{X: x, Y: y}}
}

// Hexagon is a regular hexagon about the origin, mm across its flats; two of the
// flats face +x and -x. Is exact.
func Hexagon(acrossFlats float64) Shape {
	r := math.Max(acrossFlats, 0) / math.Sqrt(3)
	points := make([]r2.Vec, 6)
	for i := range points {
		s, c := math.Sincos(float64(2*i+1) * math.Pi / 6)
		points[i] = r2.Vec{X: r * c, Y: r * s}
	}
	return Polygon(points)
}

// moved is a shape turned and then moved.
type moved struct {
	s        Shape
	by       r2.Vec
	sin, cos float64
}

// Moved is a shape turned by degrees about the origin, then moved. Is exact.
func Moved(s Shape, by r2.Vec, degrees float64) Shape {
	sin, cos := sinCosDegrees(degrees)
	return &moved{s, by, sin, cos}
}

func (m *moved) back(p r2.Vec) r2.Vec {
	x, y := p.X-m.by.X, p.Y-m.by.Y
	return r2.Vec{X: float64(m.cos*x) + float64(m.sin*y), Y: float64(m.cos*y) - float64(m.sin*x)}
}

func (m *moved) Distance(p r2.Vec) float64 { return m.s.Distance(m.back(p)) }

func (m *moved) Gradient(p r2.Vec) (float64, r2.Vec) {
	d, g := m.s.Gradient(m.back(p))
	return d, r2.Vec{X: m.cos*g.X - m.sin*g.Y, Y: m.sin*g.X + m.cos*g.Y}
}

func (m *moved) Bounds() r2.Box {
	b := m.s.Bounds()
	out := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, x := range [2]float64{b.Min.X, b.Max.X} {
		for _, y := range [2]float64{b.Min.Y, b.Max.Y} {
			u, v := m.cos*x-m.sin*y+m.by.X, m.sin*x+m.cos*y+m.by.Y
			out.Min.X, out.Min.Y = math.Min(out.Min.X, u), math.Min(out.Min.Y, v)
			out.Max.X, out.Max.Y = math.Max(out.Max.X, u), math.Max(out.Max.Y, v)
		}
	}
	out.Min.X, out.Min.Y = out.Min.X-slack, out.Min.Y-slack
	out.Max.X, out.Max.Y = out.Max.X+slack, out.Max.Y+slack
	return out
}
