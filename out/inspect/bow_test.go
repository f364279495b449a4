package inspect

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/out/inspect/solids"
)

func TestBowOnBothSidesOfItsLimits(t *testing.T) {
	disc := func(across, thick float64) solids.Shape {
		return lathed(r2.Vec{}, 180, [2]float64{0, 0}, [2]float64{across / 2, 0}, [2]float64{across / 2, thick}, [2]float64{0, thick})
	}
	for _, c := range []struct {
		across, thick float64
		found         bool
	}{{61, 1.99, true}, {61, 2.01, false}, {59.9, 1.5, false}, {60.1, 1.5, true}, {32, 1.2, false}} {
		slab, found, err := FindBow(context.Background(), solids.Indexed(t, disc(c.across, c.thick)), 2, 60)
		require.NoError(t, err)
		require.InDelta(t, c.thick, slab.Thickness, 1e-6)
		require.InEpsilon(t, c.across, slab.Span, 2e-4) // its corners lie 1 in 6,600 further out
		require.InEpsilon(t, math.Pi/4*c.across*c.across, slab.Area, 2e-3)
		require.Equal(t, c.found, len(found) == 1, "%v", c)
		for _, f := range found {
			require.Equal(t, Bow, f.Kind)
			require.InDelta(t, slab.Span, f.Length, 0)
		}
	}
}

// What is empty under a roof is no thickness.
func TestTheThicknessOverAHollow(t *testing.T) {
	s := ofCells([]float64{-40, -38, 38, 40}, []float64{-40, -38, 38, 40}, []float64{0, 2.5, 4}, func(i, j, k int) bool {
		return k == 1 || i != 1 || j != 1
	})
	slab, found, err := FindBow(context.Background(), solids.Indexed(t, s), 2, 60)
	require.NoError(t, err)
	require.InDelta(t, 1.5, slab.Thickness, 1e-6)
	require.Len(t, found, 1)
	require.InDelta(t, 80*math.Sqrt2, slab.Span, 1e-4)
}
