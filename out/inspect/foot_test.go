package inspect

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/out/inspect/solids"
)

func footOf(t require.TestingT, s solids.Shape, chamfer float64) (FootFit, []Finding) {
	fit, found, err := Foot(context.Background(), solids.Indexed(t, s), chamfer)
	require.NoError(t, err)
	return fit, found
}

// rimmed is a base of 32 mm across with a chamfer of a height and an inset, and a
// rim that narrows by taper up to 4 mm.
func rimmed(height, inset, taper float64) solids.Shape {
	profile := [][2]float64{{0, 0}, {16 - inset, 0}}
	if height > 0 {
		profile = append(profile, [2]float64{16, height})
	}
	return lathed(r2.Vec{X: 1, Y: 2}, 200, append(profile, [2]float64{16 - taper, 4}, [2]float64{0, 4})...)
}

func TestAChamferOnBothSidesOfItsLimit(t *testing.T) {
	for _, c := range []struct {
		height, inset, taper, want float64
		found                      bool
	}{
		{0.4, 0.4, 1, 0.4, false},
		{0.4, 0.4, 0, 0.4, false},
		{0.4, 0.4, 1, 0.41, false},
		{0.385, 0.385, 1, 0.4, false},
		{0.37, 0.37, 1, 0.4, true},
		{0.37, 0.37, 0, 0.4, true},
		{0.2, 0.4, 1, 0.3, true},
		{0.3, 0.2, 1, 0.3, false},
		{0, 0, 1, 0.2, true},
		{0, 0, 0, 0.2, true},
		{0, 0, 1, 0, false},
	} {
		fit, found := footOf(t, rimmed(c.height, c.inset, c.taper), c.want)
		require.InDelta(t, c.height, fit.Chamfer, 0.012, "%v", c)
		require.InDelta(t, c.inset, fit.Inset, 0.02, "%v", c)
		require.Greater(t, fit.Places, 95)
		require.Zero(t, fit.Left)
		require.InEpsilon(t, math.Pi*(16-c.inset)*(16-c.inset), fit.Standing, 1e-3)
		require.Equal(t, c.found, len(found) == 1, "%v", c)
		for _, f := range found {
			require.Equal(t, FootEdge, f.Kind)
			require.InDelta(t, fit.Chamfer, f.Value, 0)
			require.InDelta(t, 16, math.Hypot(f.At[0]-1, f.At[1]-2), 0.01, "on the outline")
		}
	}
}

// Square corners, and a vent through the edge, are no chamfer that is missing.
func TestAChamferBetweenCornersAndVents(t *testing.T) {
	const c = 0.4
	chamfered := func(vent bool) solids.Shape {
		xs := []float64{-15, -15 + c, -1.5, 1.5, 15 - c, 15}
		zs := []float64{0, c, 2.5, 4}
		return ofCells(xs, xs, zs, func(i, j, k int) bool {
			if vent && i == 2 && j < 2 && k < 2 {
				return false
			}
			return k > 0 || i > 0 && i < 4 && j > 0 && j < 4 // a step for a chamfer
		})
	}
	for _, vent := range []bool{false, true} {
		fit, found := footOf(t, chamfered(vent), 0.35)
		require.Empty(t, found)
		require.InDelta(t, 0.4, fit.Chamfer, 0.025) // a step has no slope to go on with
		require.Equal(t, vent, fit.Left > 0)
		require.Less(t, fit.Left, 5)
		require.Greater(t, fit.Places, 105)
	}
	_, found := footOf(t, chamfered(true), 0.5)
	require.Len(t, found, 1)
}

// One side without a chamfer is found among those that have one.
func TestTheWorstPlaceOfTheEdge(t *testing.T) {
	xs := []float64{-15, -14.6, 15}
	s := ofCells(xs, []float64{-15, -14.6, 14.6, 15}, []float64{0, 0.4, 4}, func(i, j, k int) bool {
		return k > 0 || i > 0 && j == 1
	})
	fit, found := footOf(t, s, 0.3)
	require.Zero(t, fit.Chamfer)
	require.Len(t, found, 1)
	require.InDelta(t, 15, found[0].At[0], 1e-6)
}

func TestAnUnevenFoot(t *testing.T) {
	// Nine squares of 10 mm, the middle one raised.
	raised := func(by float64) solids.Shape {
		xs := []float64{-15, -5, 5, 15}
		return ofCells(xs, xs, []float64{0, by, 4}, func(i, j, k int) bool { return k > 0 || i != 1 || j != 1 })
	}
	sunk := func(by float64) solids.Shape {
		s := solids.Box([3]float32{-15, -15, 0}, [3]float32{15, 15, 4})
		for i := range s.Vertices {
			s.Vertices[i][2] += float32(by)
		}
		return s
	}
	domed := lathed(r2.Vec{}, 90, [2]float64{0, 0.1}, [2]float64{5, 0.05}, [2]float64{10, 0}, [2]float64{16, 0}, [2]float64{16, 4}, [2]float64{0, 4})
	for name, c := range map[string]struct {
		solid    solids.Shape
		off      float64
		standing float64
	}{
		"flat":                 {sunk(0), 0, 900},
		"as good as flat":      {raised(0.019), 0.019, 800},
		"raised":               {raised(0.021), 0.021, 800},
		"more":                 {raised(0.19), 0.19, 800},
		"a hollow":             {raised(0.21), 0, 800},
		"domed":                {domed, 0.1, math.Pi * (16*16 - 10*10)},
		"above the plate":      {sunk(0.3), 0.3, 0},
		"through the plate":    {sunk(-0.05), 0.05, 0},
		"well through it":      {sunk(-1), 1, 0},
		"a chamfer is no foot": {rimmed(0.15, 0.15, 0), 0, math.Pi * 15.85 * 15.85},
	} {
		t.Run(name, func(t *testing.T) {
			fit, found := footOf(t, c.solid, 0)
			require.InDelta(t, c.off, fit.Off, 1e-6)
			require.InDelta(t, c.standing, fit.Standing, 1e-3*c.standing)
			if c.standing >= 800 && !strings.Contains(name, "chamfer") {
				require.InDelta(t, c.standing/900, fit.Share, 1e-6)
			}
			require.Equal(t, c.off > meshPlay, len(found) == 1)
			for _, f := range found {
				require.Equal(t, UnevenFoot, f.Kind)
				require.InDelta(t, c.off, f.Value, 1e-6)
			}
		})
	}
	_, _, err := Foot(context.Background(), solids.Indexed(t, sunk(0)), math.NaN())
	require.Error(t, err)
}

func TestAnyChamfer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		height := rapid.Float64Range(0.1, 0.6).Draw(t, "height")
		inset := rapid.Float64Range(0.1, min(0.6, 2*height)).Draw(t, "inset") // flatter, it is an uneven foot
		want := rapid.Float64Range(0, 0.8).Draw(t, "want")
		fit, found := footOf(t, rimmed(height, inset, rapid.Float64Range(0, 2).Draw(t, "taper")), want)
		require.InDelta(t, height, fit.Chamfer, 0.02)
		require.InDelta(t, inset, fit.Inset, 0.03)
		if off := height - (want - meshPlay); math.Abs(off) > 0.02 {
			require.Equal(t, off < 0, len(found) == 1)
		}
	})
}
