package inspect

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/out/inspect/solids"
)

func onPlate(t require.TestingT, s solids.Shape, plate [2]float64, tallest float64) (PlateFit, []Finding) {
	fit, found, err := OnPlate(s.Vertices, s.Triangles, PlateLimits{Plate: plate, Tallest: tallest})
	require.NoError(t, err)
	return fit, found
}

func TestASolidOnItsPlate(t *testing.T) {
	slab := solids.Box([3]float32{-50, -30, 0}, [3]float32{50, 30, 20})
	for _, c := range []struct {
		plate   [2]float64
		tallest float64
		turn    float64
		over    float64
		high    float64
	}{
		{[2]float64{100, 60}, 20, 0, 0, 0},
		{[2]float64{60, 100}, 20, 90, 0, 0},
		{[2]float64{100, 60}, 19.9, 0, 0, 0.1},
		{[2]float64{100, 59.9}, 20, 0, 0.1, 0},
		{[2]float64{90, 60}, 0, 0, 10, 0},
		{[2]float64{}, 0, 0, 0, 0}, // not known
	} {
		fit, found := onPlate(t, slab, c.plate, c.tallest)
		require.InDeltaSlice(t, []float64{100, 60, 20}, fit.Size[:], 1e-9)
		if c.over < 1 {
			require.InDelta(t, c.over, fit.Over, 1e-6, "%v", c)
		}
		want := 0
		if c.over > 0 {
			want++
			require.Equal(t, OfPlan, found[0].Measure)
			require.InDelta(t, fit.Over, found[0].Value, 0)
		} else {
			require.InDelta(t, c.turn, fit.Turn, 1e-9)
		}
		if c.high > 0 {
			want++
			require.Equal(t, OfHeight, found[want-1].Measure)
			require.InDelta(t, c.high, found[want-1].Value, 1e-6)
		}
		require.Len(t, found, want, "%v", c)
	}
}

// A bar of 120 x 5 mm fits on a square of 100 by its diagonal alone: at 45
// degrees it takes 125 / sqrt 2 = 88.39 mm each way.
func TestAcrossThePlate(t *testing.T) {
	bar := solids.Box([3]float32{-60, -2.5, 0}, [3]float32{60, 2.5, 4})
	fit, found := onPlate(t, bar, [2]float64{100, 100}, 0)
	require.Empty(t, found)
	require.Zero(t, fit.Over)
	_, found = onPlate(t, bar, [2]float64{88.39, 88.39}, 0)
	require.Empty(t, found)
	fit, found = onPlate(t, bar, [2]float64{88.38, 88.38}, 0)
	require.Len(t, found, 1)
	require.InDelta(t, 125/math.Sqrt2-88.38, found[0].Value, 1e-5)
	require.InDelta(t, 0, math.Remainder(fit.Turn-45, 90), 1e-3)
}

// Turned so, the solid is as much over as is said, and at no turn tried at
// random is it less.
func TestNoBetterTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var points []r2.Vec
		for range rapid.IntRange(3, 12).Draw(t, "points") {
			points = append(points, r2.Vec{X: rapid.Float64Range(-60, 60).Draw(t, "x"), Y: rapid.Float64Range(-60, 60).Draw(t, "y")})
		}
		plate := [2]float64{rapid.Float64Range(10, 120).Draw(t, "width"), rapid.Float64Range(10, 120).Draw(t, "depth")}
		turn, over := bestTurn(hull(points), plate)
		overAt := func(turn float64) float64 {
			lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
			sin, cos := math.Sincos(turn * math.Pi / 180)
			for _, p := range points {
				for c, v := range [2]float64{p.X*cos - p.Y*sin, p.X*sin + p.Y*cos} {
					lo[c], hi[c] = min(lo[c], v), max(hi[c], v)
				}
			}
			return max(hi[0]-lo[0]-plate[0], hi[1]-lo[1]-plate[1], 0)
		}
		require.InDelta(t, overAt(turn), over, 2e-6)
		for range 20 {
			require.GreaterOrEqual(t, overAt(rapid.Float64Range(0, 180).Draw(t, "turn")), over-1e-4)
		}
	})
}

// The hull holds all points, turns left at each of its own, and they are among
// those given.
func TestTheHullOfPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var points []r2.Vec
		for range rapid.IntRange(0, 300).Draw(t, "points") {
			points = append(points, r2.Vec{X: float64(rapid.IntRange(-9, 9).Draw(t, "x")), Y: float64(rapid.IntRange(-9, 9).Draw(t, "y"))})
		}
		h := hull(points)
		require.Equal(t, h, hull(outermost(append([]r2.Vec(nil), points...))))
		for i, a := range h {
			require.Contains(t, points, a)
			if len(h) < 3 {
				continue
			}
			b, c := h[(i+1)%len(h)], h[(i+2)%len(h)]
			require.Positive(t, r2.Cross(r2.Sub(b, a), r2.Sub(c, b)))
			for _, p := range points {
				require.GreaterOrEqual(t, r2.Cross(r2.Sub(b, a), r2.Sub(p, a)), 0.0)
			}
		}
	})
}

// A slab of 100 x 60 x 20 mm that leans by 30 degrees over its long side is 60 cos 30 +
// 20 sin 30 = 61.96 deep and 60 sin 30 + 20 cos 30 = 47.32 tall; over its short side,
// 96.60 and 67.32.
func TestASolidThatLeans(t *testing.T) {
	slab := solids.Box([3]float32{-50, -30, 0}, [3]float32{50, 30, 20})
	for _, c := range []struct {
		plate      [2]float64
		tallest    float64
		over, high bool
	}{
		{[2]float64{100.01, 61.97}, 47.33, false, false},
		{[2]float64{61.97, 100.01}, 47.33, false, false},
		{[2]float64{100.01, 61.97}, 47.31, false, true},
		{[2]float64{96.61, 60.01}, 67.33, false, false}, // over the other side
		{[2]float64{96.61, 60.01}, 67.31, false, true},
		{[2]float64{96.5, 60.01}, 100, true, false},
		{[2]float64{}, 47.33, false, false},
	} {
		fit, found, err := OnPlate(slab.Vertices, slab.Triangles, PlateLimits{Plate: c.plate, Tallest: c.tallest, Lean: 30})
		require.NoError(t, err)
		require.Equal(t, c.over, fit.Over > 0, "%v: %+v", c, fit)
		require.Equal(t, c.high, fit.High > 0, "%v: %+v", c, fit)
		require.Equal(t, c.over || c.high, len(found) > 0)
		if !c.over && !c.high {
			require.InDelta(t, 30, fit.Lean, 0)
		}
	}
}
