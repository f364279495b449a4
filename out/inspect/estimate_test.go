package inspect

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func ptr[T any](v T) *T { return &v }

// references.md section 10, computed: a solid round of 32, 4 high with an inset
// of 1, is 3.020 ml and 3.32 g at 1.10, 0.10 at 30 a kg; an oval of 60 x 35 with
// the same rim 6.303 ml, 6.93 g, 0.21.
func TestEstimateMass(t *testing.T) {
	for _, c := range []struct{ volume, mass, cost float64 }{
		{3020.117738, 3.32, 0.10},
		{6303.082061, 6.93, 0.21},
	} {
		e := EstimateOf(c.volume, 4, Stock{Density: 1.10, Price: ptr(30.0)}, Pace{Layer: 0.05})
		require.InDelta(t, c.mass, e.Mass, 0.005)
		require.InDelta(t, c.cost, *e.Cost, 0.005)
		require.Equal(t, 80, e.Layers)
	}
}

func TestEstimateAllowances(t *testing.T) {
	e := EstimateOf(1000, 1, Stock{Density: 1.2, Supports: 0.25, Waste: 0.1}, Pace{Layer: 0.05})
	require.InDelta(t, 1.2, e.Mass, 1e-12)
	require.InDelta(t, 1.2*1.25*1.1, e.Material, 1e-12)
	require.Nil(t, e.Cost, "no price, no cost")
}

func TestEstimateTime(t *testing.T) {
	resin := Pace{Layer: 0.05, Exposure: 2.5, FirstExposure: 30, FirstLayers: 6, Lift: 7}
	require.InDelta(t, 6*30+74*2.5+80*7, EstimateOf(1, 4, Stock{}, resin).Seconds, 1e-9)
	require.InDelta(t, 2*30+2*7, EstimateOf(1, 0.1, Stock{}, resin).Seconds, 1e-9, "fewer layers than first ones")
	resin.FirstExposure = resin.Exposure
	require.InDelta(t, 80*9.5, EstimateOf(1, 4, Stock{}, resin).Seconds, 1e-9)
	filament := Pace{Layer: 0.2, Speed: 50, Line: 0.45}
	require.InDelta(t, 4500/(0.45*0.2*50), EstimateOf(4500, 4, Stock{}, filament).Seconds, 1e-9)
	require.Equal(t, 20, EstimateOf(1, 4, Stock{}, filament).Layers)
	filament.Assumed = []string{"speed 50 mm/s"}
	require.Equal(t, filament.Assumed, EstimateOf(1, 4, Stock{}, filament).Assumed)
	require.Equal(t, 21, EstimateOf(1, 4.01, Stock{}, filament).Layers)
}
