package picture

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// A floor that reaches behind the camera, and far beyond the picture, fills a picture
// that looks down on a small part of it: every sample, since the facets' shared edges
// stay tight where they are cut.
func TestFloorBehindTheCamera(t *testing.T) {
	corners := [4]r3.Vec{{X: -1, Y: -1}, {X: 1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}}
	covered := func(t require.TestingT, size float64, at r3.Vec, v View) {
		var floor Mesh
		for _, c := range corners {
			floor.Vertices = append(floor.Vertices, [3]float32{float32(size * c.X), float32(size * c.Y), 0})
		}
		floor.Vertices = append(floor.Vertices, [3]float32{float32(at.X), float32(at.Y), 0})
		for i := range uint32(4) {
			floor.Triangles = append(floor.Triangles, [3]uint32{i, (i + 1) % 4, 4})
		}
		box := r3.Box{Min: at, Max: r3.Add(at, r3.Vec{X: 1, Y: 1, Z: 1})}
		o := plain(Options{Focus: &box, View: v, Supersample: 1}).tidy()
		_, done := see(o, gather([]Mesh{floor}, creaseAngle))
		require.Equal(t, o.Width*o.Height, done.covered)
	}
	covered(t, 300, r3.Vec{X: 3.3, Y: 7.7}, View{Azimuth: 27.5, Elevation: 35, Perspective: 20})
	covered(t, 300, r3.Vec{X: 3.3, Y: 7.7}, View{Azimuth: 27.5, Elevation: -35, Perspective: 20})
	covered(t, 5e5, r3.Vec{}, View{Azimuth: 27.5, Elevation: 35})
	rapid.Check(t, func(t *rapid.T) {
		covered(t, rapid.SampledFrom([]float64{50, 300, 1e4, 5e5}).Draw(t, "size"),
			r3.Vec{X: rapid.Float64Range(-20, 20).Draw(t, "x"), Y: rapid.Float64Range(-20, 20).Draw(t, "y")},
			View{rapid.Float64Range(-180, 180).Draw(t, "azimuth"), rapid.Float64Range(25, 90).Draw(t, "elevation"),
				rapid.SampledFrom([]float64{0, 20, 30}).Draw(t, "perspective")})
	})
}
