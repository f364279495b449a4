package inspect

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
)

func necksOf(t require.TestingT, r *raster.Raster, least, smallest float64) []Finding {
	found, err := Necks(context.Background(), r, nil, least, smallest)
	require.NoError(t, err)
	return found
}

// dumbBell is a large cube and a small one joined by a bar, square in section,
// along x; thickness is the bar's.
func dumbBell(thickness, length float32) solids.Shape {
	h := thickness / 2
	return solids.Together(
		solids.Box([3]float32{-3, -1.5, -1.5}, [3]float32{0, 1.5, 1.5}),
		solids.Box([3]float32{-0.5, -h, -h}, [3]float32{length + 0.5, h, h}),
		solids.Box([3]float32{length, -1, -1}, [3]float32{length + 2, 1, 1}),
	)
}

func TestNecksOnBothSidesOfTheLimit(t *testing.T) {
	for _, c := range []struct {
		thickness float32
		found     bool
	}{
		{0.25, true}, {0.4, true}, {0.45, true}, {0.55, false}, {0.6, false}, {0.8, false},
	} {
		for _, length := range []float32{0.3, 1, 4} {
			found := necksOf(t, solids.Sliced(t, dumbBell(c.thickness, length), 0.05, 0.05), 0.5, 0.1)
			if !c.found {
				require.Empty(t, found, "%g mm", c.thickness)
				continue
			}
			require.Len(t, found, 1, "%g mm", c.thickness)
			f := found[0]
			require.Equal(t, Neck, f.Kind)
			require.InDelta(t, float64(c.thickness), f.Value, 0.05+1e-6)
			require.InDelta(t, 0.5, f.Limit, 0)
			require.Equal(t, 1, f.Ways)
			require.InDelta(t, float64(length)/2, f.At[0], 0.06, "the middle of the bar")
			require.InDelta(t, 0, f.At[1], 0.051)
			require.InDelta(t, 0, f.At[2], 0.051)
			require.InEpsilon(t, 8, f.Volume, 0.1)
			require.Greater(t, f.From[0], float64(length))
			require.Less(t, f.To[0], 0.0)
			for d := 1; d < 3; d++ {
				require.InDelta(t, 0, f.From[d], 0.051, "along the bar")
				require.InDelta(t, 0, f.To[d], 0.051)
			}
		}
	}
}

// On the mesh a neck is as thick as it is, to the lattice: along the pixels or not,
// square, or waisted between two of them.
func TestNecksOnTheMesh(t *testing.T) {
	// As a dumb-bell, but of one surface.
	along := func(thickness float64) solids.Shape {
		across := []float64{-1.5, -1, -thickness / 2, thickness / 2, 1, 1.5}
		return blocks([]float64{-3, 0, 1, 3}, across, across, func(i, j, k int) bool {
			return i == 0 || j > 0 && j < 4 && k > 0 && k < 4 && (i == 2 || j == 2 && k == 2)
		})
	}
	slanting := func(thickness float64) solids.Shape {
		about := r3.NewRotation(0.7, r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}))
		return solids.Moved(along(thickness), about.Rotate)
	}
	// Two cones, tip to tip, cut off where they are so thick.
	glass := func(thickness float64) solids.Shape {
		r := thickness / 2
		return lathed(r2.Vec{}, 48, [2]float64{0, 0}, [2]float64{3, 0}, [2]float64{r, 2.513}, [2]float64{2, 4.5}, [2]float64{0, 4.5})
	}
	for name, make := range map[string]func(float64) solids.Shape{"along": along, "slanting": slanting, "glass": glass} {
		for _, c := range []struct {
			thickness float64
			found     bool
		}{
			{0.25, true}, {0.48, true}, {0.49, true}, {0.499, true}, {0.5, false}, {0.51, false}, {0.56, false},
		} {
			s := make(c.thickness)
			found, err := Necks(context.Background(), solids.Sliced(t, s, 0.05, 0.05), solids.Indexed(t, s), 0.5, 0.1)
			require.NoError(t, err)
			if !c.found {
				require.Empty(t, found, "%s %g mm", name, c.thickness)
				continue
			}
			require.Len(t, found, 1, "%s %g mm", name, c.thickness)
			require.InDelta(t, c.thickness, found[0].Value, 0.001, name)
			require.True(t, within(solids.Indexed(t, s), found[0].At))
		}
	}
}

