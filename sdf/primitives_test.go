package sdf

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// star is a polygon with sharp, blunt and reflex corners, neighbours nearly in
// line, and more edges than the tree's threshold where spikes is large.
func star(spikes int, outer, inner float64) []r2.Vec {
	var pts []r2.Vec
	for i := range 2 * spikes {
		r := outer
		if i%2 == 1 {
			r = inner
		}
		s, c := math.Sincos(math.Pi * float64(i) / float64(spikes))
		pts = append(pts, r2.Vec{X: r * c, Y: r * s})
	}
	return pts
}

// bracket is an L with two corners on one straight side.
func bracket() []r2.Vec {
	return []r2.Vec{{X: 0, Y: 0}, {X: 0, Y: 20}, {X: 4, Y: 20}, {X: 4, Y: 6}, {X: 9, Y: 6}, {X: 15, Y: 6}, {X: 15, Y: 0}}
}

// vase is a profile with a hollow foot, a hollow rim and both ends on the axis.
func vase() []r2.Vec {
	return []r2.Vec{{X: 0, Y: 2}, {X: 6, Y: 0}, {X: 9, Y: 5}, {X: 4, Y: 12}, {X: 7, Y: 18}, {X: 0, Y: 14}}
}

// shapesUnderTest are all plan shapes, by name.
func shapesUnderTest() map[string]Shape {
	return map[string]Shape{
		"circle":         Circle(12.5),
		"ellipse":        EllipseShape(30, 17.5),
		"thin ellipse":   EllipseShape(2, 40),
		"square":         Rectangle(25, 25, 0),
		"rounded":        Rectangle(40, 18, 3),
		"stadium":        Stadium(60, 25),
		"upright":        Stadium(10, 50),
		"star":           Polygon(star(7, 20, 9)),
		"many edges":     Polygon(star(60, 30, 27)),
		"bracket":        Polygon(bracket()),
		"moved ellipse":  Moved(EllipseShape(30, 17.5), r2.Vec{X: 10, Y: -4}, 33),
		"moved square":   Moved(Rectangle(25, 25, 0), r2.Vec{X: -8, Y: 5}, 15),
		"turned quarter": Moved(Polygon(bracket()), r2.Vec{X: 3, Y: 3}, 90),
	}
}

// TestPrimitivesKeepThePromise holds every primitive to the package's promise.
func TestPrimitivesKeepThePromise(t *testing.T) {
	for name, f := range map[string]Field{
		"sphere":            Sphere(7),
		"cylinder":          Cylinder(8, 12, 0),
		"rounded cylinder":  Cylinder(8, 12, 1.5),
		"pill":              Cylinder(5, 30, 99),
		"cone":              Cone(9, 0, 14),
		"frustum of a cone": Cone(6, 9, 8),
		"capsule":           Capsule(V(-3, 2, 1), V(8, 5, 11), 2.5),
		"capsule of a dot":  Capsule(V(1, 2, 3), V(1, 2, 3), 4),
		"torus":             Torus(15, 4),
		"horn torus":        Torus(5, 5),
		"spindle":           Torus(3, 5),
		"revolved vase":     Revolve(vase()),
		"revolved ring":     Revolve([]r2.Vec{{X: 8, Y: 0}, {X: 14, Y: 1}, {X: 10, Y: 9}}),
		"revolved star":     Revolve(ringOf(star(30, 6, 5), r2.Vec{X: 12, Y: 0})),
		"prism":             Prism(bracket(), -2, 5),
		"placed prism":      Place(Prism(star(5, 12, 5), 0, 9), Turn(V(1, 2, 3), 40).Then(At(V(4, -3, 2)))),
	} {
		checkField(t, f, name)
	}
}

func ringOf(pts []r2.Vec, by r2.Vec) []r2.Vec {
	for i := range pts {
		pts[i] = r2.Add(pts[i], by)
	}
	return pts
}

// TestRaisedShapesKeepThePromise does so for every plan shape.
func TestRaisedShapesKeepThePromise(t *testing.T) {
	for name, s := range shapesUnderTest() {
		checkField(t, Extrude(s, -3, 8), name+" extruded")
	}
}
