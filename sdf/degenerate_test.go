package sdf

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestNoSizeIsNothing: sizes that are zero, negative, infinite or no number give
// Nothing, as do outlines without area: never a panic, never NaN.
func TestNoSizeIsNothing(t *testing.T) {
	box := Rectangle(10, 10, 0)
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		for name, f := range map[string]Field{
			"sphere":               Sphere(bad),
			"ellipsoid":            Ellipsoid(V(3, bad, 2)),
			"cylinder radius":      Cylinder(bad, 5, 0),
			"cylinder height":      Cylinder(5, bad, 0),
			"cone":                 Cone(3, 2, bad),
			"capsule":              Capsule(V(0, 0, 0), V(0, 0, 5), bad),
			"torus":                Torus(5, bad),
			"circle":               Extrude(Circle(bad), 0, 5),
			"ellipse":              Extrude(EllipseShape(bad, 3), 0, 5),
			"rectangle":            Extrude(Rectangle(3, bad, 0), 0, 5),
			"hexagon":              Extrude(Hexagon(bad), 0, 5),
			"stadium":              Extrude(Stadium(bad, 4), 0, 5),
			"moved nothing":        Extrude(Moved(Circle(bad), r2.Vec{X: 1}, 30), 0, 5),
			"extrusion":            Extrude(box, 0, bad),
			"plinth":               Frustum(box, bad, 1, 0),
			"plinth of nothing":    Frustum(Circle(bad), 4, 1, 0),
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

// TestOddSizesAreSane: what is documented of roundings, chamfers and radii that are
// out of range, and of Convex's planes.
func TestOddSizesAreSane(t *testing.T) {
	checkField(t, Cylinder(8, 12, -3), "a rounding below zero is sharp")
	require.Equal(t, Cylinder(8, 12, 0), Cylinder(8, 12, math.NaN()))
	require.Equal(t, Cylinder(5, 30, 5), Cylinder(5, 30, 50))
	require.Equal(t, Rectangle(8, 12, 0), Rectangle(8, 12, -1))
	require.Equal(t, Rectangle(8, 12, 4), Rectangle(8, 12, math.Inf(1)))
	require.Equal(t, Cone(0, 3, 5), Cone(-2, 3, 5))
	require.Equal(t, Sphere(3).Value(V(1, 2, 3)), Torus(0, 3).Value(V(1, 2, 3)))
	require.Equal(t, Frustum(Circle(9), 2, 1, 2), Frustum(Circle(9), 2, 1, 5))
	require.Equal(t, Frustum(Circle(9), 2, 1, 0), Frustum(Circle(9), 2, 1, math.NaN()))

	z := []r3.Vec{{Z: 1}, {Z: -1}}
	require.Equal(t, Nothing(), Convex(z, []float64{1, -2}), "no point is below 1 and above 2")
	require.Less(t, Convex(nil, []float64{1}).Value(V(5, 5, 5)), 0.0, "no planes: all of space")
	f := Convex(append(z, r3.Vec{}, r3.Vec{X: math.NaN()}, r3.Vec{X: math.Inf(1)}, r3.Vec{Y: 1}), []float64{1, 2, -5, 1, 1, math.NaN()})
	require.Equal(t, r3.Box{Min: V(math.Inf(-1), math.Inf(-1), -2-slack), Max: V(math.Inf(1), math.Inf(1), 1+slack)}, f.Bounds())
}

// TestConvexBounds: the least box, for blocks whose corners are known.
func TestConvexBounds(t *testing.T) {
	near := func(want, got r3.Box) {
		t.Helper()
		require.InDelta(t, 0, r3.Norm(r3.Sub(want.Min, got.Min)), 1e-8)
		require.InDelta(t, 0, r3.Norm(r3.Sub(want.Max, got.Max)), 1e-8)
	}
	var normals []r3.Vec
	var offsets []float64
	for i := range 8 { // a regular octahedron with its corners at 5
		s := [2]float64{-1, 1}
		normals = append(normals, V(s[i&1], s[i>>1&1], s[i>>2]))
		offsets = append(offsets, 5/math.Sqrt(3))
	}
	near(r3.Box{Min: V(-5, -5, -5), Max: V(5, 5, 5)}, Convex(normals, offsets).Bounds())
	cut := Convex(append(normals, V(0, 0, 1), V(0, 0, -1)), append(offsets, 2, 1))
	near(r3.Box{Min: V(-5, -5, -1), Max: V(5, 5, 2)}, cut.Bounds())
	// The same plane many times over, and a cube far from the origin.
	far := Convex(
		[]r3.Vec{{X: 1}, {X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Y: -1}, {Z: 1}, {Z: -1}, {Z: 3}},
		[]float64{1003, 1003, -1000, 504, -500, -500, 9, -4, 9})
	near(r3.Box{Min: V(1000, 500, 4), Max: V(1003, 504, 9)}, far.Bounds())
	// A pyramid that is open at the foot has no lower limit, nor any to the sides.
	open := Convex([]r3.Vec{{X: 1, Z: 1}, {X: -1, Z: 1}, {Y: 1, Z: 1}, {Y: -1, Z: 1}}, []float64{0, 0, 0, 0})
	require.True(t, math.IsInf(open.Bounds().Min.Z, -1) && math.IsInf(open.Bounds().Max.X, 1) && math.IsInf(open.Bounds().Min.Y, -1))
	require.InDelta(t, 0, open.Bounds().Max.Z, 1e-8)
}
