package sdf

import "gonum.org/v1/gonum/spatial/r2"

type circle struct{ r float64 }

// Circle is a disc about the origin, radius in mm; of a radius not above zero,
// the empty shape. Is exact.
func Circle(radius float64) Shape {
	if !positive(radius) {
		return emptyShape{}
	}
	return &circle{radius}
}

func (c *circle) Distance(p r2.Vec) float64 { return norm2(p) - c.r }

func (c *circle) Gradient(p r2.Vec) (float64, r2.Vec) {
	return c.Distance(p), unit2(p, r2.Vec{X: 1})
}

func (c *circle) Bounds() r2.Box {
	return r2.Box{Min: r2.Vec{X: -c.r, Y: -c.r}, Max: r2.Vec{X: c.r, Y: c.r}}
}
