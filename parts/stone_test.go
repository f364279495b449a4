package parts

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
)

func drawStone(t *rapid.T) (stoneShape, *stone) {
	outline := corners(0, 0, 4, 0, 4, 2, 0, 2)
	for range rapid.IntRange(0, 3).Draw(t, "cuts") {
		way := rapid.Float64Range(0, 2*math.Pi).Draw(t, "way")
		n := r2.Vec{X: math.Cos(way), Y: math.Sin(way)}
		if cut := clipLine(outline, n, dot2(n, r2.Vec{X: 2, Y: 1})+rapid.Float64Range(0.3, 2).Draw(t, "at")); cut != nil {
			outline = cut
		}
	}
	s := stoneShape{
		outline: outline, box: boundsOf(outline), level: 3, foot: 1.5,
		arris: rapid.Float64Range(0, 0.8).Draw(t, "arris"),
		lean:  r2.Vec{X: rapid.Float64Range(-0.1, 0.1).Draw(t, "lean x"), Y: rapid.Float64Range(-0.1, 0.1).Draw(t, "lean y")},
		crown: rapid.Float64Range(0, 0.3).Draw(t, "crown"), long: r2.Vec{X: 1}, half: r2.Vec{X: 2, Y: 1},
	}
	seed := rapid.Uint64().Draw(t, "seed")
	if rapid.Bool().Draw(t, "rough") {
		s.rough = &grain{noise: sdf.NewNoise(seed, 0.9, 2), top: 0.15, sides: 0.1}
	}
	for range rapid.IntRange(0, 3).Draw(t, "chips") {
		c := sdf.V(rapid.Float64Range(0, 4).Draw(t, "cx"), rapid.Float64Range(0, 2).Draw(t, "cy"), 3.5)
		s.chips = append(s.chips, newChip(c, rapid.Float64Range(0.2, 1).Draw(t, "r"), sdf.NewNoise(seed, 0.7, 1), 0.05))
	}
	return s, newStone(s)
}

func TestStoneIsHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, st := drawStone(t)
		requireHonest(t, st, st.Bounds(), rapid.Uint64().Draw(t, "samples"))
	})
}

// A stone stays within its outline and under its level.
func TestStoneStaysInItsPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, st := drawStone(t)
		shape := newConvexShape(s.outline)
		for range 200 {
			p := sdf.V(rapid.Float64Range(-1, 5).Draw(t, "x"), rapid.Float64Range(-1, 3).Draw(t, "y"), rapid.Float64Range(1, 3.5).Draw(t, "z"))
			if st.Value(p) < -1e-9 {
				require.Negative(t, shape.at(r2.Vec{X: p.X, Y: p.Y}))
				require.Less(t, p.Z, s.level)
				require.Greater(t, p.Z, s.foot)
			}
		}
	})
}

// A true stone is the exact distance: against the nearest of points spread over
// the box with its top arrises and corners rounded to a radius.
func TestTrueStoneIsExactAbove(t *testing.T) {
	const r = 0.3
	st := newStone(stoneShape{
		outline: corners(0, 0, 4, 0, 4, 2, 0, 2), box: r2.Box{Max: r2.Vec{X: 4, Y: 2}},
		level: 3, foot: 0, arris: r, long: r2.Vec{X: 1}, half: r2.Vec{X: 2, Y: 1},
	})
	// Its skeleton is the box drawn in by r; the stone is all within r of it.
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		p := sdf.V(6*rng.Float64()-1, 4*rng.Float64()-1, 0.5+3.5*rng.Float64())
		q := sdf.V(math.Max(r, math.Min(4-r, p.X)), math.Max(r, math.Min(2-r, p.Y)), math.Min(3-r, p.Z))
		if d := r3.Norm(r3.Sub(p, q)); d > 0 {
			require.InDelta(t, d-r, st.Value(p), 1e-12)
		} else {
			require.LessOrEqual(t, st.Value(p), -r)
		}
	}
	require.Zero(t, st.Value(sdf.V(2, 1, 3)), "the top is at the level, to the bit")
}
