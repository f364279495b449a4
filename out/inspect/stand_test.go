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

func padsOf(t require.TestingT, s solids.Shape, p ...Pad) ([]PadFit, []Finding) {
	fits, found, err := Pads(context.Background(), solids.Indexed(t, s), p)
	require.NoError(t, err)
	require.Len(t, fits, len(p))
	return fits, found
}

// leaning is a block of 40 x 40 mm whose top rises by slope from 4 mm in the middle.
func leaning(slope float64) solids.Shape {
	s := solids.Box([3]float32{-20, -20, 0}, [3]float32{20, 20, 4})
	for i, v := range s.Vertices {
		if v[2] == 4 {
			s.Vertices[i][2] += float32(slope * float64(v[0]))
		}
	}
	return s
}

func TestAStandOnBothSidesOfItsLimits(t *testing.T) {
	flat := solids.Box([3]float32{-20, -20, 0}, [3]float32{20, 20, 4})
	bump := func(up float64) solids.Shape { // in the middle third of the pad
		return ofCells([]float64{-20, -1.9, 1.9, 20}, []float64{-20, -1.9, 1.9, 20}, []float64{0, 4, 4 + up}, func(i, j, k int) bool {
			return k == 0 || i == 1 && j == 1
		})
	}
	pit := func(down float64) solids.Shape {
		return ofCells([]float64{-20, -1.9, 1.9, 20}, []float64{-20, -1.9, 1.9, 20}, []float64{0, 4 - down, 4}, func(i, j, k int) bool {
			return k == 0 || i != 1 || j != 1
		})
	}
	beam := func(z float64) solids.Shape { // a bar over the pad, on the ground beside it
		return ofCells([]float64{-20, -10, -9, 20}, []float64{-20, -0.5, 0.5, 20}, []float64{0, 4, z, z + 1}, func(i, j, k int) bool {
			return k == 0 || j == 1 && (k == 2 && i > 0 || k == 1 && i == 1)
		})
	}
	for name, c := range map[string]struct {
		solid   solids.Shape
		kind    Kind
		measure Measure
		value   float64
	}{
		"as it should be":        {flat, -1, "", 0},
		"a little bump":          {bump(0.045), -1, "", 0},
		"a bump":                 {bump(0.055), UnevenStand, OfFlatness, 0.055},
		"a little pit":           {pit(0.045), -1, "", 0},
		"a pit":                  {pit(0.055), UnevenStand, OfFlatness, 0.055},
		"a deep pit":             {pit(2), UnevenStand, OfFlatness, 2},
		"leaning a little":       {leaning(0.049 / 12), -1, "", 0},
		"leaning":                {leaning(0.051 / 12), UnevenStand, OfTilt, 0.051},
		"a little too high":      {solids.Box([3]float32{-20, -20, 0}, [3]float32{20, 20, 4.049}), -1, "", 0},
		"too high":               {solids.Box([3]float32{-20, -20, 0}, [3]float32{20, 20, 4.051}), UnevenStand, OfHeight, 0.051},
		"too low":                {solids.Box([3]float32{-20, -20, 0}, [3]float32{20, 20, 3.949}), UnevenStand, OfHeight, 0.051},
		"just clear":             {beam(4 + 30), -1, "", 0},
		"blocked at its end":     {beam(4 + 29.9), BlockedStand, "", 29.9},
		"blocked":                {beam(7), BlockedStand, "", 3},
		"something stands on it": {bump(1), BlockedStand, "", 0},
	} {
		t.Run(name, func(t *testing.T) {
			fits, found := padsOf(t, c.solid, Pad{Round: 12, Top: 4, Clear: 30})
			if c.kind < 0 {
				require.Empty(t, found)
				require.InDelta(t, 30, fits[0].Clear, 0)
				return
			}
			var of []Finding
			for _, f := range found {
				if f.Kind == c.kind && f.Measure == c.measure {
					of = append(of, f)
				}
			}
			require.Len(t, of, 1, "%v", found)
			require.InDelta(t, c.value, of[0].Value, 1e-5)
			require.Positive(t, of[0].Limit)
		})
	}
}

