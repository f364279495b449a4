package inspect

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/out/inspect/solids"
)

// square is an outline about the origin.
func square(side float64) []r2.Vec {
	h := side / 2
	return []r2.Vec{{X: -h, Y: -h}, {X: h, Y: -h}, {X: h, Y: h}, {X: -h, Y: h}}
}

// upon is a square block about the origin whose top is as high as told, on a lattice of
// so many mm that none of its lines is one of the heights measured.
func upon(side, step float64, height func(x, y float64) float64) solids.Shape {
	n := int(math.Round(side / step))
	s := solids.Rough(side, 1, n)
	s.Vertices, s.Triangles = s.Vertices[:2*(n+1)*(n+1)], s.Triangles[:4*n*n+8*n] // without the gallery
	for i, v := range s.Vertices {
		x, y := float64(v[0])-side/2, float64(v[1])-side/2
		z := 0.0
		if v[2] != 0 {
			z = height(x, y)
		}
		s.Vertices[i] = [3]float32{float32(x), float32(y), float32(z)}
	}
	return s
}

func bareOf(t require.TestingT, s solids.Shape, top Top) (Bareness, []Finding) {
	b, found, err := Bare(context.Background(), solids.Indexed(t, s), top)
	require.NoError(t, err)
	return b, found
}

// Windows of 2 mm, one a mm, lie in a square of 20 mm 1.5 mm from its edge: their
// middles go from -7 to 7 mm.
const windowsIn20 = 15 * 15

func TestBareOfPlanes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slope := r2.Vec{X: rapid.Float64Range(-2, 2).Draw(t, "x"), Y: rapid.Float64Range(-2, 2).Draw(t, "y")}
		s := upon(20, 20, func(x, y float64) float64 { return 60 + slope.X*x + slope.Y*y })
		b, found := bareOf(t, s, Top{Outline: square(20), Most: 0.1})
		require.Equal(t, Bareness{Share: 1, Windows: windowsIn20}, b)
		require.Len(t, found, 1)
		require.Equal(t, BareTop, found[0].Kind)
		require.InDeltaSlice(t, []float64{0, 0, 60}, found[0].At[:], 1e-3)
		require.Equal(t, [3]float64{16, 16, 0}, found[0].Size)
	})
}

// A sine of whole waves in a window has a root mean square of its amplitude over the
// root of 2, and no slope of its own where it is even about the window's middle: here
// all crests and troughs fall alike on every window, since its wave is 1 mm.
func TestBareOfSinesOnBothSidesOfTheLimit(t *testing.T) {
	for _, c := range []struct {
		rough float64
		share float64
	}{{0.019, 1}, {0.021, 0}} {
		s := upon(8, 0.05, func(x, _ float64) float64 { return 5 + c.rough*math.Sqrt2*math.Cos(2*math.Pi*x) })
		b, found := bareOf(t, s, Top{Outline: square(8), Most: 0.1})
		require.Equal(t, Bareness{c.share, 3 * 3}, b, "%v", c.rough)
		require.Len(t, found, int(c.share))
	}
}

// A ball's cap z = -r^2 / 2R has in a window of side a, about its best plane, a root
// mean square of a^2 / (2R sqrt(90)): each of the squares of x and y has the variance
// a^4 / 180, and they are independent.
func TestBareOfABallOnBothSidesOfTheLimit(t *testing.T) {
	limit := 4 / (2 * 0.02 * math.Sqrt(90)) // radius of the ball at the limit, mm
	for _, c := range []struct{ times, share float64 }{{1.05, 1}, {0.95, 0}} {
		s := upon(20, 0.1, func(x, y float64) float64 { return 20 - (x*x+y*y)/(2*limit*c.times) })
		b, _ := bareOf(t, s, Top{Outline: square(20), Most: 1})
		require.Equal(t, c.share, b.Share, "%v", c.times)
	}
}

