package relief

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
	"socle/sdf/sdftest"
)

// reliefs draws one of each kind, with what they join.
func reliefs(t *rapid.T) []Relief {
	seed := rapid.Uint64().Draw(t, "seed")
	pitch := rapid.Float64Range(0.3, 3).Draw(t, "pitch")
	depth := rapid.Float64Range(0.05, 0.5).Draw(t, "depth")
	share := rapid.Float64Range(0, 0.9).Draw(t, "share")
	turn := sdf.Turn(sdf.V(1, 0, 0), rapid.Float64Range(0, 90).Draw(t, "turn"))
	all := []Relief{
		NewFacets(seed, pitch, depth, share),
		NewStones(seed, pitch, depth, 1-share),
		NewGrooves(seed, pitch, pitch*0.6, depth, share, pitch).At(0.3),
		NewGrooves(seed, pitch, pitch*0.6, depth, share, 0).Flat(share),
	}
	all = append(all, groundReliefs(seed, pitch, depth, share)...)
	return append(all, Deepest(all[0], nil, all[2]), Sum(all[1], all[3]), Place(all[0], turn), Inverse(all[1]))
}

// A relief lies between nothing and its depth, changes no faster than it says, and its
// derivative is that of its value.
func TestReliefsKeepTheirWord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		point := func(name string) r3.Vec {
			c := rapid.Float64Range(-20, 20)
			return sdf.V(c.Draw(t, name+"x"), c.Draw(t, name+"y"), c.Draw(t, name+"z"))
		}
		p, step := point("p"), r3.Scale(0.05, point("step"))
		q := r3.Add(p, step)
		for i, h := range reliefs(t) {
			v, g := h.Gradient(p)
			require.Equal(t, h.Value(p), v, i)
			require.GreaterOrEqual(t, v, 0.0, i)
			require.LessOrEqual(t, v, h.Depth()+1e-9, i)
			require.LessOrEqual(t, r3.Norm(g), h.Steepest()+1e-9, i)
			require.LessOrEqual(t, abs(h.Value(q)-v), h.Steepest()*r3.Norm(step)+1e-9, i)
		}
	})
}

// A pruned relief has the bits of the whole one in the ball, within what it says of itself.
func TestPrunedReliefsAreExact(t *testing.T) {
	pruned := 0
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(-1, 1)
		vector := func(name string) r3.Vec {
			return sdf.V(number.Draw(t, name+"x"), number.Draw(t, name+"y"), number.Draw(t, name+"z"))
		}
		ball := sdf.Ball{C: r3.Scale(10, vector("c")), R: math.Pow(10, rapid.Float64Range(-2, 0.5).Draw(t, "log R"))}
		inner := sdf.Ball{R: ball.R / 3}
		inner.C = r3.Add(ball.C, r3.Scale(ball.R/3, vector("inner")))
		all := append(reliefs(t), built(t)...)
		for i, h := range all {
			for _, b := range []sdf.Ball{ball, inner} { // the second of what the first has left
				few := h.Prune(b)
				if few != h {
					pruned++
				}
				require.LessOrEqual(t, few.Cost(), h.Cost(), i)
				for k := range 4 {
					p := r3.Add(b.C, r3.Scale(b.R/math.Sqrt(3), vector(fmt.Sprint(k))))
					v, g := few.Gradient(p)
					require.Equal(t, h.Value(p), few.Value(p), i)
					require.Equal(t, h.Value(p), v, i)
					require.LessOrEqual(t, v, few.Depth()+1e-9, i)
					require.LessOrEqual(t, r3.Norm(g), few.Steepest()+1e-9, i)
				}
				h = few
			}
		}
	})
	require.Positive(t, pruned)
}

func abs(x float64) float64 { return max(x, -x) }

// A carved solid keeps what package sdf promises, and the relief's depth below the face.
func TestCarvedFieldsAreHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		box := sdf.BoxEased(sdf.V(-4, -3, -2), sdf.V(4, 3, 0), 0.3)
		all := reliefs(t)
		h := all[rapid.IntRange(0, len(all)-1).Draw(t, "relief")]
		f := Carve(box, h)
		sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(-6, -5, -4), Max: sdf.V(6, 5, 2)}, rapid.Uint64().Draw(t, "probes"))
		x, y := rapid.Float64Range(-2, 2).Draw(t, "x"), rapid.Float64Range(-2, 2).Draw(t, "y")
		if _, turned := h.(*placed); turned || h.Value(sdf.V(x, y, 0)) != h.Value(sdf.V(x, y, -1)) {
			return // a relief that changes with the height: there is no closed form
		}
		require.InDelta(t, -h.Value(sdf.V(x, y, 0)), sdftest.DropOnto(t, f, x, y, 1), 2e-3)
	})
}

// Beyond its reach a relief is not looked at: the value is the solid's own.
func TestCarvedCostsNothingFarOff(t *testing.T) {
	box := sdf.BoxBetween(sdf.V(-4, -3, -2), sdf.V(4, 3, 0))
	h := NewFacets(1, 1, 0.3, 0)
	f := Carve(box, h)
	for _, z := range []float64{0.3, 1, 5} {
		p := sdf.V(0.4, 0.2, z)
		require.Equal(t, box.Value(p), f.Value(p))
	}
	require.Equal(t, box.Prune(sdf.Ball{C: sdf.V(0, 0, 2), R: 1}), f.Prune(sdf.Ball{C: sdf.V(0, 0, 2), R: 1}))
}
