package crack

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/sdf"
	"socle/sdf/sdftest"
)

func crackOf(line ...r2.Vec) *Crack {
	return &Crack{Named: parts.Named{Name: "crack"}, Line: line, Level: &parts.Level{Height: 3}, Width: 0.8, Depth: 1.2, Branches: 3, Roughness: 0.5, Seed: 4}
}

// A straight crack is a V: as wide at the surface and as deep as it says, narrower at its end.
func TestCrackIsAV(t *testing.T) {
	s := partstest.Quarry(56, 1)
	c := crackOf(r2.Vec{}, r2.Vec{X: 30})
	c.Branches, c.Roughness = 0, 0
	s.Parts = []parts.Part{c}
	require.Empty(t, c.Check(s))
	require.Empty(t, c.Notes(s))
	work := sdf.Difference(sdf.HalfSpace(sdf.V(0, 0, 1), 3), c.Cut(s))
	deepest := func(x float64) float64 { return 3 - sdftest.DropOnto(t, work, x, 0, 20) }
	wide := func(x float64) (w float64) {
		for y := -1.0; y <= 1; y += 0.005 {
			if work.Value(sdf.V(x, y, 2.99)) > 0 {
				w += 0.005
			}
		}
		return w
	}
	require.InDelta(t, 1.2, deepest(0.5), 0.03)
	require.InDelta(t, 0.8, wide(0.5), 0.04)
	require.Less(t, wide(29), 0.5*wide(1))
	require.Less(t, deepest(29), deepest(1))
	sdftest.RequireHonest(t, c.Cut(s), r3.Box{Min: sdf.V(-2, -4, 0), Max: sdf.V(32, 4, 6)}, 3)
}

// Branches leave the line at 25 to 65 degrees; another seed runs otherwise.
func TestCrackBranches(t *testing.T) {
	s := partstest.Quarry(56, 1)
	c := crackOf(r2.Vec{}, r2.Vec{X: 40}, r2.Vec{X: 60, Y: 20})
	c.Roughness = 0
	s.Parts = []parts.Part{c}
	runs := c.settled(s).runs
	require.Greater(t, len(runs), 2)
	for _, b := range runs[1:] {
		d := r2.Sub(b.at[len(b.at)-1], b.at[0])
		turn := math.Abs(math.Atan2(d.Y, d.X) * 180 / math.Pi)
		require.True(t, turn >= 25-1e-6 && turn <= 65+1e-6 || math.Abs(turn-45) >= 25-1e-6 && math.Abs(turn-45) <= 110+1e-6, turn)
	}
	was := runs[1].at
	c.Seed++
	s = s.With(s.Parts)
	require.NotEqual(t, was, c.settled(s).runs[1].at)
}

func TestCrackFaults(t *testing.T) {
	for _, c := range []struct {
		line []r2.Vec
		key  string
	}{{[]r2.Vec{{}}, "line"}, {[]r2.Vec{{}, {}}, "line"}, {[]r2.Vec{{}, {X: math.Inf(1)}}, "line"}} {
		s := partstest.Quarry(56, 1)
		k := crackOf(c.line...)
		s.Parts = []parts.Part{k}
		faults := k.Check(s)
		require.Len(t, faults, 1)
		require.Equal(t, c.key, faults[0].Key)
	}
	s := partstest.Quarry(56, 1)
	k := crackOf(r2.Vec{X: -900}, r2.Vec{X: -880})
	k.Level = nil
	s.Parts = []parts.Part{k}
	require.Len(t, k.Check(s), 1, "nothing lies there")
}