// Of a top whose western part is flat and whose eastern one is waves, the windows that
// lie on the flat part are bare, and those that take in half a wave or more are not.
func TestBareOfHalves(t *testing.T) {
	for _, edge := range []float64{-3, 0, 4} {
		s := upon(20, 0.25, func(x, _ float64) float64 {
			if x <= edge {
				return 5
			}
			return 5 + 0.3*math.Sin(math.Pi*(x-edge))
		})
		b, found := bareOf(t, s, Top{Outline: square(20), Most: 0})
		require.InDelta(t, (edge-1+7+1)/15, b.Share, 1e-9) // middles from -7 to edge - 1
		require.Len(t, found, 1)
		require.InDelta(t, (-8+edge)/2, found[0].At[0], 0.51)
		require.InDelta(t, 0, found[0].At[1], 0.51)
		require.Equal(t, [3]float64{edge + 8, 16, 0}, found[0].Size)
	}
}

// What is meant to be smooth, the taper and the rim are left out, and of two flat
// patches the larger is told.
func TestBareLeavesOut(t *testing.T) {
	flat := upon(30, 30, func(_, _ float64) float64 { return 4 })
	b, _ := bareOf(t, flat, Top{Outline: square(30), Taper: 1, Most: 1})
	require.Equal(t, 23*23, b.Windows)

	disc := Disc{At: r2.Vec{X: 3, Y: -2}, Round: 9}
	c, found := bareOf(t, flat, Top{Outline: square(30), Taper: 1, Smooth: []Disc{disc}, Most: 0.1})
	left := 0
	for y := -11; y <= 11; y++ {
		for x := -11; x <= 11; x++ {
			dx, dy := max(0, math.Abs(float64(x)-3)-1), max(0, math.Abs(float64(y)+2)-1)
			if math.Hypot(dx, dy) >= 4.5 {
				left++
			}
		}
	}
	require.Less(t, left, b.Windows)
	require.Equal(t, Bareness{Share: 1, Windows: left}, c)
	require.Len(t, found, 1)

	small, _ := bareOf(t, flat, Top{Outline: square(4.9), Most: 0.1})
	require.Zero(t, small, "no window has room")

	strips := upon(30, 0.5, func(x, _ float64) float64 {
		if x > -6 && x < -3 {
			return 5
		}
		return 4
	})
	_, found = bareOf(t, strips, Top{Outline: square(30), Most: 0.1})
	require.Len(t, found, 1)
	require.InDelta(t, 5, found[0].At[0], 1, "the middle of the wider strip, from -3 to 13.5")
	require.InDelta(t, 4, found[0].At[2], 1e-6)
}

// What lies over the top is what is seen, and where there is nothing it is the plate.
func TestBareSeesFromAbove(t *testing.T) {
	block := solids.Box([3]float32{-10, -10, 0}, [3]float32{10, 10, 4})
	bars := block
	for x := float32(-9.5); x < 9; x++ {
		bars = solids.Together(bars, solids.Box([3]float32{x, -10, 7}, [3]float32{x + 0.5, 10, 8}))
	}
	b, _ := bareOf(t, bars, Top{Outline: square(20), Most: 1})
	require.Zero(t, b.Share)
	b, _ = bareOf(t, solids.Together(bars, solids.Box([3]float32{-10, -10, 9}, [3]float32{10, 10, 10})), Top{Outline: square(20), Most: 1})
	require.EqualValues(t, 1, b.Share)
	b, found := bareOf(t, solids.Box([3]float32{50, 50, 0}, [3]float32{60, 60, 4}), Top{Outline: square(20), Most: 0.1})
	require.EqualValues(t, 1, b.Share)
	require.Zero(t, found[0].At[2])
}

func TestBareRefusesWhatIsNoOutline(t *testing.T) {
	x := solids.Indexed(t, solids.Box([3]float32{-10, -10, 0}, [3]float32{10, 10, 4}))
	for _, outline := range [][]r2.Vec{square(math.NaN()), square(math.Inf(1)), square(3000)} {
		_, _, err := Bare(context.Background(), x, Top{Outline: outline})
		require.Error(t, err)
	}
	b, found, err := Bare(context.Background(), x, Top{})
	require.NoError(t, err)
	require.Zero(t, b)
	require.Empty(t, found)
}

func BenchmarkBare(b *testing.B) {
	x := solids.Indexed(b, upon(120, 0.15, func(x, y float64) float64 { return 5 + 0.2*math.Sin(3*x)*math.Cos(2*y) }))
	b.ResetTimer()
	for range b.N {
		if _, _, err := Bare(context.Background(), x, Top{Outline: square(120), Most: 0.1}); err != nil {
			b.Fatal(err)
		}
	}
}
