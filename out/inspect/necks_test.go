package inspect

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

func necksOf(t require.TestingT, r *Raster, least, smallest float64) []Finding {
	found, err := r.Necks(context.Background(), least, smallest)
	require.NoError(t, err)
	return found
}

// dumbBell is a large cube and a small one joined by a bar, square in section,
// along x; thickness is the bar's.
func dumbBell(thickness, length float32) shape {
	h := thickness / 2
	return together(
		box([3]float32{-3, -1.5, -1.5}, [3]float32{0, 1.5, 1.5}),
		box([3]float32{-0.5, -h, -h}, [3]float32{length + 0.5, h, h}),
		box([3]float32{length, -1, -1}, [3]float32{length + 2, 1, 1}),
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
			found := necksOf(t, sliced(t, dumbBell(c.thickness, length), 0.05, 0.05), 0.5, 0.1)
			if !c.found {
				require.Empty(t, found, "%g mm", c.thickness)
				continue
			}
			require.Len(t, found, 1, "%g mm", c.thickness)
			f := found[0]
			require.Equal(t, Neck, f.Kind)
			require.InDelta(t, float64(c.thickness), f.Value, 0.05+1e-6)
			require.InDelta(t, 0.5, f.Limit, 0)
			require.InDelta(t, float64(length)/2, f.At[0], 0.06, "the middle of the bar")
			require.InDelta(t, 0, f.At[1], 0.051)
			require.InDelta(t, 0, f.At[2], 0.051)
			require.InEpsilon(t, 8, f.Volume, 0.1)
			require.Greater(t, f.From[0], float64(length))
			require.Less(t, f.To[0], 0.0)
		}
	}
}
