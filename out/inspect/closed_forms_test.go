package inspect

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out/inspect/solids"
)

// The solids of references.md, section 9, with its figures: 720 sides are
// inscribed, so that areas are smaller by (n / 2 pi) sin(2 pi / n), 1.3e-5.
const (
	sides   = 720
	faceted = 0.9999873080
)

// ellipticFrustum has half-axes a, b on the plate and c, d at its height.
func ellipticFrustum(a, b, c, d, height float64) solids.Shape {
	s := solids.Frustum(0, 0, 1, 1, height, sides)
	for n := range s.Vertices {
		x, y := a, b
		if s.Vertices[n][2] > 0 {
			x, y = c, d
		}
		s.Vertices[n][0] *= float32(x)
		s.Vertices[n][1] *= float32(y)
	}
	return s
}

// globe is an ellipsoid in rings of sides, from pole to pole.
func globe(x, y, z, a, b, c float64) (s solids.Shape) {
	const rings = sides / 2
	for n := range rings - 1 {
		sinUp, cosUp := math.Sincos(math.Pi * float64(n+1) / rings)
		for i := range sides {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
			s.Vertices = append(s.Vertices, [3]float32{float32(x + a*sinUp*cos), float32(y + b*sinUp*sin), float32(z - c*cosUp)})
		}
	}
	south := uint32(len(s.Vertices))
	north := south + 1
	s.Vertices = append(s.Vertices, [3]float32{float32(x), float32(y), float32(z - c)}, [3]float32{float32(x), float32(y), float32(z + c)})
	for i := range uint32(sides) {
		j := (i + 1) % sides
		s.Triangles = append(s.Triangles, [3]uint32{south, j, i}, [3]uint32{north, south - sides + i, south - sides + j})
		for n := range uint32(rings - 2) {
			a, b := n*sides, (n+1)*sides
			s.Triangles = append(s.Triangles, [3]uint32{a + i, a + j, b + j}, [3]uint32{a + i, b + j, b + i})
		}
	}
	return s
}

func TestAreasAndVolumesOfSectionNine(t *testing.T) {
	for name, c := range map[string]struct {
		shape  solids.Shape
		area   func(z float64) float64
		volume float64
	}{
		"cone frustum": {
			solids.Frustum(0, 0, 16, 15, 4, sides),
			func(z float64) float64 { return math.Pi * (16 - z/4) * (16 - z/4) }, 3020.117738},
		"elliptic cylinder": {
			ellipticFrustum(30, 17.5, 30, 17.5, 4),
			func(float64) float64 { return 1649.336143 }, 6597.344573},
		"elliptic frustum": {
			ellipticFrustum(30, 17.5, 29, 16.5, 4),
			func(z float64) float64 { return math.Pi * (30 - z/4) * (17.5 - z/4) }, 6303.082061},
	} {
		r := solids.Sliced(t, c.shape, 0.05, 0.1)
		volume := 0.0
		for k, area := range r.Areas() {
			want := faceted * c.area((float64(k)+0.5)*0.1)
			require.InEpsilon(t, want, area, 5e-4, "%s, layer %d", name, k)
			volume += area * 0.1
		}
		require.InEpsilon(t, faceted*c.volume, volume, 1e-4, name)
	}
}

// Bubbles of known volume are sealed voids, and a ball that stands on nothing is
// one island, as large as its lowest layer.
func TestVoidsAndIslandsOfSectionNine(t *testing.T) {
	block := solids.Box([3]float32{-8, -8, 0}, [3]float32{16, 8, 13})
	s := solids.Together(block, solids.Inward(globe(-1, 0, 6.5, 5, 5, 5)), solids.Inward(globe(10, 0, 6.5, 5, 4, 6)))
	found := voids(t, solids.Sliced(t, s, 0.05, 0.1))
	require.Len(t, found, 2)
	require.Equal(t, []Kind{SealedVoid, SealedVoid}, []Kind{found[0].Kind, found[1].Kind})
	require.InEpsilon(t, 523.598776, found[0].Value, 5e-4)
	require.InEpsilon(t, 502.654825, found[1].Value, 5e-4)

	const up = 2.0
	ball := solids.Together(solids.Box([3]float32{-8, -8, 0}, [3]float32{8, 8, 1}), globe(0, 0, up+5, 5, 5, 5))
	islands := unsupported(t, solids.Sliced(t, ball, 0.02, 0.1), 100)
	require.Len(t, islands, 1)
	require.Equal(t, Island, islands[0].Kind)
	const height = 0.05 // the middle of the layer that the ball begins in
	require.Equal(t, 20, islands[0].Layer)
	require.InEpsilon(t, math.Pi*height*(2*5-height), islands[0].Value, 0.02)
}
