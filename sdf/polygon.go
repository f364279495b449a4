package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// polygon is a simple polygon: its sides, each with what its distance needs.
type polygon struct {
	sides  []side
	bounds r2.Box
}

type side struct {
	a, d r2.Vec // from a along d to the next corner
	len2 float64
	n    r2.Vec // unit normal, outward
}

// Polygon is a simple polygon, its corners in mm in either order; sides must
// not cross. Fewer than three corners give an empty shape. Is exact.
func Polygon(points []r2.Vec) Shape {
	p := &polygon{bounds: r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}}
	if len(points) < 3 {
		return Moved(Circle(0), r2.Vec{X: farAway}, 0)
	}
	area := 0.0
	for i, a := range points {
		b := points[(i+1)%len(points)]
		area += a.X*b.Y - a.Y*b.X
	}
	turn := math.Copysign(1, area)
	for i, a := range points {
		b := points[(i+1)%len(points)]
		d := r2.Sub(b, a)
		p.bounds.Min.X, p.bounds.Min.Y = math.Min(p.bounds.Min.X, a.X), math.Min(p.bounds.Min.Y, a.Y)
		p.bounds.Max.X, p.bounds.Max.Y = math.Max(p.bounds.Max.X, a.X), math.Max(p.bounds.Max.Y, a.Y)
		l := float64(d.X*d.X) + float64(d.Y*d.Y)
		if l == 0 {
			continue
		}
		p.sides = append(p.sides, side{a: a, d: d, len2: l, n: unit2(r2.Vec{X: turn * d.Y, Y: -turn * d.X}, r2.Vec{X: 1})})
	}
	return p
}

// away is q - t*d clamped to the side: the way from the side's nearest point.
func (s *side) away(p r2.Vec) (x, y, t float64) {
	x, y = p.X-s.a.X, p.Y-s.a.Y
	t = (float64(x*s.d.X) + float64(y*s.d.Y)) / s.len2
	t = math.Max(0, math.Min(1, t))
	return x - float64(t*s.d.X), y - float64(t*s.d.Y), t
}

// nearest gives the squared distance to the nearest side, which side, and
// whether p is inside (even-odd rule).
func (g *polygon) nearest(p r2.Vec) (best float64, at int, inside bool) {
	best = math.Inf(1)
	for i := range g.sides {
		s := &g.sides[i]
		x, y, _ := s.away(p)
		if d := float64(x*x) + float64(y*y); d < best {
			best, at = d, i
		}
		by := s.a.Y + s.d.Y
		if (s.a.Y > p.Y) != (by > p.Y) && p.X < s.a.X+s.d.X*(p.Y-s.a.Y)/s.d.Y {
			inside = !inside
		}
	}
	return best, at, inside
}

func (g *polygon) Distance(p r2.Vec) float64 {
	d, _, inside := g.nearest(p)
	if inside {
		return -math.Sqrt(d)
	}
	return math.Sqrt(d)
}

func (g *polygon) Gradient(p r2.Vec) (float64, r2.Vec) {
	d2, at, inside := g.nearest(p)
	d := math.Sqrt(d2)
	if inside {
		d = -d
	}
	s := &g.sides[at]
	x, y, t := s.away(p)
	if t > 0 && t < 1 || d2 < 1e-24 {
		return d, s.n
	}
	v := unit2(r2.Vec{X: x, Y: y}, s.n)
	if inside {
		v = r2.Scale(-1, v)
	}
	return d, v
}

func (g *polygon) Bounds() r2.Box { return g.bounds }
