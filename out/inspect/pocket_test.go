package inspect

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

func pocketsOf(t require.TestingT, s shape, p ...Pocket) ([]PocketFit, []Finding) {
	fits, found, err := indexOf(t, s).Pockets(context.Background(), p)
	require.NoError(t, err)
	require.Len(t, fits, len(p))
	return fits, found
}

// magnet5x2 wants 5.1 x 2.1 mm and 0.8 mm over it.
var magnet5x2 = Pocket{Magnet: [2]float64{5, 2}, Clearance: [2]float64{0.1, 0.1}, Skin: 0.8}

func TestAPocketOnBothSidesOfItsLimits(t *testing.T) {
	for _, c := range []struct {
		diameter, depth, height float64
		kind                    Kind
		measure                 Measure
		value                   float64
	}{
		{5.15, 2.15, 4, -1, "", 0},
		{5.083, 2.083, 2.866, -1, "", 0},
		{5.077, 2.15, 4, TightPocket, OfDiameter, 0.023},
		{4.9, 2.15, 4, TightPocket, OfDiameter, 0.2},
		{5.15, 2.079, 4, TightPocket, OfDepth, 0.021},
		{5.15, 1.6, 4, TightPocket, OfDepth, 0.5},
		{5.51, 2.51, 4, -1, "", 0},
		{5.53, 2.15, 4, TightPocket, OfDiameter, -0.01},
		{5.15, 2.53, 4, TightPocket, OfDepth, -0.01},
		{5.15, 2.15, 2.935, -1, "", 0},
		{5.15, 2.15, 2.925, ThinSkin, "", 0.775},
	} {
		fits, found := pocketsOf(t, pocketed(c.diameter, c.depth, c.height), magnet5x2)
		require.InDelta(t, c.diameter, fits[0].Diameter, 0.002, "%v", c)
		require.InDelta(t, c.depth, fits[0].Depth, 1e-5, "%v", c)
		require.InDelta(t, min(c.height-c.depth, 1.8), fits[0].Skin, 1e-5, "%v", c)
		if c.kind < 0 {
			require.Empty(t, found, "%v", c)
			continue
		}
		require.Len(t, found, 1, "%v", c)
		require.Equal(t, c.kind, found[0].Kind, "%v", c)
		require.Equal(t, c.measure, found[0].Measure)
		require.InDelta(t, c.value, found[0].Value, 0.002, "%v", c)
		require.Positive(t, found[0].Limit)
	}
}

func TestAPocketThatIsNotThere(t *testing.T) {
	solid := box([3]float32{-10, -10, 0}, [3]float32{10, 10, 4})
	fits, found := pocketsOf(t, solid, magnet5x2)
	require.Zero(t, fits[0].Diameter)
	require.Zero(t, fits[0].Depth)
	require.Len(t, found, 2)
	require.InDelta(t, 2.1, found[1].Value, 1e-9)

	// Right through: no skin at all.
	through := lathed(r2.Vec{}, 90, [2]float64{2.6, 4}, [2]float64{2.6, 0}, [2]float64{16, 0}, [2]float64{16, 4}, [2]float64{2.6, 4})
	_, found = pocketsOf(t, through, magnet5x2)
	require.Len(t, found, 2)
	require.Equal(t, OfDepth, found[0].Measure)
	require.Equal(t, ThinSkin, found[1].Kind)
	require.Zero(t, found[1].Value)
}

// The narrowest place on the way in tells, and so does one at the far end.
func TestAPocketThatNarrows(t *testing.T) {
	for _, profile := range [][][2]float64{
		{{0, 2.2}, {2.6, 2.2}, {2.6, 0.1}, {2.5, 0}},                       // a lip at its mouth
		{{0, 2.2}, {2.5, 2.2}, {2.6, 0}},                                   // a draught
		{{0, 2.2}, {2.6, 2.2}, {2.6, 1.2}, {2.5, 1.1}, {2.6, 1}, {2.6, 0}}, // a ridge
	} {
		profile = append(profile, [2]float64{16, 0}, [2]float64{16, 5}, [2]float64{0, 5})
		fits, found := pocketsOf(t, lathed(r2.Vec{}, 360, profile...), magnet5x2)
		require.InDelta(t, 5, fits[0].Diameter, 0.03)
		require.Len(t, found, 1)
		require.Equal(t, OfDiameter, found[0].Measure)
	}
}

// A pocket may lie a little aside of where it was meant to be; one of eight
// sides takes no more than the circle in it.
func TestTheWidestMagnetThatFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom([]int{8, 12, 64, 200}).Draw(t, "sides")
		radius := rapid.Float64Range(1, 3).Draw(t, "radius")
		away, bearing := rapid.Float64Range(0, radius/4).Draw(t, "away"), rapid.Float64Range(0, 2*math.Pi).Draw(t, "bearing")
		at := r2.Vec{X: rapid.Float64Range(-40, 40).Draw(t, "x"), Y: rapid.Float64Range(-40, 40).Draw(t, "y")}
		s := lathed(at, n, [2]float64{0, 2.2}, [2]float64{radius, 2.2}, [2]float64{radius, 0},
			[2]float64{radius + 2, 0}, [2]float64{radius + 2, 4}, [2]float64{0, 4})
		p := Pocket{At: r2.Add(at, r2.Vec{X: away * math.Cos(bearing), Y: away * math.Sin(bearing)}),
			Magnet: [2]float64{2*radius - 0.1, 2}, Skin: 1}
		fits, found := pocketsOf(t, s, p)
		require.InDelta(t, 2*radius, fits[0].Diameter, 0.002)
		require.InDelta(t, 2.2, fits[0].Depth, 1e-5)
		require.Empty(t, found)
	})
}

// A pit beside the pocket comes nearer to it at a slant than straight up.
func TestTheSkinTowardsAPitAside(t *testing.T) {
	pit := func(bottom float64) shape {
		return lathed(r2.Vec{}, 360, [2]float64{0, 2.2}, [2]float64{2.6, 2.2}, [2]float64{2.6, 0}, [2]float64{16, 0},
			[2]float64{16, bottom}, [2]float64{2.6 + 0.5, bottom}, [2]float64{2.6, bottom + 0.5}, [2]float64{2.6, 5}, [2]float64{0, 5})
	}
	// From the edge of the ceiling, the slope of 45 degrees lies (bottom + 0.5 - 2.2) / sqrt 2 away.
	for _, bottom := range []float64{2.7, 2.9} {
		s := pit(bottom)
		want := (bottom + 0.5 - 2.2) / math.Sqrt2
		fits, found := pocketsOf(t, s, magnet5x2)
		require.InDelta(t, want, fits[0].Skin, 0.06)
		require.Equal(t, want < 0.8, len(found) == 1)
	}
}
