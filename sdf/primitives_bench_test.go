package sdf

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// BenchmarkValue is one value near the surface of each kind of primitive.
func BenchmarkValue(b *testing.B) {
	for _, c := range []struct {
		name string
		f    Field
		p    r3.Vec
	}{
		{"box", Box(V(10, 8, 6), 0), V(5.1, 1, 1)},
		{"sphere", Sphere(7), V(5, 4, 3)},
		{"cylinder", Cylinder(8, 12, 0), V(6, 5, 5)},
		{"capsule", Capsule(V(-3, 2, 1), V(8, 5, 11), 2.5), V(2, 2, 6)},
		{"cone", Cone(9, 4, 14), V(6, 2, 7)},
		{"prism of 14 edges", Prism(star(7, 20, 9), 0, 9), V(15, 3, 5)},
		{"prism of 120 edges", Prism(star(60, 30, 27), 0, 9), V(25, 12, 5)},
		{"oval", Extrude(EllipseShape(30, 17.5), 0, 4), V(25, 8, 3)},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				c.f.Value(c.p)
			}
		})
	}
}
