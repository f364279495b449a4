package raster_test

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
	"socle/out/inspect/tree"
)

// A box on the grid, off it, and with its faces through the samples themselves,
// where the half-open rule decides.
func TestAreasOfABox(t *testing.T) {
	for name, lo := range map[string][3]float32{
		"on the grid":         {0.5, -1, 0},
		"off the grid":        {0.6, -1.1, 0.3},
		"through the samples": {0.625, -0.875, 0},
	} {
		b := solids.Box(lo, [3]float32{lo[0] + 3, lo[1] + 2, lo[2] + 1})
		r := solids.Sliced(t, b, 0.25, 0.125)
		require.Equal(t, 8, r.Size[2], name)
		for _, area := range r.Areas() {
			require.InDelta(t, 6, area, 1e-12, name)
		}
	}
}

// Two boxes that share a face through the samples: no pixel twice, none left
// out.
func TestSharedFaceBelongsToOneSide(t *testing.T) {
	west := solids.Box([3]float32{0, 0, 0}, [3]float32{0.625, 1, 1})
	east := solids.Box([3]float32{0.625, 0, 0}, [3]float32{2, 1, 1})
	a, b := solids.Sliced(t, west, 0.25, 0.25), solids.Sliced(t, east, 0.25, 0.25)
	both := solids.Sliced(t, solids.Together(west, east), 0.25, 0.25)
	for k, area := range both.Areas() {
		require.InDelta(t, 2, area, 1e-12)
		require.InDelta(t, 2, a.Areas()[k]+b.Areas()[k], 1e-12)
	}
}

// Layers of a cylinder, a cone and a frustum against the area of the regular
// polygon that they are, n r^2 sin(2 pi/n)/2, at the mid-height of the layer.
// A convex outline of 2r x 2r enters at most 4 (2r/pixel) + 4 pixels, and only
// those can be wrong, each by less than itself, so that is a bound. The sum of
// the layers must come far closer: there the errors have both signs.
func TestAreasOfRoundSolids(t *testing.T) {
	const pixel, layer, n, height = 0.1, 0.1, 48, 4.0
	for name, c := range map[string]struct{ below, above float64 }{
		"cylinder": {7.03, 7.03}, "cone": {7.03, 0}, "frustum": {7.03, 5.51}, "widening": {3.3, 6.6},
	} {
		r := solids.Sliced(t, solids.Frustum(0.013, -0.021, c.below, c.above, height, n), pixel, layer)
		require.Equal(t, 40, r.Size[2], name)
		var got, want float64
		for k, area := range r.Areas() {
			z := (float64(k) + 0.5) * layer
			radius := c.below + (c.above-c.below)*z/height
			closed := n * radius * radius * math.Sin(2*math.Pi/n) / 2
			require.InDelta(t, closed, area, (4*(2*radius/pixel)+4)*pixel*pixel, "%s layer %d", name, k)
			got, want = got+area, want+closed
		}
		require.InEpsilon(t, want, got, 0.001, name)
	}
}

// Every pixel of a random tetrahedron against the sides of its four planes.
func TestPixelsOfTetrahedra(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		corner := rapid.Custom(func(t *rapid.T) (v [3]float32) {
			for c := range 3 {
				v[c] = rapid.OneOf(
					rapid.Float32Range(-2, 2),
					rapid.Map(rapid.IntRange(-16, 16), func(n int) float32 { return float32(n) / 8 }), // on samples
				).Draw(t, "coordinate")
			}
			return v
		})
		s := solids.Shape{
			Vertices:  [][3]float32{corner.Draw(t, "a"), corner.Draw(t, "b"), corner.Draw(t, "c"), corner.Draw(t, "d")},
			Triangles: [][3]uint32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}},
		}
		side := func(f [3]uint32, p [3]float64) float64 { // > 0 inside, six times a volume
			var e [3][3]float64
			for i, v := range f {
				for c := range 3 {
					e[i][c] = float64(s.Vertices[v][c]) - p[c]
				}
			}
			return e[0][0]*(e[1][1]*e[2][2]-e[1][2]*e[2][1]) +
				e[0][1]*(e[1][2]*e[2][0]-e[1][0]*e[2][2]) +
				e[0][2]*(e[1][0]*e[2][1]-e[1][1]*e[2][0])
		}
		d := s.Vertices[3]
		switch whole := side(s.Triangles[0], [3]float64{float64(d[0]), float64(d[1]), float64(d[2])}); {
		case math.Abs(whole) < 1e-3:
			t.Skip("flat")
		case whole < 0:
			s = solids.Inward(s)
		}
		r, err := raster.Slice(context.Background(), s.Vertices, s.Triangles, raster.Grid{Pixel: 0.25, Layer: 0.25})
		if err != nil {
			require.Regexp(t, "half a layer|no pixel is solid", err.Error())
			r = raster.New([3]float64{}, 0.25, 0.25, [3]int{}, raster.DefaultLimit)
		}
		lo, hi, err := tree.ExtentOf(s.Vertices, s.Triangles)
		require.NoError(t, err)
		i0, j0 := int(math.Round(r.Origin[0]/0.25)), int(math.Round(r.Origin[1]/0.25))
		for k := range int((hi[2]-lo[2])/0.25 + 0.5) {
			for j := -9; j < 9; j++ {
				for i := -9; i < 9; i++ {
					p := [3]float64{(float64(i) + 0.5) * 0.25, (float64(j) + 0.5) * 0.25, lo[2] + (float64(k)+0.5)*0.25}
					least := math.Inf(1)
					for _, f := range s.Triangles {
						least = min(least, side(f, p))
					}
					if math.Abs(least) > 1e-9 {
						require.Equal(t, least > 0, r.Solid(i-i0, j-j0, k), "at %v", p)
					}
				}
			}
		}
	})
}