// The volume that counts is that of the bit, on both sides of the smallest.
func TestNecksHaveASmallestBit(t *testing.T) {
	r := solids.Sliced(t, dumbBell(0.3, 1), 0.05, 0.05)
	volume := necksOf(t, r, 0.5, 0)[0].Volume
	require.InDelta(t, 8+0.25*0.09, volume, 0.05)
	require.Len(t, necksOf(t, r, 0.5, volume), 1)
	require.Empty(t, necksOf(t, r, 0.5, volume+1e-6))
}

// Bars of any thickness, round or square, lying along the pixels or not, with
// layers of another height than the pixels: the thickness is true to a pixel.
func TestNeckThickness(t *testing.T) {
	turned := func(s solids.Shape, about, up float64) solids.Shape {
		sin, cos := math.Sincos(about)
		sinUp, cosUp := math.Sincos(up)
		out := solids.Shape{Triangles: s.Triangles}
		for _, v := range s.Vertices {
			x, y, z := float64(v[0]), float64(v[1]), float64(v[2])
			x, z = x*cosUp-z*sinUp, x*sinUp+z*cosUp
			out.Vertices = append(out.Vertices, [3]float32{float32(x*cos - y*sin), float32(x*sin + y*cos), float32(z)})
		}
		return out
	}
	round := func(thickness float64) solids.Shape { // along z
		moved := func(s solids.Shape, up float32) solids.Shape {
			for n := range s.Vertices {
				s.Vertices[n][2] += up
			}
			return s
		}
		return solids.Together(
			moved(solids.Frustum(0, 0, 1.4, 1.4, 3, 48), -3),
			moved(solids.Frustum(0, 0, thickness/2, thickness/2, 2, 48), -0.5),
			moved(solids.Frustum(0, 0, 1.1, 1.1, 2, 48), 1),
		)
	}
	for _, thickness := range []float64{0.22, 0.38, 0.53} {
		for _, c := range []struct{ about, up, layer float64 }{
			{0, 0, 0.05}, {0.4, 0, 0.05}, {math.Pi / 4, 0.5, 0.05}, {0.4, 1.3, 0.05}, {0, 0, 0.03}, {0.4, 0.5, 0.03},
		} {
			for name, s := range map[string]solids.Shape{"square": dumbBell(float32(thickness), 1), "round": round(thickness)} {
				found := necksOf(t, solids.Sliced(t, turned(s, c.about, c.up), 0.05, c.layer), 0.6, 0.1)
				require.Len(t, found, 1, "%s %g, %v", name, thickness, c)
				require.InDelta(t, thickness, found[0].Value, 0.05+1e-6, "%s, %v", name, c)
			}
		}
	}
}

// Two blocks that share a corner of 0.3 x 0.3 mm hang by its diagonal;
// at the edge of a notch a neck can measure two pixels too much.
func TestANeckAtACorner(t *testing.T) {
	for _, side := range []float32{0.15, 0.2, 0.3} {
		s := solids.Together(solids.Box([3]float32{0, 0, 0}, [3]float32{3, 3, 2}), solids.Box([3]float32{3 - side, 3 - side, 0}, [3]float32{5, 5, 2}))
		found := necksOf(t, solids.Sliced(t, s, 0.05, 0.05), 0.6, 0)
		require.Len(t, found, 1)
		require.InDelta(t, float64(side)*math.Sqrt2, found[0].Value, 0.1)
		require.GreaterOrEqual(t, found[0].Value, float64(side)*math.Sqrt2-0.05)
	}
}

