package scenes_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/sdf/mesh"
)

// heightsOver are the heights, mm, at which the upright line through (x, y) meets a mesh,
// from below.
func heightsOver(m *mesh.Mesh, x, y float64) []float64 {
	var out []float64
	for _, t := range m.Triangles {
		var p [3][3]float64
		for k, v := range t {
			for j, c := range m.Vertices[v] {
				p[k][j] = float64(c)
			}
		}
		side := func(a, b [3]float64) float64 { return (b[0]-a[0])*(y-a[1]) - (b[1]-a[1])*(x-a[0]) }
		u, v, w := side(p[1], p[2]), side(p[2], p[0]), side(p[0], p[1])
		if u > 0 && v > 0 && w > 0 || u < 0 && v < 0 && w < 0 {
			out = append(out, (u*p[0][2]+v*p[1][2]+w*p[2][2])/(u+v+w))
		}
	}
	slices.Sort(out)
	return out
}

// TestRibsReachTheRoof: a line upward through a rib of a hollow meets no air from the
// foot to the top of the rim; one beside it meets the roof.
func TestRibsReachTheRoof(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		height, roof float64
		ribs         int
	}{
		{8, 1.5, 1}, {8, 1.2, 2}, {8, 1.5, 3}, {6, 1.5, 2}, {4, 1.5, 2},
	} {
		p := cut(t, flat+fmt.Sprintf(`
[[base]]
name = "hollow"
square = 26
at = [40, 30]
underside = "hollow"
height = %g
roof = %g
ribs = %d
`, c.height, c.roof, c.ribs))
		s := built(t, &p[0], 0.5)
		for i := range c.ribs {
			sin, cos := math.Sincos(math.Pi * (float64(i) + 0.5) / float64(c.ribs))
			for _, r := range []float64{-9.3, -4.1, 3.7, 8.9} {
				got := heightsOver(&s.Mesh, r*cos+0.05, r*sin-0.07)
				require.InDeltaSlice(t, []float64{0, c.height}, got, 0.01, "height %g, roof %g: rib %d of %d, %g mm out: %v", c.height, c.roof, i, c.ribs, r, got)
			}
		}
		sin, cos := math.Sincos(math.Pi / float64(c.ribs))
		got := heightsOver(&s.Mesh, 7*cos, 7*sin)
		require.InDeltaSlice(t, []float64{c.height - c.roof, c.height}, got, 0.01, "between two ribs: %v", got)
	}
}