func TestOverlapsAreOneSolidAndHolesAreHoles(t *testing.T) {
	a := solids.Box([3]float32{0, 0, 0}, [3]float32{2, 1, 1})
	b := solids.Box([3]float32{1, 0, 0}, [3]float32{3, 1, 1})
	hole := solids.Inward(solids.Box([3]float32{0.25, 0.25, 0.25}, [3]float32{0.75, 0.75, 0.75}))
	again := solids.Inward(solids.Box([3]float32{0.25, 0.25, 0.25}, [3]float32{0.5, 0.75, 0.75}))
	areas := solids.Sliced(t, solids.Together(a, b, hole, again), 0.25, 0.25).Areas()
	require.Equal(t, []float64{3, 2.75, 2.75, 3}, areas)
}

func TestSameBitsOnAnyNumberOfWorkers(t *testing.T) {
	s := solids.Frustum(0, 0, 5, 3, 4, 31)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := solids.Sliced(t, s, 0.1, 0.1)
	runtime.GOMAXPROCS(3)
	require.Equal(t, one, solids.Sliced(t, s, 0.1, 0.1))
}

func TestSliceRefuses(t *testing.T) {
	b := solids.Box([3]float32{0, 0, 0}, [3]float32{60, 60, 20})
	open := solids.Shape{Vertices: b.Vertices, Triangles: b.Triangles[:11]}
	nan := solids.Shape{Vertices: append([][3]float32{{float32(math.NaN()), 0, 0}}, b.Vertices[1:]...), Triangles: b.Triangles}
	astray := solids.Shape{Vertices: b.Vertices[:7], Triangles: b.Triangles}
	for name, c := range map[string]struct {
		solids.Shape
		grid raster.Grid
		says string
	}{
		"too fine":      {b, raster.Grid{Pixel: 1e-9, Layer: 1}, "too fine"},
		"not a pixel":   {b, raster.Grid{Pixel: math.NaN(), Layer: 1}, "more than 0"},
		"no layer":      {b, raster.Grid{Pixel: 1, Layer: 0}, "more than 0"},
		"too low":       {b, raster.Grid{Pixel: 1, Layer: 41}, "less than half a layer"},
		"open":          {open, raster.Grid{Pixel: 1, Layer: 1}, "not closed"},
		"inside out":    {solids.Inward(b), raster.Grid{Pixel: 1, Layer: 1}, "inside out"},
		"not a number":  {nan, raster.Grid{Pixel: 1, Layer: 1}, "not finite"},
		"index":         {astray, raster.Grid{Pixel: 1, Layer: 1}, "names vertex 7 of 7"},
		"no triangles":  {solids.Shape{}, raster.Grid{Pixel: 1, Layer: 1}, "without triangles"},
		"over a budget": {b, raster.Grid{Pixel: 0.05, Layer: 0.05, Limit: 1 << 20}, "a raster of 1201 x 1201 pixels in 400 layers takes 70 MiB, more than the limit of 1 MiB"},
	} {
		_, err := raster.Slice(context.Background(), c.Vertices, c.Triangles, c.grid)
		require.ErrorContains(t, err, c.says, name)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := raster.Slice(ctx, b.Vertices, b.Triangles, raster.Grid{Pixel: 1, Layer: 1})
	require.ErrorIs(t, err, context.Canceled)
}

func TestRunsAndGapsOfARow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 200).Draw(t, "n")
		want := make([]bool, n)
		row := make([]uint64, (n+63)/64)
		for range rapid.IntRange(0, 6).Draw(t, "fills") {
			a := rapid.IntRange(0, n-1).Draw(t, "a")
			b := rapid.IntRange(a, n).Draw(t, "b")
			raster.Fill(row, a, b)
			for i := a; i < b; i++ {
				want[i] = true
			}
		}
		got := make([]int, n)
		for a, b := range raster.Runs(row, n) {
			require.True(t, (a == 0 || !want[a-1]) && (b == n || !want[b]))
			for i := a; i < b; i++ {
				got[i]++
			}
		}
		for a, b := range raster.Gaps(row, n) {
			for i := a; i < b; i++ {
				got[i] += 2
			}
		}
		for i := range n {
			require.Equal(t, map[bool]int{true: 1, false: 2}[want[i]], got[i], i)
		}
	})
}

// TestPackedIsSmall: a flat slab of 100 mm takes an eighth of its pixels' bits.
func TestPackedIsSmall(t *testing.T) {
	r := solids.Sliced(t, solids.Box([3]float32{0, 0, 0}, [3]float32{100.01, 100.01, 2}), 0.05, 0.05)
	require.Less(t, r.Bytes(), int64(2001*2001*40/8/8))
}