// A wire thinner than lines are apart is seen all the same, and the pad's number
// is told.
func TestAWireOverAStand(t *testing.T) {
	wire := func(y float64) solids.Shape {
		return ofCells([]float64{-20, -10, -9, 20}, []float64{-20, y, y + 0.02, 20}, []float64{0, 4, 9, 9.02}, func(i, j, k int) bool {
			return k == 0 || j == 1 && (k == 2 && i > 0 || k == 1 && i == 1)
		})
	}
	fits, found := padsOf(t, wire(0.09), Pad{At: r2.Vec{X: -16, Y: -16}, Round: 4, Top: 4, Clear: 30}, Pad{Round: 12, Top: 4, Clear: 30})
	require.Len(t, found, 1)
	require.Equal(t, BlockedStand, found[0].Kind)
	require.Equal(t, 1, found[0].Which)
	require.InDelta(t, 5, found[0].Value, 1e-5)
	require.InDelta(t, 30, fits[0].Clear, 0)
	_, found = padsOf(t, wire(6.01), Pad{Round: 12, Top: 4, Clear: 30})
	require.Empty(t, found, "beside the pad")
}

func TestAPadOverTheEdge(t *testing.T) {
	s := solids.Box([3]float32{-20, -20, 0}, [3]float32{4, 20, 4})
	fits, found := padsOf(t, s, Pad{Round: 12, Top: 4, Clear: 30})
	require.NotEmpty(t, found)
	require.Greater(t, fits[0].Flatness, 2.0)
}

func TestTheTiltOfAnyPlane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slope := rapid.Float64Range(-0.02, 0.02).Draw(t, "slope")
		x, y := rapid.Float64Range(-10, 10).Draw(t, "x"), rapid.Float64Range(-10, 10).Draw(t, "y")
		round := rapid.Float64Range(4, 20).Draw(t, "round")
		top := 4 + slope*x
		fits, found := padsOf(t, leaning(slope), Pad{At: r2.Vec{X: x, Y: y}, Round: round, Top: top, Clear: 10})
		require.InDelta(t, math.Abs(slope)*round, fits[0].Tilt, 1e-5)
		require.InDelta(t, 0, fits[0].Flatness, 1e-5)
		require.InDelta(t, top, fits[0].Height, 1e-5)
		if tilt := math.Abs(slope) * round; math.Abs(tilt-padPlay) > 1e-5 {
			require.Equal(t, tilt > padPlay, len(found) == 1)
		}
	})
}

// plot is a base of 40 x 40 mm all of small posts, up high, with one flat square
// on it, flat down to a step of so much.
func plot(side, relief, up float64) solids.Shape {
	xs := planesAt(-20, 20, 1)
	flat := func(i int) bool { return xs[i] >= 4-side && xs[i+1] <= 4 }
	return ofCells(xs, xs, []float64{0, 4, 4 + relief, 4 + up}, func(i, j, k int) bool {
		if flat(i) && flat(j) {
			return k == 0 || k == 1 && i == 20
		}
		return k == 0 || (i+j)%2 == 0
	})
}

func TestTheFlattestPlaceOnBothSidesOfItsLimit(t *testing.T) {
	for _, c := range []struct{ side, relief, up, want float64 }{
		{14, 0.49, 2, 0.49},
		{14, 0.51, 2, 0.51},
		{10, 0.3, 2, 2}, // no room for a foot of 12 between the posts
		{10, 0.3, 0.4, 0.4},
	} {
		fit, found, ok, err := Flattest(context.Background(), solids.Indexed(t, plot(c.side, c.relief, c.up)), 12, 0.5)
		require.NoError(t, err)
		require.True(t, ok)
		require.InDelta(t, c.want, fit.Relief, 1e-5)
		require.Equal(t, c.want > 0.5, len(found) == 1)
		for _, f := range found {
			require.Equal(t, RoughStand, f.Kind)
			require.InDelta(t, c.want, f.Value, 1e-5)
		}
		if c.side == 14 { // -10 .. 4
			require.InDelta(t, -3, fit.At.X, 1.16)
			require.InDelta(t, -3, fit.At.Y, 1.16)
		}
	}
}