func TestWhatIsNoNeck(t *testing.T) {
	base := solids.Box([3]float32{0, 0, 0}, [3]float32{6, 6, 2})
	post := func(x, y float32) solids.Shape {
		return solids.Box([3]float32{x, y, 1.5}, [3]float32{x + 0.4, y + 0.4, 5.5})
	}
	deck := solids.Box([3]float32{0, 0, 5}, [3]float32{6, 6, 6})
	stout := solids.Box([3]float32{0, 0, 1.5}, [3]float32{1, 1, 5.5})
	for name, c := range map[string]struct {
		shape solids.Shape
		ways  []int
	}{
		"a block":                   {base, nil},
		"a spike":                   {solids.Together(base, post(2, 2)), nil},
		"a pin joined at both ends": {solids.Together(base, post(2, 2), deck, stout), nil},
		"a deck on one thin post":   {solids.Together(base, post(2, 2), deck), []int{1}},
		"a deck on four thin posts": {solids.Together(base, post(0, 0), post(0, 5), post(5, 0), post(5, 5), deck), []int{4}},
		"a knot in a pin":           {solids.Together(base, post(4, 4), deck, stout, solids.Box([3]float32{3.5, 3.5, 3}, [3]float32{4.9, 4.9, 4})), []int{2}},
		"a knot on a spike":         {solids.Together(base, post(4, 4), solids.Box([3]float32{3.5, 3.5, 3}, [3]float32{4.9, 4.9, 4})), []int{1}},
		"a knot on a spike on a table": {solids.Together(base, post(2, 2), deck, stout,
			solids.Box([3]float32{3, 3, 6}, [3]float32{3.4, 3.4, 7.2}), solids.Box([3]float32{2.5, 2.5, 7}, [3]float32{4, 4, 8})), []int{1}},
		"a leaf":                        {solids.Together(base, solids.Box([3]float32{2, 2, 1.5}, [3]float32{4, 2.3, 4})), nil},
		"nothing thick enough anywhere": {solids.Box([3]float32{0, 0, 0}, [3]float32{6, 6, 0.4}), nil},
	} {
		var ways []int
		for _, f := range necksOf(t, solids.Sliced(t, c.shape, 0.05, 0.05), 0.5, 0) {
			ways = append(ways, f.Ways)
			require.InDelta(t, 0.4, f.Value, 0.05+1e-6, name)
		}
		require.Equal(t, c.ways, ways, name)
	}
}

// In a chain each bit has its own neck, and the volume of all beyond it.
func TestAChainOfBits(t *testing.T) {
	cube := func(x float32) solids.Shape {
		return solids.Box([3]float32{x, -1, -1}, [3]float32{x + 2, 1, 1})
	}
	bar := func(x, h float32) solids.Shape {
		return solids.Box([3]float32{x, -h, -h}, [3]float32{x + 2, h, h})
	}
	s := solids.Together(solids.Box([3]float32{-4, -2, -2}, [3]float32{0, 2, 2}), bar(-0.5, 0.1), cube(1), bar(2.5, 0.2), cube(4))
	found := necksOf(t, solids.Sliced(t, s, 0.05, 0.05), 0.5, 0)
	require.Len(t, found, 2)
	require.InDelta(t, 16, found[0].Volume, 0.2)
	require.InDelta(t, 0.2, found[0].Value, 0.051)
	require.InDelta(t, 0.5, found[0].At[0], 0.06)
	require.InDelta(t, 5, found[0].Size[0], 0.5)
	require.InDelta(t, 8, found[1].Volume, 0.1)
	require.InDelta(t, 0.4, found[1].Value, 0.051)
	require.InDelta(t, 3.5, found[1].At[0], 0.06)
}

