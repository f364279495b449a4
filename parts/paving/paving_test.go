package paving

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/partstest/fixtures"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// Nothing of a paving lies above its level or beyond its area, whatever its wear.
func TestPavingStaysInItsPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := drawPaving(t)
		f := p.Solid(s)
		b := p.Area.Bounds()
		shape := p.Area.Shape()
		for range 150 {
			x := b.Min.X - 1 + (b.Max.X-b.Min.X+2)*rapid.Float64Range(0, 1).Draw(t, "x")
			y := b.Min.Y - 1 + (b.Max.Y-b.Min.Y+2)*rapid.Float64Range(0, 1).Draw(t, "y")
			z := rapid.Float64Range(2.5, 4.6).Draw(t, "z")
			v := f.Value(sdf.V(x, y, z))
			if z > 4 || shape.At(r2.Vec{X: x, Y: y}) > 1e-9 {
				require.GreaterOrEqual(t, v, -1e-9)
			}
			if d := shape.At(r2.Vec{X: x, Y: y}); d < -1e-9 {
				require.Negative(t, f.Value(sdf.V(x, y, 4-p.Finish(s).Thickness-0.01)), "the bed fills the area")
			}
		}
	})
}

// quay is a paving of a known size for the tests below.
func quay(name string, wear float64, seed uint64) *Paving {
	return &Paving{
		Named: parts.Named{Name: name}, Level: parts.Level{Height: 3}, Area: parts.Area{Rect: []float64{0, 0, 40, 30}},
		Bond: "running", Stone: &[2]float64{5, 3}, Wear: wear, Seed: seed,
	}
}

func TestHighestStoneReachesTheLevel(t *testing.T) {
	for _, wear := range []float64{0, 0.3, 1} {
		p := quay("quay", wear, 4)
		s := partstest.Site(p)
		f := p.Solid(s)
		highest := math.Inf(-1)
		for _, l := range p.laying(s).stones {
			if !l.flat {
				continue
			}
			for x := l.box.Min.X; x < l.box.Max.X; x += 0.1 {
				for y := l.box.Min.Y; y < l.box.Max.Y; y += 0.1 {
					highest = math.Max(highest, sdftest.SurfaceAt(t, f, x, y, 4))
				}
			}
		}
		require.InDelta(t, 3, highest, 1e-9, "wear %v", wear)
	}
}

func TestPavingIsHonest(t *testing.T) {
	for i, b := range bonds {
		p := quay("quay", 0.2*float64(i), uint64(i))
		p.Bond, p.Turn = b.word, 15*float64(i)
		p.Area = parts.Area{Polygon: sdftest.Corners(0, 0, 24, 0, 24, 9, 11, 8, 14, 20, 0, 20)}
		f := p.Solid(partstest.Site(p))
		sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(0, 0, 1.5), Max: sdf.V(24, 20, 3.2)}, uint64(i))
	}
}

// Wear lowers the surface and never raises it above new work.
func TestWearTakesAway(t *testing.T) {
	mean := func(wear float64) float64 {
		p := quay("quay", wear, 4)
		f := p.Solid(partstest.Site(p))
		sum, n := 0.0, 0
		for x := 0.13; x < 40; x += 0.73 {
			for y := 0.17; y < 30; y += 0.73 {
				sum += sdftest.SurfaceAt(t, f, x, y, 4)
				n++
			}
		}
		return sum / float64(n)
	}
	fresh, worn, ruinous := mean(0), mean(0.5), mean(1)
	require.Greater(t, fresh, worn+0.02)
	require.Greater(t, worn, ruinous+0.02)
}

// The same scene gives the same bits; another seed gives other stones; and one
// paving's seed changes nothing in another.
func TestPavingSeeds(t *testing.T) {
	values := func(f sdf.Field) []float64 {
		var out []float64
		for x := 0.3; x < 40; x += 0.9 {
			for y := 0.4; y < 30; y += 0.9 {
				out = append(out, f.Value(sdf.V(x, y, 2.9)))
			}
		}
		return out
	}
	build := func(seed, other uint64) []float64 {
		p, q := quay("quay", 0.6, seed), quay("mole", 0.6, other)
		q.Level.Height = 9
		return values(p.Solid(partstest.Site(q, p)))
	}
	require.Equal(t, build(1, 1), build(1, 1))
	require.Equal(t, build(1, 1), build(1, 2))
	require.NotEqual(t, build(1, 1), build(2, 1))
}

// More wear works on the same stones: what is missing stays missing.
func TestMoreWearKeepsItsStones(t *testing.T) {
	gone := func(wear float64) map[r2.Vec]bool {
		p := quay("quay", wear, 4)
		s := partstest.Site(p)
		out := map[r2.Vec]bool{}
		for _, l := range p.laying(s).stones {
			if l.missing {
				out[planar.Centroid(l.outline)] = true
			}
		}
		return out
	}
	some, more := gone(0.7), gone(1)
	require.NotEmpty(t, some)
	require.Greater(t, len(more), len(some))
	for c := range some {
		require.True(t, more[c])
	}
}

