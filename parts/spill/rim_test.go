package spill

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// Over random debris and bases a rim leaves no sliver: of each body that it cuts at least a
// third is left, at least as wide as a pin or as the body itself, and the middle of its
// fragment, under which it is bedded, lies within.
func TestRimsLeaveNoSlivers(t *testing.T) {
	cut := 0
	rapid.Check(t, func(t *rapid.T) {
		s, p := heapSite()
		p.Seed = rapid.Uint64().Draw(t, "seed")
		p.Matter = rapid.SampledFrom(parts.Forms[:]).Draw(t, "matter")
		p.Count, p.Size = new(12), &[2]float64{rapid.Float64Range(0.8, 1.5).Draw(t, "least"), rapid.Float64Range(2, 6).Draw(t, "most")}
		if rapid.Bool().Draw(t, "heaped") {
			p.Heap = 2
		}
		var rims [][]r2.Vec
		for range rapid.IntRange(1, 3).Draw(t, "bases") {
			c := r2.Vec{X: rapid.Float64Range(90, 110).Draw(t, "x"), Y: rapid.Float64Range(90, 110).Draw(t, "y")}
			rims = append(rims, planar.Ellipse(c, rapid.Float64Range(5, 12).Draw(t, "long"), rapid.Float64Range(5, 12).Draw(t, "short")))
		}
		s.LayRims(rims)
		d := p.lay(s, sdf.BoxBetween(sdf.V(0, 0, -5), sdf.V(200, 200, 3)))
		require.NotEmpty(t, d.fragments)
		for _, f := range d.fragments {
			for _, b := range f.bodies {
				hull := b.hull()
				whole, wide := planar.SignedArea(hull), 2*planar.Inradius(hull)
				for _, o := range rims {
					left := planar.ClipTo(hull, o)
					if left == nil || planar.SignedArea(left) > whole*(1-1e-5) {
						continue
					}
					cut++
					require.GreaterOrEqual(t, planar.SignedArea(left), whole/3)
					require.GreaterOrEqual(t, 2*planar.Inradius(left), math.Min(s.Print.Pin, 0.97*wide))
				}
			}
		}
	})
	require.Positive(t, cut, "some are cut, and read as going on")
}

// Every fragment rests, on the finished solid: by upright lines through it, what lies right
// under it, within the least gap, is on all sides of its middle, or under that.
func TestEveryFragmentRestsOnTheFinishedSolid(t *testing.T) {
	for _, matter := range parts.Forms {
		s, p := heapSite()
		p.Matter, p.Count, p.Size, p.Heap = matter, new(40), &[2]float64{0.9, 5}, 4
		under := sdf.BoxBetween(sdf.V(0, 0, -5), sdf.V(200, 200, 3))
		d := p.lay(s, under)
		require.Greater(t, len(d.fragments), 40)
		for i, f := range d.fragments {
			rest := finished(under, without(d, i))
			var held []r2.Vec
			for _, b := range f.bodies {
				const across = 15
				size := r2.Vec{X: b.Box.Max.X - b.Box.Min.X, Y: b.Box.Max.Y - b.Box.Min.Y}
				for k := range across * across {
					q := r2.Vec{X: b.Box.Min.X + size.X*(float64(k%across)+0.5)/across, Y: b.Box.Min.Y + size.Y*(float64(k/across)+0.5)/across}
					lo, _, _, ok := b.Pierce(q.X, q.Y)
					if ok && (rest.Value(sdf.V(q.X, q.Y, lo+1e-3)) < 0 || rest.Value(sdf.V(q.X, q.Y, lo-s.Print.Gap)) < 0) {
						held = append(held, q)
					}
				}
			}
			require.NotEmpty(t, held, "%s %d", matter, i)
			require.Less(t, outside(planHull(held), f.seat.bed), 0.1*f.size, "%s %d of %v mm", matter, i, f.size)
		}
	}
}