func TestALooseBit(t *testing.T) {
	s := solids.Together(solids.Box([3]float32{0, 0, 0}, [3]float32{4, 4, 2}), solids.Box([3]float32{5, 1, 0}, [3]float32{6, 2, 1}))
	found := necksOf(t, solids.Sliced(t, s, 0.05, 0.05), 0.5, 0)
	require.Len(t, found, 1)
	require.Zero(t, found[0].Value)
	require.Zero(t, found[0].Ways)
	require.InDelta(t, 1, found[0].Volume, 1e-6)
	require.InDeltaSlice(t, []float64{5.5, 1.5, 0.5}, found[0].At[:], 1e-6)
}

// One by one against Depths, and in between pixels against every pair.
func TestNearestAgainstEveryPair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := solids.Noise(t)
		reach := rapid.SampledFrom([]float64{0.06, 0.12, 0.3}).Draw(t, "reach")
		p := raster.NewProber(r, reach)
		for range 30 {
			at := [3]int{
				rapid.IntRange(-1, 2*r.Size[0]-1).Draw(t, "x"),
				rapid.IntRange(-1, 2*r.Size[1]-1).Draw(t, "y"),
				rapid.IntRange(-1, 2*r.Size[2]-1).Draw(t, "z"),
			}
			away := func(e [3]int) float64 {
				x, y := float64(2*e[0]-at[0])/2*r.Pixel, float64(2*e[1]-at[1])/2*r.Pixel
				z := float64(2*e[2]-at[2]) / 2 * r.Layer
				return x*x + y*y + z*z
			}
			want := math.Inf(1)
			for k := -1; k <= r.Size[2]; k++ {
				for j := -1; j <= r.Size[1]; j++ {
					for i := -1; i <= r.Size[0]; i++ {
						if !r.Solid(i, j, k) {
							want = min(want, away([3]int{i, j, k}))
						}
					}
				}
			}
			empty, got := p.Nearest(at)
			if math.Sqrt(want) > reach+1e-9 {
				require.Greater(t, got, reach*reach)
				continue
			}
			require.InDelta(t, want, got, 1e-12)
			require.InDelta(t, want, away(empty), 1e-12)
			require.False(t, r.Solid(empty[0], empty[1], empty[2]))
		}
	})
}

func TestSameNecksOnAnyNumberOfWorkers(t *testing.T) {
	s := dumbBell(0.3, 1)
	for x := range 3 {
		for y := range 3 {
			x, y := float32(x)*0.7-3, float32(y)*0.8-1.2
			s = solids.Together(s, solids.Box([3]float32{x, y, 1}, [3]float32{x + 0.2, y + 0.3, 2}),
				solids.Box([3]float32{x - 0.1, y - 0.1, 2}, [3]float32{x + 0.5, y + 0.6, 2.7}))
		}
	}
	r := solids.Sliced(t, s, 0.05, 0.05)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := necksOf(t, r, 0.5, 0)
	require.Greater(t, len(one), 5)
	runtime.GOMAXPROCS(3)
	require.Equal(t, one, necksOf(t, r, 0.5, 0))
}

func TestNecksRefuse(t *testing.T) {
	r := solids.Sliced(t, dumbBell(0.3, 1), 0.05, 0.05)
	for _, c := range [][2]float64{{0, 0}, {-1, 0}, {math.NaN(), 0}, {math.Inf(1), 0}, {1, -1}, {1, math.NaN()}} {
		_, err := Necks(context.Background(), r, nil, c[0], c[1])
		require.ErrorContains(t, err, "must be")
	}
	require.Empty(t, necksOf(t, r, 1e300, 0))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Necks(ctx, r, nil, 0.5, 0)
	require.ErrorIs(t, err, context.Canceled)
	for _, limit := range []int64{r.Bytes(), 2*r.Bytes() + 1<<15} {
		r.Limit = limit
		_, err = Necks(context.Background(), r, nil, 0.5, 0)
		require.ErrorAs(t, err, new(*raster.MemoryError))
	}
}
