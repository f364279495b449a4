package fracture

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/partstest"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// slab is 40 x 30 mm, a bite a ball or a shaft in it.
func slab(thick float64) (sdf.Field, r3.Box) {
	box := r3.Box{Max: sdf.V(40, 30, thick)}
	return sdf.BoxBetween(box.Min, box.Max), box
}

func shaft(x, y, radius float64, seed uint64) parts.Bite {
	f := sdf.Place(sdf.Cylinder(radius, 100, 0), sdf.At(sdf.V(x, y, -50)))
	return parts.Bite{Gone: f, Rough: f, Wide: 2 * radius, Seed: seed}
}

func drawBreak(t *rapid.T) (Break, parts.Bite) {
	thick := rapid.Float64Range(1, 5).Draw(t, "thick")
	work, box := slab(thick)
	bite := shaft(rapid.Float64Range(0, 40).Draw(t, "x"), rapid.Float64Range(0, 30).Draw(t, "y"),
		rapid.Float64Range(6, 10).Draw(t, "radius"), rapid.Uint64().Draw(t, "seed"))
	size := rapid.Float64Range(2.2, 4).Draw(t, "size")
	return Break{Work: work, Box: box, Size: Even(size)}, bite
}

// What lies a chunk deep in a bite is gone, what lies a chunk outside is not; between them
// the break goes by whole chunks.
func TestAChunkIsTheMostThatABreakStraysFromItsBite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, bite := drawBreak(t)
		taken := b.Taken([]parts.Bite{bite})[0]
		if taken == nil {
			return
		}
		l := b.lattice(b.Box, b.Size, bite.Seed)
		rng := rand.New(rand.NewPCG(1, 2))
		for range 60 {
			p := sdf.V(40*rng.Float64(), 30*rng.Float64(), b.Box.Max.Z*rng.Float64())
			v := bite.Gone.Value(p)
			if b.Work.Value(p) < 0 && v < -l.reach {
				require.Negative(t, taken.Value(p), "deep in the bite at %v", p)
			}
			if v > 3*l.reach {
				require.Positive(t, taken.Value(p), "far from the bite at %v", p)
			}
		}
	})
}

// What a break leaves of a slab is in one piece unless the bite cut it in two, and no skin
// stands between chunks that are gone.
func TestABreakLeavesNoLooseBits(t *testing.T) {
	for seed := range uint64(6) {
		work, box := slab(2)
		bite := shaft(20+3*float64(seed), 14, 6+float64(seed)/2, seed)
		b := Break{Work: work, Box: box, Size: Even(2.2)}
		left := parts.Remains{Work: work, Taken: b.Taken([]parts.Bite{bite})}.Left()
		sdftest.RequireOnePiece(t, left, r3.Box{}, 0.15)
	}
}

// The faces are flat: on the broken face the gradient takes few directions.
func TestBrokenFacesAreFlat(t *testing.T) {
	work, box := slab(2)
	bite := shaft(20, 15, 8, 3)
	taken := Break{Work: work, Box: box, Size: Even(2.2)}.Taken([]parts.Bite{bite})[0]
	seen := map[[3]int]bool{}
	n := 0
	for i := range 720 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 360)
		for r := 5.0; r < 16; r += 0.01 {
			p := sdf.V(20+r*cos, 15+r*sin, 1)
			if taken.Value(p) > 0 {
				_, g := taken.Gradient(p)
				seen[[3]int{int(math.Round(100 * g.X)), int(math.Round(100 * g.Y)), int(math.Round(100 * g.Z))}] = true
				n++
				break
			}
		}
	}
	require.Greater(t, n, 700)
	require.Less(t, len(seen), 80, "of %d places", n)
	require.Greater(t, len(seen), 10)
}

func TestBreaksAreHonestFields(t *testing.T) {
	work, box := slab(3)
	bite := shaft(18, 14, 7, 5)
	sdftest.RequireHonest(t, Break{Work: work, Box: box, Size: Even(2)}.Taken([]parts.Bite{bite})[0], box, 1)
	sdftest.RequireHonest(t, Boards{Box: box, Width: 3}.Taken([]parts.Bite{bite})[0], box, 2)
	ball := bite
	ball.Gone = sdf.Place(sdf.Sphere(9), sdf.At(sdf.V(20, 15, 4)))
	sdftest.RequireHonest(t, Upright([]parts.Bite{ball}, 2)[0].Gone, box, 3)
}

// A bite narrower than two chunks breaks none out: the work is scored as the damage cuts.
func TestNarrowBitesScore(t *testing.T) {
	work, box := slab(3)
	bite := shaft(18, 14, 1, 5)
	require.Equal(t, bite.Rough, Break{Work: work, Box: box, Size: Even(3)}.Taken([]parts.Bite{bite})[0])
	require.Equal(t, bite.Rough, Boards{Box: box, Width: 3}.Taken([]parts.Bite{bite})[0])
}

