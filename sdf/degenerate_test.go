package sdf

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// TestNoSizeIsNothing: sizes that are zero, negative, infinite or no number give
// Nothing, as do outlines without area: never a panic, never NaN.
func TestNoSizeIsNothing(t *testing.T) {
	box := Rectangle(10, 10, 0)
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		for name, f := range map[string]Field{
			"sphere":               Sphere(bad),
			"cylinder radius":      Cylinder(bad, 5, 0),
			"cylinder height":      Cylinder(5, bad, 0),
			"cone":                 Cone(3, 2, bad),
			"capsule":              Capsule(V(0, 0, 0), V(0, 0, 5), bad),
			"torus":                Torus(5, bad),
			"circle":               Extrude(Circle(bad), 0, 5),
			"ellipse":              Extrude(EllipseShape(bad, 3), 0, 5),
			"rectangle":            Extrude(Rectangle(3, bad, 0), 0, 5),
			"stadium":              Extrude(Stadium(bad, 4), 0, 5),
			"moved nothing":        Extrude(Moved(Circle(bad), r2.Vec{X: 1}, 30), 0, 5),
			"extrusion":            Extrude(box, 0, bad),
			"polygon of one place": Prism([]r2.Vec{{X: bad}, {X: bad}, {X: bad}}, 0, 5),
		} {
			require.Equal(t, Nothing(), f, "%s of %v", name, bad)
		}
	}
	require.Equal(t, Nothing(), Cone(0, 0, 5))
	require.Equal(t, Nothing(), Cone(-1, 0, 5))
	require.Equal(t, Nothing(), Revolve(nil))
	require.Equal(t, Nothing(), Revolve([]r2.Vec{{X: -1}, {X: -2, Y: 3}, {X: -3, Y: 1}}), "all on the wrong side of the axis")
	require.Equal(t, Nothing(), Prism([]r2.Vec{{}, {X: 1}, {X: 2}}, 0, 5), "all in a line")
	require.Equal(t, Nothing(), Prism([]r2.Vec{{}, {X: math.NaN()}, {X: 2, Y: 1}}, 0, 5))
	require.Equal(t, Nothing(), Extrude(nil, 0, 5))
}

// TestOddSizesAreSane: what is documented of roundings and radii that are out of range.
func TestOddSizesAreSane(t *testing.T) {
	checkField(t, Cylinder(8, 12, -3), "a rounding below zero is sharp")
	require.Equal(t, Cylinder(8, 12, 0), Cylinder(8, 12, math.NaN()))
	require.Equal(t, Cylinder(5, 30, 5), Cylinder(5, 30, 50))
	require.Equal(t, Rectangle(8, 12, 0), Rectangle(8, 12, -1))
	require.Equal(t, Rectangle(8, 12, 4), Rectangle(8, 12, math.Inf(1)))
	require.Equal(t, Cone(0, 3, 5), Cone(-2, 3, 5))
	require.Equal(t, Sphere(3).Value(V(1, 2, 3)), Torus(0, 3).Value(V(1, 2, 3)))
}
