package course

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
)

func lineOf(points ...r2.Vec) *Line { return &Line{Named: parts.Named{Name: "it"}, Points: points} }

// Lines that are none are refused.
func TestLinesThatAreNone(t *testing.T) {
	for text, points := range map[string][]r2.Vec{
		"has fewer than two points":   {{}},
		"points 2 and 3 are one":      {{}, {X: 9}, {X: 9}},
		"has 1001 points":             make([]r2.Vec, 1001),
		"point 2 is at (1e+09, 0) mm": {{}, {X: 1e9}},
		"points 1 and 2 are one":      {{}, {X: 0.001}},
		"":                            {{}, {X: 9}, {X: 9, Y: 3}},
	} {
		faults := lineOf(points...).Check(nil)
		if text == "" {
			require.Empty(t, faults)
			continue
		}
		require.Len(t, faults, 1, text)
		require.Equal(t, Key, faults[0].Key)
		require.Equal(t, text, faults[0].Text)
		require.NotEmpty(t, faults[0].Allowed)
	}
}

// The sides lie one after the other, each in a frame of its own.
func TestSides(t *testing.T) {
	l := lineOf(r2.Vec{X: 1}, r2.Vec{X: 4}, r2.Vec{X: 4, Y: 4})
	require.Equal(t, 7.0, l.Length())
	require.Equal(t, []r2.Vec{{X: 2.5}, {X: 4, Y: 2}}, l.Middles())
	legs := l.Legs(5)
	require.Len(t, legs, 2)
	require.Equal(t, [2]float64{3, 7}, [2]float64{legs[1].From, legs[1].To})
	at := Frame(legs[1]).Apply(r3.Vec{X: 1, Y: 2, Z: 3})
	require.InDeltaSlice(t, []float64{2, 1, 8}, []float64{at.X, at.Y, at.Z}, 1e-12, "a mm on to the north, two to its left")
}

// A level of its own is stood on anywhere; without one, the first place with no floor is told.
func TestStands(t *testing.T) {
	l, s := lineOf(r2.Vec{}, r2.Vec{X: 9}), partstest.Quarry(56, 1)
	require.Empty(t, l.Stands(s, &parts.Level{Height: 3}, l.Points...))
	faults := l.Stands(s, nil, l.Middles()...)
	require.Len(t, faults, 1)
	require.Equal(t, "nothing to stand on lies at (4.50, 0.00) mm", faults[0].Text)
}
