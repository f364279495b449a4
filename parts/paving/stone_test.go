package paving

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/sdftest"
)

func drawStone(t *rapid.T) (stoneShape, *stone) {
	outline := sdftest.Corners(0, 0, 4, 0, 4, 2, 0, 2)
	for range rapid.IntRange(0, 3).Draw(t, "cuts") {
		way := rapid.Float64Range(0, 2*math.Pi).Draw(t, "way")
		n := r2.Vec{X: math.Cos(way), Y: math.Sin(way)}
		if cut := planar.ClipLine(outline, n, planar.Dot2(n, r2.Vec{X: 2, Y: 1})+rapid.Float64Range(0.3, 2).Draw(t, "at")); cut != nil {
			outline = cut
		}
	}
	s := stoneShape{
		outline: outline, box: planar.Bounds(outline), level: 3, foot: 1.5,
		arris: rapid.Float64Range(0, 0.8).Draw(t, "arris"),
	}
	return s, newStone(s)
}

func TestStoneIsHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, st := drawStone(t)
		sdftest.RequireHonest(t, st, st.Bounds(), rapid.Uint64().Draw(t, "samples"))
	})
}

// A stone stays within its outline and under its level.
func TestStoneStaysInItsPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, st := drawStone(t)
		shape := planar.NewConvex(s.outline)
		for range 200 {
			p := sdf.V(rapid.Float64Range(-1, 5).Draw(t, "x"), rapid.Float64Range(-1, 3).Draw(t, "y"), rapid.Float64Range(1, 3.5).Draw(t, "z"))
			if st.Value(p) < -1e-9 {
				require.Negative(t, shape.At(r2.Vec{X: p.X, Y: p.Y}))
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
		outline: sdftest.Corners(0, 0, 4, 0, 4, 2, 0, 2), box: r2.Box{Max: r2.Vec{X: 4, Y: 2}},
		level: 3, foot: 0, arris: r,
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

// hewnStone draws a stone hewn of planes, with the sizes of its paving.
func hewnStone(t *rapid.T) (*parts.Site, *pavingSizes, laid) {
	shape, _ := drawStone(t)
	p := quay("quay", rapid.Float64Range(0, 1).Draw(t, "wear"), 1)
	p.Surface = new(rapid.SampledFrom([]string{"rubbed", "tooled", "rock-faced", "domed", "brick", "concrete", "boards", "plate", "plain"}).Draw(t, "surface"))
	s := partstest.Site(p)
	l := laid{long: r2.Vec{X: 1}, lot: drawLot(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "lot"), 1)))}
	l.take(shape.outline)
	l.polish = rapid.Float64Range(0, 1).Draw(t, "polish")
	l.settled, l.fall = rapid.Float64Range(0, 0.2).Draw(t, "settled"), r2.Vec{X: rapid.Float64Range(-0.05, 0.05).Draw(t, "fall")}
	l.even = rapid.Bool().Draw(t, "even")
	return s, p.settled(s), l
}

// A hewn stone with its texture keeps the promise of fields, and stays within its outline
// and under its level; one that lies true reaches it.
func TestHewnStoneStaysInItsPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, z, l := hewnStone(t)
		f := l.stone(s, 3, 1.5, z)
		sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(-0.5, -0.5, 1), Max: sdf.V(4.5, 2.5, 3.5)}, rapid.Uint64().Draw(t, "samples"))
		shape, highest := planar.NewConvex(l.outline), 0.0
		for x := -0.2; x < 4.2; x += 0.17 {
			for y := -0.2; y < 2.2; y += 0.17 {
				if d := shape.At(r2.Vec{X: x, Y: y}); d >= 0 {
					require.GreaterOrEqual(t, f.Value(sdf.V(x, y, 2.2)), -1e-12)
					continue
				}
				require.GreaterOrEqual(t, f.Value(sdf.V(x, y, 3+1e-9)), 0.0)
				if d := shape.At(r2.Vec{X: x, Y: y}); l.even && d < -0.2 {
					top := sdftest.DropOnto(t, f, x, y, 4)
					highest = math.Max(highest, top)
					require.GreaterOrEqual(t, top, 3-3*s.Grain()-z.wear.arris, "a shallow texture")
				}
			}
		}
		if l.even && highest > 0 && planar.Inradius(l.outline) > 0.5 {
			require.InDelta(t, 3, highest, 0.06)
		}
	})
}

// BenchmarkStoneValue looks at one worn flag, near its top.
func BenchmarkStoneValue(b *testing.B) {
	p := quay("quay", 0.5, 1)
	s := partstest.Site(p)
	stones := p.laying(s).stones
	l := &stones[len(stones)/2]
	f := l.stone(s, 3, 1.5, p.settled(s))
	x := 0.0
	for b.Loop() {
		x = math.Mod(x+0.731, 1)
		f.Value(sdf.V(l.box.Min.X+x, l.box.Min.Y+1, 2.9))
	}
}
