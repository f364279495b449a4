package sdf

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// TestFlatFeaturesPruneToPlanes: where a small ball sees one flat face only, the
// field says so, with the face's own normal and offset. These are what spare the
// mesher its work, so that they happen is tested, not only that they are right.
func TestFlatFeaturesPruneToPlanes(t *testing.T) {
	up, down := V(0, 0, 1), V(0, 0, -1)
	for _, c := range []struct {
		name string
		f    Field
		at   r3.Vec
		n    r3.Vec
		d    float64
	}{
		{"top of a cylinder", Cylinder(8, 12, 0), V(3, 2, 12), up, 12},
		{"top of a rounded cylinder", Cylinder(8, 12, 1), V(3, 2, 12), up, 12},
		{"foot of a rounded cylinder", Cylinder(8, 12, 1), V(3, 2, 0), down, 0},
		{"foot of a cone", Cone(9, 4, 14), V(3, 2, 0), down, 0},
		{"top of a cone", Cone(9, 4, 14), V(2, 1, 14), up, 14},
		{"top of an extrusion", Extrude(EllipseShape(30, 17.5), -1, 5), V(12, 2, 5), up, 5},
		{"foot of an extrusion", Extrude(EllipseShape(30, 17.5), -1, 5), V(12, 2, -1), down, 1},
		{"side of a prism", Prism(bracket(), 0, 9), V(4, 14, 4), V(1, 0, 0), 4},
		{"side of a rounded rectangle", Extrude(Rectangle(40, 18, 3), 0, 9), V(-4, 9, 4), V(0, 1, 0), 9},
		{"side of a stadium", Extrude(Stadium(60, 25), 0, 9), V(-4, -12.5, 4), V(0, -1, 0), 12.5},
		{"side of a moved square", Extrude(Moved(Rectangle(20, 20, 0), r2.Vec{X: 5, Y: 1}, 45), 0, 9),
			r3.Add(V(5, 1, 4), r3.Scale(10, unit(V(1, 1, 0), up))), unit(V(1, 1, 0), up), 10 + 6/math.Sqrt2},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.InDelta(t, 0, c.f.Value(c.at), 1e-9, "the point is on the face")
			pl, is := c.f.Prune(Ball{C: c.at, R: 0.05}).(Planar)
			require.True(t, is)
			n, d, ok := pl.Plane()
			require.True(t, ok)
			require.InDelta(t, 0, r3.Norm(r3.Sub(n, c.n)), 1e-12)
			require.InDelta(t, c.d, d, 1e-12)
		})
	}
}

// TestCurvedFeaturesAreNoPlanes: nothing round, and nothing with an edge in it,
// claims to be flat.
func TestCurvedFeaturesAreNoPlanes(t *testing.T) {
	for name, c := range map[string]struct {
		f  Field
		at r3.Vec
	}{
		"side of a cylinder": {Cylinder(8, 12, 0), V(8, 0, 6)},
		"edge of a cylinder": {Cylinder(8, 12, 0), V(8, 0, 12)},
		"side of a cone":     {Cone(9, 4, 14), V(6.5, 0, 7)},
		"end of a stadium":   {Extrude(Stadium(60, 25), 0, 9), V(30, 0, 4)},
		"corner of a star":   {Extrude(Polygon(star(7, 20, 9)), 0, 9), V(20, 0, 4)},
		"side of an oval":    {Extrude(EllipseShape(30, 17.5), 0, 9), V(30, 0, 4)},
	} {
		if pl, is := c.f.Prune(Ball{C: c.at, R: 0.05}).(Planar); is {
			_, _, ok := pl.Plane()
			require.False(t, ok, name)
		}
	}
}

// TestPrimitivesDoNotAllocate: a value or a gradient costs no memory.
func TestPrimitivesDoNotAllocate(t *testing.T) {
	p := V(3, 4, 5)
	for name, f := range map[string]Field{
		"capsule":    Capsule(V(-3, 2, 1), V(8, 5, 11), 2.5),
		"vase":       Revolve(vase()),
		"star":       Prism(star(60, 30, 27), 0, 5),
		"moved oval": Extrude(Moved(EllipseShape(30, 17.5), r2.Vec{X: 1}, 20), 0, 4),
	} {
		require.Zero(t, testing.AllocsPerRun(100, func() {
			f.Value(p)
			f.Gradient(p)
		}), name)
	}
}