// Whole bricks, halves and bats: 215 x 102.5 x 65 mm (BS EN 771 usage, BS 4729), a half half as
// long, and a bat broken within the middle third.
func TestBricksHalvesAndBats(t *testing.T) {
	s, p := heapSite()
	s.Scale.Ratio = 40
	p.Matter, p.Size, p.Count = "bricks", &[2]float64{0.8, 9}, new(600)
	z := p.settled(s)
	require.Len(t, z.stuff, 1)
	x := &z.stuff[0]
	require.InDelta(t, 215.0/40, x.Unit.X, 1e-9)
	require.InDelta(t, 102.5/40, x.Unit.Y, 1e-9)
	require.InDelta(t, 65.0/40, x.Unit.Z, 1e-9)
	rng := s.Rand("x", 1, "y")
	var whole, half, bat float64
	for _, l := range z.lots(rng) {
		f := l.stuff.shard(rng, l.size)
		box := f.box()
		long := l.size / x.Unit.X
		switch {
		case long == 1:
			whole++
			sides := []float64{box.X, box.Y, f.height}
			require.InDelta(t, 215.0/40, sides[0], 1e-6)
			require.InDelta(t, (102.5+65)/40, sides[1]+sides[2], 1e-6, "flat or on edge")
		case math.Abs(long-0.5) < 1e-9:
			half++
		default:
			bat++
			require.GreaterOrEqual(t, long, 1.0/3)
			require.LessOrEqual(t, long, 2.0/3)
		}
		if long < 1 {
			require.InDelta(t, 215.0/40*long, math.Max(box.X, 1e-9), 0.3*102.5/40, "its end is broken")
		}
	}
	require.InDelta(t, wholeShare, whole/600, 0.01)
	require.InDelta(t, halfShare, half/600, 0.01)
	require.InDelta(t, 1-wholeShare-halfShare, bat/600, 0.01)
}

// box is the extent of a shard.
func (s *shard) box() r2.Vec {
	all, _ := s.outline()
	b := planar.Bounds(all)
	return r2.Sub(b.Max, b.Min)
}

// Bars are those of the published series (BS 4483 and BS 8666 usage).
func TestNominalBars(t *testing.T) {
	for thick, want := range map[float64]float64{60: 6, 100: 8, 150: 10, 200: 16, 400: 25, 600: 40, 2000: 40} {
		require.Equal(t, want, parts.NominalBar(thick))
	}
}

// Bars stick out of lumps of slab no thinner than a pin, and short of what is slender; both
// their ends are held.
func TestBarsOfLumps(t *testing.T) {
	s, p := heapSite()
	p.Matter, p.Size, p.Count = "slabs", &[2]float64{2, 7}, new(60)
	s.Scale.Ratio = 56
	p.Area.Round[2] = 60
	under := sdf.BoxBetween(sdf.V(0, 0, -5), sdf.V(200, 200, 3))
	d := p.lay(s, under)
	rods := 0
	for i, f := range d.fragments {
		for k := 0; k+1 < len(f.rods); k += 2 {
			rods++
			box := f.rods[k+1].Bounds()
			long := math.Hypot(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y)
			require.Less(t, long, 10*s.Print.Pin)
			require.GreaterOrEqual(t, box.Max.Z-box.Min.Z, s.Print.Pin-1e-9)
			start := f.rods[k].Bounds()
			inside := sdf.Intersection(f.rods[k], f.bodies[0].Polytope)
			require.Positive(t, sdftest.Volume(inside, start, 0.1), "fragment %d holds one end", i)
			require.Positive(t, sdftest.Volume(sdf.Intersection(f.rods[k+1], finished(under, without(d, i))), box, 0.1), "and the other lies on something")
		}
	}
	require.Greater(t, rods, 5)
}

// without is debris without one of its fragments.
func without(d debris, i int) debris {
	d.fragments = append(append([]rested{}, d.fragments[:i]...), d.fragments[i+1:]...)
	return d
}
