package sdf

import (
	"gonum.org/v1/gonum/spatial/r2"
)

// moved is a shape turned and then moved.
type moved struct {
	s        Shape
	by       r2.Vec
	sin, cos float64
	bounds   r2.Box
}

// Moved turns a shape by degrees counter-clockwise about the origin, then moves
// it by offset mm. Is exact.
func Moved(s Shape, offset r2.Vec, degrees float64) Shape {
	if isEmptyShape(s) {
		return emptyShape{}
	}
	sin, cos := sinCosDegrees(degrees)
	m := &moved{s: s, by: offset, sin: sin, cos: cos}
	b := placedBounds(solidBox(s.Bounds(), 0, 0), Turn(V(0, 0, 1), degrees).Then(At(V(offset.X, offset.Y, 0))))
	m.bounds = r2.Box{Min: r2.Vec{X: b.Min.X, Y: b.Min.Y}, Max: r2.Vec{X: b.Max.X, Y: b.Max.Y}}
	return m
}

func (m *moved) inward(p r2.Vec) r2.Vec {
	x, y := p.X-m.by.X, p.Y-m.by.Y
	return r2.Vec{X: float64(m.cos*x) + float64(m.sin*y), Y: float64(m.cos*y) - float64(m.sin*x)}
}

func (m *moved) turn(v r2.Vec) r2.Vec {
	return r2.Vec{X: float64(m.cos*v.X) - float64(m.sin*v.Y), Y: float64(m.sin*v.X) + float64(m.cos*v.Y)}
}

func (m *moved) Distance(p r2.Vec) float64 { return m.s.Distance(m.inward(p)) }

func (m *moved) Gradient(p r2.Vec) (float64, r2.Vec) {
	d, g := m.s.Gradient(m.inward(p))
	return d, m.turn(g)
}

func (m *moved) Bounds() r2.Box { return m.bounds }

func (m *moved) pruneDisc(c r2.Vec, r float64) Shape {
	s := pruneShape(m.s, m.inward(c), r+slack)
	if s == m.s {
		return m
	}
	out := *m
	out.s = s
	return &out
}

func (m *moved) line() (r2.Vec, float64, bool) {
	n, d, ok := straight(m.s)
	n = m.turn(n)
	return n, d + dot2(n, m.by), ok
}
