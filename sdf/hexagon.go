package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Hexagon is a regular hexagon about the origin, acrossFlats mm between opposite
// sides; two flats face +x and -x, two corners point to +y and -y. Of a size not
// above zero, the empty shape. Is exact.
func Hexagon(acrossFlats float64) Shape {
	if !positive(acrossFlats) {
		return emptyShape{}
	}
	x := acrossFlats / 2
	y := x / math.Sqrt(3) // half a side
	return Polygon([]r2.Vec{{X: x, Y: -y}, {X: x, Y: y}, {Y: 2 * y}, {X: -x, Y: y}, {X: -x, Y: -y}, {Y: -2 * y}})
}