// fakeFlight stands for a stair that measures from the paving.
type fakeFlight struct {
	parts.Named
	lies []parts.Lie
}

func (f *fakeFlight) Landings(*parts.Site) []parts.Lie { return f.lies }

// Within one stone of a landing the paving lies true but for the texture of its stones,
// even where all else is ruined; elsewhere and at another level it does not.
func TestStonesLieTrueAtALanding(t *testing.T) {
	p := quay("quay", 1, 4)
	p.Missing = new(0.5)
	lie := parts.Lie{A: r2.Vec{X: 12, Y: 15}, B: r2.Vec{X: 20, Y: 15}, Height: 3}
	var levels []bool
	off := func(height float64) (worst float64) {
		lie.Height = height
		s := partstest.Site(p, &fakeFlight{parts.Named{Name: "flight"}, []parts.Lie{lie}})
		f := p.Solid(s)
		for _, l := range p.laying(partstest.Site(p)).stones { // as it would lie without the stair
			mid := planar.Centroid(l.outline)
			if math.Abs(mid.Y-15) < 4 && mid.X > 9 && mid.X < 23 {
				worst = math.Max(worst, 3-sdftest.SurfaceAt(t, f, mid.X, mid.Y, 4))
				if height == 3 {
					levels = append(levels, p.EvenAt(s, mid))
				}
			}
		}
		return worst
	}
	require.LessOrEqual(t, off(3), 0.15, "half of the least relief")
	require.Contains(t, levels, true)
	require.Greater(t, off(4), 0.3)
	p.Surface = new("plain")
	require.Less(t, off(3), 1e-9, "to the bit")
}

// At a scale that loses the joints and the blocks, both are drawn at what the
// print can hold, and the build says so.
func TestPavingAtSmallScale(t *testing.T) {
	p := quay("quay", 0.2, 1)
	p.Stone, p.Bond = nil, "herringbone"
	s := partstest.Site(p)
	s.Scale.Ratio = 285
	z := p.settled(s)
	require.Equal(t, 0.3, z.joint, "10 mm at 1:285 is 0.035 mm")
	require.InDelta(t, 0.9, z.module.short, 1e-12, "100 mm at 1:285 is 0.35 mm")
	require.InDelta(t, 1.8, z.module.long, 1e-12)
	var keys []string
	for _, n := range p.Notes(s) {
		require.Equal(t, "quay", n.Part)
		keys = append(keys, n.Key)
	}
	require.Equal(t, []string{"joint", "stone"}, keys)

	s = partstest.Site(p)
	s.Scale.Ratio = 20
	require.Empty(t, p.Notes(s), "10 mm joints are 0.5 mm at 1:20")
}

// Too many stones are a fault before any is made, and counting them costs nothing.
func TestTooManyStones(t *testing.T) {
	p := quay("quay", 0.2, 1)
	s := partstest.Site(p)
	s.Print.Gap = 0.05
	p.Area = parts.Area{Rect: []float64{0, 0, 90_000, 90_000}}
	for _, b := range bonds {
		p.Bond, p.Stone = b.word, &[2]float64{0.3, 0.15}
		faults := p.Check(s.With(s.Parts))
		require.Len(t, faults, 1)
		require.Equal(t, "stone", faults[0].Key)
	}
	p.Area = parts.Area{Rect: []float64{0, 0, 3}}
	s = s.With(s.Parts)
	require.Len(t, p.Check(s), 1)
	require.Equal(t, "area.rect", p.Check(s)[0].Key)
}

// A worn paving in uneven ground is one solid with it: columns have no gaps.
func TestPavingHasNoHollows(t *testing.T) {
	g := fixtures.FlatGround()
	g.Surface, g.Amplitude = "uneven", new(1.5)
	p := quay("quay", 1, 6)
	p.Area = parts.Area{Oval: []float64{30, 20, 44, 30}, Turn: 20}
	p.Missing = new(0.2)
	p.Chipped = new(0.0) // a chip may undercut by a hair
	s := partstest.Site(g, p)
	sdftest.RequireSolidColumns(t, sdf.Union(g.Solid(s), p.Solid(s)), r2.Box{Min: r2.Vec{X: 5, Y: 3}, Max: r2.Vec{X: 55, Y: 37}}, 4, -20)
}

// BenchmarkPavingValue looks at a worn paving of some 900 stones, near its surface.
func BenchmarkPavingValue(b *testing.B) {
	p := quay("quay", 0.5, 1)
	p.Stone = &[2]float64{1.8, 0.9}
	f := p.Solid(partstest.Site(p))
	x := 0.0
	for b.Loop() {
		x = math.Mod(x+7.31, 40)
		f.Value(sdf.V(x, math.Mod(x*3.7, 30), 2.9))
	}
}