func TestAFootThatFitsNowhere(t *testing.T) {
	x := solids.Indexed(t, solids.Box([3]float32{0, 0, 0}, [3]float32{20, 20, 4}))
	for _, c := range []struct {
		foot float64
		ok   bool
	}{{19.5, true}, {20.5, false}, {400, false}} {
		fit, found, ok, err := Flattest(context.Background(), x, c.foot, 0.5)
		require.NoError(t, err)
		require.Equal(t, c.ok, ok)
		require.Empty(t, found)
		require.Zero(t, fit.Relief)
	}
	_, _, _, err := Flattest(context.Background(), x, math.NaN(), 0.5)
	require.Error(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, _, err = Flattest(ctx, x, 5, 0.5)
	require.ErrorIs(t, err, context.Canceled)
}

// The sparse table against looking at every sample.
func TestTheMostOfAStretch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := rapid.SliceOfN(rapid.Float64Range(-5, 5), 1, 60).Draw(t, "row")
		longest := rapid.IntRange(1, len(row)).Draw(t, "longest")
		r := newRangeMost(row, longest)
		from := rapid.IntRange(0, len(row)-1).Draw(t, "from")
		to := rapid.IntRange(from+1, min(len(row), from+longest)).Draw(t, "to")
		want := math.Inf(-1)
		for _, v := range row[from:to] {
			want = max(want, v)
		}
		require.InDelta(t, want, r.most(from, to), 0)
	})
}

// Of a stand with joints what bears is judged: grooves no deeper than they may be are no
// fault, whatever share of it they take, and anything else is as on a smooth one.
func TestAStandWithJoints(t *testing.T) {
	grooved := func(top, deep, slope float64) solids.Shape { // two thirds of it are left
		var xs []float64
		for x := -20.0; x < 20; x += 3 {
			xs = append(xs, x, x+2)
		}
		s := ofCells(xs, []float64{-20, 20}, []float64{0, top - deep, top}, func(i, _, k int) bool { return k == 0 || i%2 == 0 })
		for i, v := range s.Vertices {
			if v[2] > 0 {
				s.Vertices[i][2] += float32(slope * float64(v[0]))
			}
		}
		return s
	}
	for name, c := range map[string]struct {
		solid   solids.Shape
		measure Measure
		value   float64
	}{
		"shallow joints":     {grooved(4, 0.19, 0), "", 0},
		"a little too deep":  {grooved(4, 0.249, 0), "", 0},
		"too deep":           {grooved(4, 0.26, 0), OfFlatness, 0.06},
		"leaning":            {grooved(4, 0.15, 0.06/12), OfTilt, 0.06},
		"too high":           {grooved(4.06, 0.15, 0), OfHeight, 0.06},
		"too low":            {grooved(3.94, 0.15, 0), OfHeight, 0.06},
		"as low as a joint":  {solids.Box([3]float32{-20, -20, 0}, [3]float32{20, 20, 3.85}), OfHeight, 0.15},
		"one stone too high": {upon(40, 0.5, func(x, y float64) float64 { return 4 + 0.07*math.Max(0, 1-math.Hypot(x-1, y)/3) }), OfFlatness, 0.066},
	} {
		t.Run(name, func(t *testing.T) {
			_, found := padsOf(t, c.solid, Pad{Round: 12, Top: 4, Clear: 30, Joint: 0.2})
			if c.measure == "" {
				require.Empty(t, found)
				return
			}
			require.Len(t, found, 1)
			require.Equal(t, c.measure, found[0].Measure)
			require.InDelta(t, c.value, found[0].Value, 0.004)
		})
	}
	_, found := padsOf(t, grooved(4, 0.19, 0), Pad{Round: 12, Top: 4, Clear: 30})
	require.NotEmpty(t, found, "a smooth one has no joints")
}
