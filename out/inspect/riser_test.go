package inspect

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/out/inspect/solids"
)

// flightOf is a stair on a floor of 3 mm, treads of 4 x 20 mm at the heights given
// along +x, with rails as posts on its side at y 18 .. 19 if wanted.
func flightOf(heights []float64, railed bool) solids.Shape {
	zs := append([]float64{0}, heights...)
	top := zs[len(zs)-1]
	if railed {
		zs = append(zs, top+5, top+6)
	}
	xs := planesAt(0, 4*float64(len(heights)), 4)
	return ofCells(xs, []float64{0, 18, 19, 20}, zs, func(i, j, k int) bool {
		return k <= i || j == 1 && (k == len(heights)+1 || k > i && i == 0)
	})
}

// treadsAt are treads as drawn at the heights, with points on each.
func treadsAt(heights []float64, ys ...float64) (f Flight) {
	for i, h := range heights {
		t := Tread{Height: h}
		for _, y := range ys {
			t.Points = append(t.Points, r2.Vec{X: 4*float64(i) + 2, Y: y})
		}
		f.Treads = append(f.Treads, t)
	}
	return f
}

func flightsOf(t require.TestingT, s solids.Shape, f ...Flight) ([]Risers, []Finding) {
	all, found, err := Flights(context.Background(), solids.Indexed(t, s), f, 0.1)
	require.NoError(t, err)
	return all, found
}

func TestRisersOnBothSidesOfTheirLimit(t *testing.T) {
	drawn := []float64{3, 3.6, 4.2, 4.8}
	for _, c := range []struct {
		third float64
		found bool
	}{{4.2, false}, {4.249, false}, {4.251, true}, {4.151, false}, {4.149, true}} {
		made := []float64{3, 3.6, c.third, 4.8}
		all, found := flightsOf(t, flightOf(made, false), treadsAt(drawn, 5, 10, 15))
		require.InDeltaSlice(t, made, all[0].Heights, 1e-6)
		require.InDeltaSlice(t, []float64{0.6, c.third - 3.6, 4.8 - c.third}, all[0].Rises, 1e-6)
		require.Equal(t, c.found, len(found) == 1, "%v", c)
		for _, f := range found {
			require.Equal(t, UnevenRisers, f.Kind)
			require.InDelta(t, all[0].Largest-all[0].Smallest, f.Value, 0)
			require.InDelta(t, 0.102, f.Value, 1e-6)
		}
	}
}

// The finish laid on the upper landing makes the last step taller: the fault that
// this is for. The rail above is not taken for a tread.
func TestTheLastStepUnderALayer(t *testing.T) {
	drawn := []float64{3, 3.6, 4.2, 4.8}
	made := []float64{3, 3.6, 4.2, 5.05}
	all, found := flightsOf(t, flightOf(drawn, false), Flight{}, treadsAt(drawn, 18.5), treadsAt(drawn, 5))
	require.Empty(t, found)
	require.Empty(t, all[0].Rises)
	all, found = flightsOf(t, flightOf(made, true), treadsAt(drawn, 5), treadsAt(drawn, 5, 10, 18.5))
	require.Len(t, found, 2)
	for n, f := range found {
		require.Equal(t, n, f.Which)
		require.InDelta(t, 0.25, f.Value, 1e-6)
		require.InDelta(t, 14, f.At[0], 1e-9, "on the last tread")
		require.InDelta(t, 5.05, f.At[2], 1e-6)
	}
	require.InDeltaSlice(t, made, all[1].Heights, 1e-6)
}

// A tread that is gone, or under rubble for the most part, is not measured, and
// its two rises are left out.
func TestATreadThatIsGone(t *testing.T) {
	drawn := []float64{3, 3.6, 4.2, 4.8, 5.4}
	made := []float64{3, 3.6, 3.9, 4.8, 5.4}
	all, found := flightsOf(t, flightOf(made, false), treadsAt(drawn, 5, 10))
	require.Len(t, all[0].Rises, 4, "just within half a riser")
	require.Len(t, found, 1)

	made[2] = 3.89
	all, found = flightsOf(t, flightOf(made, false), treadsAt(drawn, 5, 10))
	require.Empty(t, found)
	require.Equal(t, []bool{true, true, false, true, true}, all[0].Measured)
	require.InDeltaSlice(t, []float64{0.6, 0.6}, all[0].Rises, 1e-6)
	require.InDelta(t, 4.2, all[0].Heights[2], 0)
}

// An edge above that hangs over a tread, as a landing's nosing may: steps of 4 mm with
// a lid on the third from its back forward, up to the landing.
func TestATreadThatIsCovered(t *testing.T) {
	drawn := []float64{3, 3.6, 4.2, 4.8}
	for _, c := range []struct {
		lid   float64 // how much of the tread it covers, mm
		found bool
	}{{2.08, true}, {1, true}, {0.7, false}} {
		zs := append([]float64{0}, drawn...)
		steps := ofCells([]float64{0, 4, 8, 12 - c.lid, 12, 16}, []float64{0, 20}, zs, func(i, j, k int) bool {
			return k <= []int{0, 1, 2, 3, 3}[i]
		})
		f := Flight{}
		for i, h := range drawn {
			tread := Tread{Height: h, Points: []r2.Vec{{X: 4*float64(i) + 0.5, Y: 10}}}
			for _, x := range []float64{0.8, 1.6, 2.4, 3.2} {
				tread.Over = append(tread.Over, r2.Vec{X: 4*float64(i) + x, Y: 5}, r2.Vec{X: 4*float64(i) + x, Y: 15})
			}
			f.Treads = append(f.Treads, tread)
		}
		all, found := flightsOf(t, steps, f)
		if !c.found {
			require.Empty(t, found)
			require.InDeltaSlice(t, drawn, all[0].Heights, 1e-6)
			continue
		}
		require.Len(t, found, 1, "%v", c)
		require.InDeltaSlice(t, []float64{0.6, 1.2, 0}, all[0].Rises, 1e-6)
		require.InDelta(t, 1.2, found[0].Value, 1e-6)
		require.InDelta(t, 12-c.lid/2, found[0].At[0], c.lid/2, "on the lid")
		require.InDelta(t, 4.8, found[0].At[2], 1e-6)
	}
}

func TestAnyFlight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "treads")
		riser := rapid.Float64Range(0.4, 3).Draw(t, "riser")
		var drawn, made []float64
		for i := range n {
			h := 3 + riser*float64(i)
			drawn = append(drawn, h)
			made = append(made, h+riser*rapid.Float64Range(-0.4, 0.4).Draw(t, "off"))
		}
		all, found := flightsOf(t, flightOf(made, false), treadsAt(drawn, 3, 9, 15))
		if n == 1 {
			require.Empty(t, found)
			require.Empty(t, all[0].Rises)
			return
		}
		require.InDeltaSlice(t, made, all[0].Heights, 1e-5)
		least, most := made[1]-made[0], made[1]-made[0]
		for i := 1; i < n; i++ {
			least, most = min(least, made[i]-made[i-1]), max(most, made[i]-made[i-1])
		}
		require.InDelta(t, most, all[0].Largest, 1e-5)
		require.InDelta(t, least, all[0].Smallest, 1e-5)
		if by := most - least; by < 0.1-1e-4 || by > 0.1+1e-4 {
			require.Equal(t, by > 0.1, len(found) == 1)
		}
	})
}
