package paving

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/sdf"
)

// Stones beside a bite are whole, broken across or gone; none is left where nothing
// carries it, and those far off are as they were.
func TestStonesGoOneByOneAtABite(t *testing.T) {
	p := &Paving{Named: parts.Named{Name: "flags"}, Level: parts.Level{Height: 10}, Area: parts.Area{Rect: []float64{0, 0, 40, 40}},
		Bond: "running", Stone: &[2]float64{4, 2.4}, Wear: 0.2, Seed: 2}
	s := partstest.Quarry(100, 1, p)
	ball := sdf.Place(sdf.Sphere(8), sdf.At(sdf.V(20, 20, 11)))
	bite := parts.Bite{Gone: ball, Rough: ball, Wide: 16, Seed: 5}
	ground := sdf.Difference(sdf.BoxBetween(sdf.V(-5, -5, 0), sdf.V(45, 45, 9.6)), ball)
	before := p.Solid(s)
	remains := p.Bitten(s, []parts.Bite{bite}, ground)
	require.Len(t, remains, 2)
	after := sdf.Union(remains[0].Left(), remains[1].Left())
	for x := 0.5; x < 40; x += 0.7 {
		for y := 0.5; y < 40; y += 0.7 {
			q := sdf.V(x, y, 9.75)
			switch d := r3.Norm(r3.Sub(q, sdf.V(20, 20, 9.75))); {
			case d > 14:
				require.True(t, before.Value(q) == after.Value(q), "as it was at %v", q)
			case d < 5:
				require.Positive(t, after.Value(q), "gone at %v", q)
			}
		}
	}
	whole := sdf.Difference(sdf.Union(remains[0].Work, remains[1].Work))
	require.NotNil(t, remains[0].Taken[0], "some broke across")
	require.Negative(t, whole.Value(sdf.V(3, 3, 9.5)))
}

// A groove narrower than the stones is scored into them: no stone goes.
func TestANarrowBiteScoresStones(t *testing.T) {
	p := &Paving{Named: parts.Named{Name: "flags"}, Level: parts.Level{Height: 10}, Area: parts.Area{Rect: []float64{0, 0, 40, 40}},
		Bond: "stack", Stone: &[2]float64{4, 4}, Seed: 2}
	s := partstest.Quarry(100, 1, p)
	groove := sdf.BoxBetween(sdf.V(-1, 19, 9.5), sdf.V(41, 20, 20))
	remains := p.Bitten(s, []parts.Bite{{Gone: groove, Rough: groove, Wide: 1, Seed: 5}}, sdf.BoxBetween(sdf.V(-5, -5, 0), sdf.V(45, 45, 9.6)))
	after, want := sdf.Union(remains[0].Left(), remains[1].Left()), sdf.Difference(p.Solid(s), groove)
	for x := 0.5; x < 40; x += 0.31 {
		q := sdf.V(x, 19.5+0.9*(x/40-0.5)*4, 9.8)
		require.InDelta(t, want.Value(q), after.Value(q), 1e-9, "at %v", q)
	}
}
