package inspect

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
)

// stacked has layers that begin with so many solid pixels each, of 100.
func stacked(areas ...int) *raster.Raster {
	layers := make([]string, len(areas))
	for k, n := range areas {
		for i := range 100 {
			c := "."
			if i < n {
				c = "#"
			}
			layers[k] += c
		}
	}
	return solids.Drawn(layers...)
}

func TestSuctionOnBothSidesOfItsLimit(t *testing.T) {
	for _, c := range []struct {
		areas        []int
		above, share float64
		layer        int     // of the largest jump
		by           float64 // of it
		found        float64 // what grew, 0 for no finding
	}{
		{[]int{50, 50, 80}, 1, 0.37, 2, 30, 30},
		{[]int{50, 50, 80}, 1, 0.38, 2, 30, 0},
		{[]int{20, 90, 90}, 2, 0, 0, 0, 0}, // in the foot
		{[]int{20, 90, 90}, 1, 0.5, 1, 70, 70},
		{[]int{20, 90, 90}, 1.01, 0.5, 0, 0, 0},
		{[]int{90, 90, 5, 30}, 1, 0.5, 2, -85, 25}, // a fall is larger, but no finding
		{[]int{90, 90, 5}, 1, 0.5, 2, -85, 0},
		{[]int{90}, 0, 0.5, 0, 0, 0},
		{[]int{10, 20, 30, 40}, 0, 0.5, 1, 10, 0}, // half is not more than half
		{[]int{10, 20, 30, 40}, 0, 0.49, 1, 10, 10},
		{[]int{100, 100, 1, 6}, 1, 0.5, 2, -99, 5}, // a twentieth of the largest
		{[]int{100, 100, 1, 5}, 1, 0.5, 2, -99, 0},
		{[]int{100, 40, 80, 100}, 1, 0.4, 1, -60, 40},
	} {
		jump, found, err := FindSuction(stacked(c.areas...), c.above, c.share)
		require.NoError(t, err)
		require.Equal(t, c.layer, jump.Layer, "%v", c)
		require.InDelta(t, c.by, jump.By, 1e-9, "%v", c)
		if c.by != 0 {
			require.InDelta(t, math.Abs(c.by)/float64(max(c.areas[c.layer], c.areas[c.layer-1])), jump.Share, 1e-9)
			require.InDelta(t, float64(c.layer), jump.Height, 1e-9)
		}
		require.Equal(t, c.found > 0, len(found) == 1, "%v", c)
		for _, f := range found {
			require.Equal(t, Suction, f.Kind)
			require.InDelta(t, c.found, f.Value, 1e-9)
			require.Less(t, f.Limit, f.Value)
		}
	}
	for _, share := range []float64{-0.1, 1.1, math.NaN()} {
		_, _, err := FindSuction(stacked(5), 0, share)
		require.Error(t, err)
	}
}

func TestTheRoofOfACupGrowsAtOnce(t *testing.T) {
	_, found, err := FindSuction(solids.Sliced(t, cup(), 0.1, 0.1), 0.4, 0.5)
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.InDelta(t, 64, found[0].Value, 1e-9)
	require.Equal(t, 40, found[0].Layer)
	require.InDelta(t, 4, found[0].At[2], 1e-9)
	require.InDelta(t, 5, found[0].At[0], 0.11)
}

// A round hollow of 25 mm across holds by 49.7 N at most (references.md section 7).
func TestTheForceOfACup(t *testing.T) {
	found := voids(t, solids.Sliced(t, pocketed(25, 2, 4), 0.1, 0.1))
	require.Len(t, found, 1)
	require.InEpsilon(t, math.Pi*12.5*12.5, found[0].Area, 2e-3)
	require.InEpsilon(t, 49.7, MostSuction(found[0].Area), 2e-3)

	sealed := solids.Inward(solids.Box([3]float32{1, 1, 1}, [3]float32{3, 3, 3}))
	found = voids(t, solids.Sliced(t, solids.Together(solids.Box([3]float32{0, 0, 0}, [3]float32{9, 9, 4}), sealed), 0.1, 0.1))
	require.Len(t, found, 1)
	require.Zero(t, found[0].Area, "not on the plate")
}

// A hollow that widens upwards, and one in two parts below.
func TestTheAreaOfACupOnThePlate(t *testing.T) {
	full := "###### ###### ###### ######"
	found := voids(t, solids.Drawn("###### #..#.# ###### ######", "###### #....# #....# ######", full))
	require.Len(t, found, 1)
	require.Equal(t, LiddedVoid, found[0].Kind)
	require.InDelta(t, 3, found[0].Area, 1e-9)
	require.InDelta(t, 11, found[0].Value, 1e-9)
}
