package wild

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/partstest"
	"socle/sdf"
	"socle/sdf/sdftest"
)

func hedge(s *parts.Site, seed uint64) *Hedge {
	return &Hedge{Line: course.Line{Named: parts.Named{Name: "hedge"}, Points: []r2.Vec{{X: -14}, {X: 4, Y: 2}, {X: 16, Y: -3}}}, Level: &parts.Level{Height: level},
		Height: s.OnPrint(400), Width: s.OnPrint(700), Growth: s.OnPrint(500), Gaps: 0.3, Stones: 0.7, Seed: seed}
}

// A hedge is one piece of an honest field, let into its floor, as high and as wide as it says.
func TestHedges(t *testing.T) {
	for seed, ratio := range []float64{56, 100, 285} {
		for _, gaps := range []float64{0, 0.3, 1} {
			t.Run(fmt.Sprintf("1:%v, gaps %v", ratio, gaps), func(t *testing.T) {
				s := partstest.Quarry(ratio, 1)
				h := hedge(s, uint64(seed))
				h.Gaps = gaps
				f := solid(t, s, h)
				z := h.settled(s)
				sdftest.RequireOnePiece(t, f, r3.Box{}, math.Max(0.25, z.half/16))
				box := f.Bounds()
				sdftest.RequireHonest(t, f, box, uint64(seed))
				require.InDelta(t, level-0.7-parts.Embed, box.Min.Z, 1e-6, "let into what its floor is laid on")
				high := 0.0
				outline := h.outline(z)
				over, step := sdf.Union(f, sdf.HalfSpace(sdf.V(0, 0, 1), level)), math.Max(0.31, z.half/8)
				for x := -18.0; x < 20; x += step {
					for y := -9.0; y < 9; y += step {
						top := sdftest.DropOnto(t, over, x, y, level+z.high+z.growth+1)
						high = math.Max(high, top-level)
						if outline.Distance(r2.Vec{X: x, Y: y}) > 0.45*z.stone {
							require.InDelta(t, level, top, 1e-9, "at %v, %v", x, y)
						}
					}
				}
				require.LessOrEqual(t, high, z.high+z.growth+1e-6)
				if gaps < 1 {
					require.Greater(t, high, z.high+0.55*z.growth)
				}
				require.Len(t, h.Plan(s), 2)
				require.Len(t, h.Extents(s), 1)
				require.Positive(t, h.Breaks(s, &parts.Patch{Whole: true})[0].Volume)
			})
		}
	}
}

// The bank alone has the section of its keys: as high as it says over its whole top, and as
// wide at its foot.
func TestHedgeBank(t *testing.T) {
	s := partstest.Quarry(56, 1)
	h := hedge(s, 1)
	h.Points, h.Growth, h.Stones, h.Height, h.Width = []r2.Vec{{X: -20}, {X: 20}}, 0, 0, 8, 16
	f := solid(t, s, h)
	for _, y := range []float64{-2, 0, 3} {
		require.InDelta(t, level+8, sdftest.DropOnto(t, f, 1, y, 50), 1.5, "less its relief")
	}
	over := sdf.Union(f, sdf.HalfSpace(sdf.V(0, 0, 1), level))
	require.Greater(t, sdftest.DropOnto(t, over, 0, 6.5, 50), float64(level))
	require.InDelta(t, level, sdftest.DropOnto(t, over, 0, 8.01, 50), 1e-9)
}

// Stems are no thinner than a pin.
func TestHedgeStemsPrint(t *testing.T) {
	for _, growth := range []float64{3, 9, 30} {
		s := partstest.Quarry(56, 1)
		h := hedge(s, 1)
		h.Growth = growth
		s.Parts = []parts.Part{h}
		require.GreaterOrEqual(t, h.settled(s).stem, s.Print.Pin)
		require.LessOrEqual(t, growth/h.settled(s).stem, 10.0)
	}
}

// Lines that no hedge follows are refused.
func TestHedgeFaults(t *testing.T) {
	for _, along := range [][]r2.Vec{{{}}, {{}, {X: 0.001}}, {{}, {X: 9e4}}, {{}, {X: 20}, {X: 1, Y: 1}}} {
		s := partstest.Quarry(56, 1)
		h := hedge(s, 1)
		h.Points = along
		s.Parts = []parts.Part{h}
		faults := h.Check(s)
		require.Len(t, faults, 1)
		require.Equal(t, "line", faults[0].Key)
	}
	s := partstest.Quarry(56, 1)
	h := hedge(s, 1)
	h.Level = nil
	s.Parts = []parts.Part{h}
	require.Len(t, h.CheckPlace(s), 1)
}

// A bite takes some of a hedge, adds nothing, and leaves what is far from it.
func TestHedgeUnderBite(t *testing.T) {
	s := partstest.Quarry(56, 1)
	h := hedge(s, 1)
	whole := solid(t, s, h)
	bite := parts.Bite{Gone: sdf.Place(sdf.Sphere(5), sdf.At(sdf.V(0, 1, level+6))), Wide: 10, Seed: 4}
	bite.Rough = bite.Gone
	remains := h.Bitten(s, []parts.Bite{bite}, sdf.HalfSpace(sdf.V(0, 0, 1), level))
	require.Len(t, remains, 1)
	left := remains[0].Left()
	lost := 0
	for i := range 8000 {
		p := sdf.V(float64(i%20)-10, float64(i/20%20)/2-5, level+float64(i/400)/2)
		switch w := whole.Value(p); {
		case w >= 0:
			require.GreaterOrEqual(t, left.Value(p), -1e-9)
		case left.Value(p) > 0:
			lost++
			require.Less(t, bite.Gone.Value(p), 6.0, "far off at %v", p)
		}
	}
	require.Positive(t, lost)
}
