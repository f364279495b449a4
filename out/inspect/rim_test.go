package inspect

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/out/inspect/solids"
)

// rimOf is the rim of a pad of 12 mm, with floor all round at a height.
func rimOf(floor float64) (rim []RimPlace) {
	const n = 192
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		rim = append(rim, RimPlace{r2.Vec{X: 6.1 * cos, Y: 6.1 * sin}, floor})
	}
	return rim
}

// Blocks of 40 x 40 x 4 with a pad of 12 mm in the middle, at 4 mm unless told.
func TestTheRimOfAStandOnBothSidesOfItsLimits(t *testing.T) {
	xs := []float64{-20, -6.05, -5, 3, 4, 6.05, 20}
	terraced := func(up float64) solids.Shape { // to the east of 3 mm it is higher
		return ofCells(xs, []float64{-20, 20}, []float64{0, 4, 4 + up}, func(i, _, k int) bool { return k == 0 || i >= 3 })
	}
	sunk := func(down float64) solids.Shape { // to the east of 3 mm it is lower
		return ofCells(xs, []float64{-20, 20}, []float64{0, 4 - down, 4}, func(i, _, k int) bool { return k == 0 || i < 3 })
	}
	grooved := func(width, deep float64) solids.Shape { // across the pad's rim, twice
		return ofCells([]float64{-20, 20}, []float64{-20, -width / 2, width / 2, 20}, []float64{0, 4 - deep, 4}, func(_, j, k int) bool {
			return k == 0 || j != 1
		})
	}
	beam := func(thick float64) solids.Shape { // over it, from the ground beside it
		return ofCells([]float64{-20, -10, -9, 20}, []float64{-20, -2, 2, 20}, []float64{0, 4, 9, 9 + thick}, func(i, j, k int) bool {
			return k == 0 || j == 1 && (k == 2 && i > 0 || k == 1 && i == 1)
		})
	}
	flat := solids.Box([3]float32{-20, -20, 0}, [3]float32{20, 20, 4})
	chord := 2 * 6.1 * math.Acos(3/6.1) // of the rim, east of 3 mm
	for name, c := range map[string]struct {
		solid  solids.Shape
		top    float64
		floor  float64
		kind   Kind
		value  float64
		length float64
		meant  bool
	}{
		"flush":                      {flat, 4, 4, -1, 0, 0, false},
		"a little under":             {flat, 3.51, 4, -1, 0, 0, false},
		"under":                      {flat, 3.49, 4, SunkStand, 0.51, 6.1 * 2 * math.Pi, false},
		"a little over":              {flat, 4.49, 4, -1, 0, 0, false},
		"over, all round":            {flat, 4.51, 4, RaisedStand, 0.51, 6.1 * 2 * math.Pi, true}, // a plinth
		"a tall plinth":              {flat, 9.9, 4, RaisedStand, 5.9, 6.1 * 2 * math.Pi, true},
		"a post":                     {flat, 10.1, 4, RaisedStand, 6.1, 6.1 * 2 * math.Pi, false},
		"against a terrace":          {terraced(2), 4, 4, SunkStand, 2, chord, true},
		"against a terrace, told so": {terraced(2), 4, 6, SunkStand, 2, chord, false},
		"against a kerb":             {terraced(0.49), 4, 4, -1, 0, 0, false},
		"over an edge":               {sunk(3), 4, math.Inf(-1), RaisedStand, 3, chord, false},
		"over a crater":              {sunk(3), 4, 4, RaisedStand, 3, chord, true},
		"over a joint":               {grooved(0.9, 1), 4, 4, -1, 0, 0, false},
		"over a ditch":               {grooved(1.3, 1), 4, 2, RaisedStand, 1, 1.3, false},
		"under a beam":               {beam(1), 4, 4, SunkStand, 1, 4, true},
		"under a wire":               {beam(0.4), 4, 4, -1, 0, 0, false},
	} {
		t.Run(name, func(t *testing.T) {
			_, all := padsOf(t, c.solid, Pad{Round: 12, Top: c.top, Clear: 30, Rim: rimOf(c.floor)})
			var found []Finding
			for _, f := range all {
				if f.Kind == SunkStand || f.Kind == RaisedStand {
					found = append(found, f)
				}
			}
			if c.kind < 0 {
				require.Empty(t, found)
				return
			}
			require.NotEmpty(t, found)
			f := found[0]
			require.Equal(t, c.kind, f.Kind)
			require.InDelta(t, c.value, f.Value, 1e-5)
			require.InDelta(t, c.length, f.Length, 0.45, "to the steps of its places")
			require.Equal(t, c.meant, f.Meant)
			require.InDelta(t, 6.1, math.Hypot(f.At[0], f.At[1]), 1e-9)
		})
	}
}

// A rim that is over an edge on one side and over a crater on another is told twice,
// and a pad that reaches the edge of its base is not told there.
func TestStretchesOfARim(t *testing.T) {
	strip := ofCells([]float64{-20, -3, 3, 20}, []float64{-20, 20}, []float64{0, 2, 4}, func(i, _, k int) bool { return k == 0 || i == 1 })
	rim := rimOf(math.Inf(-1))
	for i := range rim {
		if rim[i].At.X < 0 {
			rim[i].Floor = 4
		}
	}
	_, all := padsOf(t, strip, Pad{Round: 12, Top: 4, Clear: 30, Rim: rim})
	var meant []bool
	for _, f := range all {
		if f.Kind == RaisedStand {
			meant = append(meant, f.Meant)
			require.Equal(t, f.Meant, f.At[0] < 0)
		}
	}
	require.ElementsMatch(t, []bool{true, false}, meant)
	_, all = padsOf(t, strip, Pad{Round: 12, Top: 4, Clear: 30})
	for _, f := range all {
		require.NotEqual(t, RaisedStand, f.Kind, "without a rim there is nothing to tell")
	}
}
