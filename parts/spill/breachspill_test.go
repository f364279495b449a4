package spill

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/partstest/built"
	"socle/parts/partstest/fixtures"
	"socle/parts/wall"
)

// What falls out of it lies on both sides of the wall and in the hole, none on top of
// what stands over it.
func TestBreachSpill(t *testing.T) {
	s, _, b := breachedSite("block", func(_ *wall.Wall, b *wall.Breach) { b.Roughness, b.Height, b.Slope = 0.5, 18, 60 })
	p := &Spill{Named: parts.Named{Name: "spill"}, From: "hole", Count: new(60), Size: &[2]float64{1.2, 3}, Exponent: 2.5, Sherds: 0.3, Repose: 35, Seed: 2, Heap: 4}
	s.Parts = append(s.Parts, p)
	require.Empty(t, assembly.Check(s))
	under := built.Struck(s)
	d := p.lay(s, under)
	require.NotNil(t, d.core)
	require.Greater(t, len(d.fragments), 30)
	south, north, within := 0, 0, 0
	for _, r := range d.fragments {
		require.Less(t, r.seat.at.Z, b.Under(s)+1e-9)
		require.InDelta(t, 50, r.seat.at.X, 8+1.5) // and half a fragment
		switch y := r.seat.at.Y - 40; {
		case y < -2:
			south++
		case y > 2:
			north++
		default:
			within++
		}
	}
	require.Greater(t, south, 8)
	require.Greater(t, north, 8)
	require.Greater(t, within, 2)

	b.Height = 29 // a gap: open to the sky
	s = s.With(s.Parts)
	require.Greater(t, len(p.lay(s, built.Struck(s)).fragments), 30)
}

// breachedSite is a wall on flat ground with a breach in it.
func breachedSite(coursing string, set func(*wall.Wall, *wall.Breach)) (*parts.Site, *wall.Wall, *wall.Breach) {
	w := &wall.Wall{Named: parts.Named{Name: "byre"}, Line: []r2.Vec{{X: 10, Y: 40}, {X: 90, Y: 40}}, Thickness: 4,
		From: parts.Level{Height: 10}, Height: new(30.0), Coursing: coursing, Coping: "none", Wear: 0.2, Seed: 3}
	b := &wall.Breach{Named: parts.Named{Name: "hole"}, Wall: "byre", At: 40, Width: 16, Height: 12, Slope: 90, Seed: 1}
	set(w, b)
	return fixtures.GroundWith(w, b), w, b
}
