package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// ellipse is the section of an ellipsoid whose third semi-axis is no shorter
// than the other two: the nearest point of that to a point of the section lies in
// the section.
type ellipse struct{ solid *ellipsoid }

// EllipseShape is an ellipse about the origin, semiX and semiY its half-axes in mm;
// of one not above zero, the empty shape. Is exact, on the axes and in the middle
// too (see ellipsoid for the method and its source).
func EllipseShape(semiX, semiY float64) Shape {
	switch {
	case !positive(semiX, semiY):
		return emptyShape{}
	case semiX == semiY:
		return Circle(semiX)
	}
	return &ellipse{newEllipsoid(V(semiX, semiY, math.Max(semiX, semiY)))}
}

func (e *ellipse) Distance(p r2.Vec) float64 { return e.solid.Value(V(p.X, p.Y, 0)) }

func (e *ellipse) Gradient(p r2.Vec) (float64, r2.Vec) {
	d, g := e.solid.Gradient(V(p.X, p.Y, 0))
	return d, r2.Vec{X: g.X, Y: g.Y}
}

func (e *ellipse) Bounds() r2.Box {
	s := r2.Vec{X: e.solid.s[0], Y: e.solid.s[1]}
	return r2.Box{Min: r2.Scale(-1, s), Max: s}
}