// However large the bite, a break stays within its bounds.
func TestALargeBreakHasFewChunks(t *testing.T) {
	box := r3.Box{Max: sdf.V(2000, 2000, 300)}
	bite := shaft(900, 900, 500, 1)
	f := Break{Work: sdf.BoxBetween(box.Min, box.Max), Box: box, Size: Even(1.2)}.Taken([]parts.Bite{bite})[0]
	require.NotNil(t, f)
	require.Less(t, f.Cost(), 40*mostChunks)
}

// Bars of 8 mm at 200 mm, where the print can hold them; else as the print can, with two
// pins between.
func TestReinforcementIsThePublishedMesh(t *testing.T) {
	s := partstest.Quarry(4, 1)
	s.Inspect.Slender = 10
	m := MeshOf(s)
	require.InDelta(t, 2, m.Thick, 1e-9)
	require.InDelta(t, 50, m.Spacing, 1e-9)
	rapid.Check(t, func(t *rapid.T) {
		s := partstest.Quarry(rapid.Float64Range(1, 2000).Draw(t, "ratio"), 1)
		s.Inspect.Slender = rapid.Float64Range(1, 100).Draw(t, "slender")
		m := MeshOf(s)
		require.GreaterOrEqual(t, m.Thick, s.Print.Pin)
		require.GreaterOrEqual(t, m.Spacing-m.Thick, 2*s.Print.Pin)
		require.LessOrEqual(t, m.Longest, math.Max(2, s.Inspect.Slender/2)*m.Thick)
	})
}

// Every bar sticks out of the break by two to five times its thickness at most, and is
// rooted in the slab.
func TestBarsAreRooted(t *testing.T) {
	work, box := slab(3)
	bite := shaft(20, 15, 8, 3)
	left := parts.Remains{Work: work, Taken: Break{Work: work, Box: box, Size: Even(3)}.Taken([]parts.Bite{bite})}.Left()
	m := Mesh{Thick: 0.8, Spacing: 2.8, Longest: 4}
	bars := m.Bars(work, left, 0, 3, &bite, box)
	require.Greater(t, len(bars), 16)
	sdftest.RequireOnePiece(t, sdf.Union(append(bars, left)...), r3.Box{Min: sdf.V(0, 0, -4), Max: sdf.V(40, 30, 4)}, 0.2)
	for _, b := range bars {
		e := b.Bounds()
		require.True(t, e.Min.X > 0.3 && e.Max.X < 39.7 && e.Min.Y > 0.3 && e.Max.Y < 29.7, "bars of the break alone: %v", e)
	}
	require.Empty(t, m.Bars(work, work, 0, 3, &bite, box), "none where nothing broke")
}

// Tongues of plate hang together with it, and none is thinner than it should be.
func TestTonguesHangOnTheirPlate(t *testing.T) {
	work, box := slab(1.2)
	for seed := range uint64(4) {
		bite := shaft(20, 15, 8, seed)
		left := parts.Remains{Work: work, Taken: Break{Work: work, Box: box, Size: Even(3)}.Taken([]parts.Bite{bite})}.Left()
		all := Tongues{Box: box, Level: 0.6, Thick: 1, Width: 2.4}.Of(left, &bite)
		require.GreaterOrEqual(t, len(all), 6)
		sdftest.RequireOnePiece(t, sdf.Union(append(all, left)...), r3.Box{Min: sdf.V(0, 0, -8), Max: sdf.V(40, 30, 8)}, 0.2)
	}
}

// Boards end at unequal lengths, each near the edge of the bite.
func TestBoardsEndUnequally(t *testing.T) {
	work, _ := slab(1.2)
	bite := shaft(20, 15, 8, 4)
	taken := Boards{Box: r3.Box{Min: sdf.V(0, 0, -1), Max: sdf.V(40, 30, 3)}, Width: 2}.Taken([]parts.Bite{bite})
	left := parts.Remains{Work: work, Taken: taken}.Left()
	var ends []float64
	for k := 7; k <= 12; k++ {
		x := 2*float64(k) + 1
		y := 15.0
		for left.Value(sdf.V(x, y, 0.6)) > 0 {
			y += 0.05
		}
		edge := 15 + math.Sqrt(64-(x-20)*(x-20))
		ends = append(ends, y-edge)
		require.InDelta(t, edge, y, 8, "a board of 2 mm")
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, e := range ends {
		lo, hi = math.Min(lo, e), math.Max(hi, e)
	}
	require.Greater(t, hi-lo, 1.0)
	sdftest.RequireOnePiece(t, left, r3.Box{}, 0.15)
}
