package spill

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/crater"
	"socle/parts/partstest"
	"socle/parts/partstest/built"
	"socle/parts/partstest/fixtures"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/sdftest"
)

// strewnSite is a rough crater in flat ground with debris from it.
func strewnSite() (*parts.Site, *Spill) {
	s, c := fixtures.CraterSite()
	s.Inspect.Overhang = 1.5
	c.Roughness, c.Cracks, c.Spall = 0.5, nil, nil
	p := &Spill{Named: parts.Named{Name: "debris"}, From: "hit", Matter: "stones", Exponent: 2.5, Sherds: 0.3, Repose: 35, Seed: 1}
	s.Parts = append(s.Parts, p)
	return s, p
}

// coarse are the fragments beside those of the heap and the fines.
func coarse(d debris) []rested { return d.fragments[d.heaped : len(d.fragments)-d.fines] }

// The sizes follow N(>r) ~ r^-2.5 over one decade (Turcotte 1986): the exponent by
// maximum likelihood over the fragments that are laid.
func TestSpillSizeLaw(t *testing.T) {
	for _, want := range []float64{2, 2.5, 3} {
		s, p := heapSite()
		p.Area.Round[2] = 90
		p.Size, p.Count, p.Exponent = &[2]float64{0.5, 5}, new(1500), want
		laid := coarse(p.lay(s, built.Struck(s)))
		require.Greater(t, len(laid), 1450)
		sum := 0.0
		for _, f := range laid {
			require.GreaterOrEqual(t, f.size, 0.5)
			require.LessOrEqual(t, f.size, 5.0)
			sum += math.Log(f.size / 0.5)
		}
		require.InDelta(t, want, likeliest(sum/float64(len(laid)), math.Log(10)), 0.08)
	}
}

// likeliest is the exponent of greatest likelihood of a power law over [1, e^l]
// with a mean logarithm m: the root of 1/d - l/(e^(d l) - 1) = m.
func likeliest(m, l float64) float64 {
	lo, hi := 0.1, 20.0
	for range 80 {
		if d := (lo + hi) / 2; 1/d-l/math.Expm1(d*l) > m {
			lo = d
		} else {
			hi = d
		}
	}
	return lo
}

// None floats: every fragment bites into the field under the spill or into fragments laid
// before it, under its middle or on all sides of that.
func TestSpillNoneFloats(t *testing.T) {
	bare, _ := strewnSite()
	bare.Parts = append(bare.Parts, partstest.Block("wall", sdf.V(90, 104, 2), sdf.V(130, 106, 12)))
	struck := built.Struck(bare)
	rapid.Check(t, func(t *rapid.T) {
		s, p := strewnSite()
		p.Seed = rapid.Uint64().Draw(t, "seed")
		p.Count = new(rapid.IntRange(1, 8).Draw(t, "count"))
		p.Size = &[2]float64{rapid.Float64Range(0.5, 1.5).Draw(t, "least"), rapid.Float64Range(1.5, 8).Draw(t, "most")}
		p.Sherds = rapid.Float64Range(0, 1).Draw(t, "sherds")
		p.Matter = rapid.SampledFrom(append([]string{"found"}, parts.Forms[:]...)).Draw(t, "matter")
		p.Under = rapid.SampledFrom([]string{"open", "filled"}).Draw(t, "under")
		if rapid.Bool().Draw(t, "heaped") {
			p.Heap = rapid.Float64Range(0.5, 2).Draw(t, "heap")
		}
		s.Parts = append(s.Parts, bare.Parts[len(bare.Parts)-1])
		under := struck
		d := p.lay(s, under)
		laid := d.fragments
		if d.core != nil {
			under = sdf.Union(under, d.core)
		}
		for i, f := range laid {
			require.NotEmpty(t, f.seat.on)
			solid := f.bodies[0]
			for _, at := range f.seat.on {
				require.Less(t, solid.Value(at), 0.0, "fragment %d is bedded", i)
				bedded := under.Value(at) < 0 || slices.ContainsFunc(laid[:i], func(o rested) bool {
					return slices.ContainsFunc(o.bodies, func(b body) bool { return b.Value(at) < 0 })
				})
				require.True(t, bedded, "fragment %d has something under it", i)
			}
			require.GreaterOrEqual(t, f.seat.normal.Z, math.Cos(steepestRest*math.Pi/180))
		}
	})
}

// Fragments lie within the reach, evenly in the crater and with a density that
// falls as x^-3 outside it.
func TestSpillReachAndDensity(t *testing.T) {
	s, p := strewnSite()
	p.Count, p.Size, p.Reach = new(2000), &[2]float64{0.5, 0.6}, new(2.0)
	s.Find("hit").(*crater.Crater).Roughness = 0
	laid := coarse(p.lay(s, built.Struck(s)))
	var rings [8]float64 // of a quarter of a radius
	for _, f := range laid {
		x := math.Hypot(f.seat.at.X-100, f.seat.at.Y-100) / 20
		require.LessOrEqual(t, x, 2.0+1e-9)
		rings[min(int(4*x), 7)]++
	}
	total := 1 + 2*(1-1/2.0)
	for i, n := range rings {
		a, b := float64(i)/4, float64(i+1)/4
		want := b*b - a*a
		if a >= 1 {
			want = 2 * (1/a - 1/b)
		}
		want *= float64(len(laid)) / total
		require.InDelta(t, want, n, 5*math.Sqrt(want), "from %v to %v radii", a, b)
	}
}

// Over an area every fragment lies within it; along a gouge within its reach.
func TestSpillPlaces(t *testing.T) {
	s, p := strewnSite()
	p.From, p.Area, p.Count = "", &parts.Area{Polygon: sdftest.Corners(20, 20, 60, 20, 40, 50)}, new(300)
	require.Empty(t, p.Check(s))
	laid := coarse(p.lay(s, built.Struck(s)))
	require.Greater(t, len(laid), 260)
	for _, f := range laid {
		require.LessOrEqual(t, p.Area.Distance(r2.Vec{X: f.seat.at.X, Y: f.seat.at.Y}), 0.0)
	}

	s, g := fixtures.GougeSite()
	p = &Spill{Named: parts.Named{Name: "debris"}, From: "scar", Exponent: 2.5, Repose: 35, Count: new(150), Size: &[2]float64{0.5, 1}}
	s.Parts = append(s.Parts, p)
	laid = coarse(p.lay(s, built.Struck(s)))
	require.Greater(t, len(laid), 140)
	inside := 0
	for _, f := range laid {
		d := planar.SegmentDistance(r2.Vec{X: f.seat.at.X, Y: f.seat.at.Y}, *g.From, *g.To)
		require.LessOrEqual(t, d, 2.5*4+1e-9)
		if d < 4 {
			inside++
		}
	}
	require.InDelta(t, 1/(1+(1-1/6.25)/2), float64(inside)/float64(len(laid)), 0.12)
}

// The share asked for is about the share covered.
func TestSpillAmount(t *testing.T) {
	s, p := strewnSite()
	p.From, p.Area, p.Amount, p.Size = "", &parts.Area{Rect: []float64{20, 20, 40, 40}}, new(0.2), &[2]float64{0.8, 4}
	laid := coarse(p.lay(s, built.Struck(s)))
	require.GreaterOrEqual(t, p.Pieces(s), len(laid)+1)
	covered := 0
	const n = 200
	for i := range n * n {
		x, y := 20+40*(float64(i%n)+0.5)/n, 20+40*(float64(i/n)+0.5)/n
		if slices.ContainsFunc(laid, func(f rested) bool {
			b := f.bodies[0].Box
			if x < b.Min.X || x > b.Max.X || y < b.Min.Y || y > b.Max.Y {
				return false
			}
			_, hi, _, ok := f.bodies[0].Pierce(x, y)
			return ok && hi > 3
		}) {
			covered++
		}
	}
	require.InDelta(t, 0.2, float64(covered)/(n*n), 0.04)
}

// The same debris every time; another seed, or another name, other debris; and
// a change of one spill moves nothing of another.
func TestSpillSeeds(t *testing.T) {
	s, p := strewnSite()
	p.Count = new(60)
	under := built.Struck(s)
	seats := func(p *Spill) []seat {
		s := s.With(s.Parts)
		laid := coarse(p.lay(s, under))
		var out []seat
		for _, f := range laid {
			out = append(out, f.seat)
		}
		return out
	}
	a := seats(p)
	require.Equal(t, a, seats(p))
	other := *p
	other.Name = "more"
	s.Parts = append(s.Parts, &other)
	require.NotEqual(t, a, seats(&other))
	other.Seed = 9
	require.Equal(t, a, seats(p))
	p.Seed = 2
	require.NotEqual(t, a, seats(p))
}

// Fragments below what prints are raised to it, and the build says so.
func TestSpillPrintMinimum(t *testing.T) {
	s, p := strewnSite()
	p.Count, p.Size = new(50), &[2]float64{0.1, 0.3}
	laid := coarse(p.lay(s, built.Struck(s)))
	for _, f := range laid {
		require.InDelta(t, 0.5, f.size, 1e-12)
	}
	under := built.Struck(s)
	require.Empty(t, p.Notes(s), "not laid yet")
	require.NotNil(t, p.Spill(s, under))
	notes := []parts.Note{{Part: "debris", Key: "size", Text: "fragments of 0.10 mm are drawn at 0.50 mm at least, so that they print"}}
	if lie := len(laid); lie < 50 { // it is a rough place
		require.Greater(t, lie, 45)
		notes = append(notes, parts.Note{Part: "debris", Text: fmt.Sprintf("%d of 50 fragments found a place to rest", lie)})
	}
	require.Equal(t, notes, p.Notes(s))
}

// The least fragment is no hair and the edge of a sherd is a wall that prints, on
// printers of either kind; neither is more than that needs.
func TestFragmentsThatPrint(t *testing.T) {
	for process, relief := range map[string]float64{"resin": 0.3, "filament": 0.6} {
		s, p := strewnSite()
		s.Printer = parts.Printer{Process: process, Pin: 3, Wall: 1.2, Gap: relief, Emboss: relief, Engrave: relief}
		s.Print = s.Printer.Drawn()
		p.Count, p.Size = new(200), &[2]float64{0.1, 4}
		law := p.settled(s).law
		rng := s.Rand("x", 1, "shapes")
		thinnest, narrowest := math.Inf(1), math.Inf(1)
		for range 2000 {
			size := law.at(rng.Float64())
			f := newSherd(rng, size, sherdThickness(s, size))
			top := f.planes[0] // at the farthest that the sherd may reach where it leans
			edge := (top.D - size/2*math.Hypot(top.N.X, top.N.Y)) / top.N.Z
			thinnest = min(thinnest, edge)
			b := newBlock(rng, law.least)
			narrowest = min(narrowest, b.planes[2].D+b.planes[4].D) // across, at its bed
		}
		require.GreaterOrEqual(t, thinnest, s.Printer.JoinedWall(), process)
		require.GreaterOrEqual(t, narrowest, s.Printer.LeastPin()-1e-12, process)
		if process == "resin" { // the relief of filament asks for more
			require.Less(t, thinnest, 1.1*s.Printer.JoinedWall())
			require.Less(t, narrowest, 1.1*s.Printer.LeastPin())
		}
	}
}

// A heap is as high as asked over the floor that it lies on, and its flank stands at its
// angle of repose: by rays down on the finished solid, round it at distances from its
// middle, and the straight line of least squares through their means.
func TestSpillHeap(t *testing.T) {
	for _, repose := range []float64{30, 35, 40} {
		for _, matter := range []string{"stones", "bricks", "blocks"} {
			s, p := heapSite()
			p.Repose, p.Heap, p.Matter = repose, 9, matter
			under := built.Struck(s)
			d := p.lay(s, under)
			require.Greater(t, d.heaped, 40)
			all := finished(under, d)
			radius := p.Heap / math.Tan(repose*math.Pi/180)
			high := 0.0
			var n, sx, sy, sxx, sxy float64
			for ring := range 12 {
				r := radius * (0.15 + 0.7*float64(ring)/11)
				const spokes = 40
				for i := range spokes {
					sin, cos := math.Sincos(2 * math.Pi * float64(i) / spokes)
					z := sdftest.SurfaceAt(t, all, 100+r*cos, 100+r*sin, 30) - 3
					n, sx, sy, sxx, sxy = n+1, sx+r, sy+z, sxx+r*r, sxy+r*z
					high = math.Max(high, z)
				}
			}
			slope := math.Atan(-(n*sxy-sx*sy)/(n*sxx-sx*sx)) * 180 / math.Pi
			t.Logf("%v degrees of %s: %.1f, %.2f mm high", repose, matter, slope, high)
			require.InDelta(t, repose, slope, 4)
			require.InDelta(t, p.Heap, high, 1.6)
		}
	}
}

// No smooth cone shows: all over the flank of a heap what a ray down meets is a fragment.
func TestHeapIsMadeOfFragments(t *testing.T) {
	s, p := heapSite()
	p.Heap = 8
	under := built.Struck(s)
	d := p.lay(s, under)
	on := sdf.Union(under, d.core)
	all, bare, looks := finished(under, d), 0, 0
	for x := -9.0; x <= 9; x += 0.3 {
		for y := -9.0; y <= 9; y += 0.3 {
			if math.Hypot(x, y) > 9 {
				continue
			}
			looks++
			if sdftest.SurfaceAt(t, all, 100+x, 100+y, 30)-sdftest.SurfaceAt(t, on, 100+x, 100+y, 30) < 0.02 {
				bare++
			}
		}
	}
	t.Logf("%d of %d", bare, looks)
	require.Less(t, bare, looks/10)
}

// Against a wall a heap is higher, and none of it lies beyond.
func TestHeapLeansOnAWall(t *testing.T) {
	s, p := heapSite()
	p.Heap = 6
	s.Parts = append(s.Parts, partstest.Block("wall", sdf.V(70, 104, 2), sdf.V(130, 106, 20)))
	under := built.Struck(s)
	d := p.lay(s, under)
	all := finished(under, d)
	mean := func(y float64) (sum float64) {
		for i := range 9 {
			sum += sdftest.SurfaceAt(t, all, 98+float64(i)/2, y, 19) / 9
		}
		return sum
	}
	require.Greater(t, mean(103), mean(97)+1, "higher on the side of the wall")
	require.Greater(t, mean(103), mean(100)-0.5, "and no lower there than in the middle")
	for x := 92.0; x < 108; x++ {
		require.InDelta(t, 3, sdftest.SurfaceAt(t, all, x, 107.5, 19), 1e-3, "nothing beyond it")
	}
}

// heapSite is flat ground with a heap in its middle.
func heapSite() (*parts.Site, *Spill) {
	s, p := strewnSite()
	s.Parts = append(s.Parts[:1:1], p)
	p.From, p.Area, p.Count, p.Size = "", &parts.Area{Round: []float64{100, 100, 20}}, new(1), &[2]float64{0.8, 2.5}
	return s, p
}

// finished is the scene with its debris.
func finished(under sdf.Field, d debris) sdf.Field {
	all := []sdf.Field{under}
	if d.core != nil {
		all = append(all, d.core)
	}
	for _, f := range d.fragments {
		for _, b := range f.bodies {
			all = append(all, b.Polytope)
		}
		all = append(all, f.rods...)
	}
	return sdf.Union(all...)
}

// A march down never hangs: over nothing, in a field that is nearly flat, and
// beside a wall.
func TestPileNeverHangs(t *testing.T) {
	s, p := strewnSite()
	p.Count = new(50)
	p.Heap = 2
	require.Nil(t, p.Spill(s, sdf.Nothing()))
	require.Equal(t, []parts.Note{{Part: "debris", Key: "heap", Text: "left out: nothing lies under it"},
		{Part: "debris", Text: "0 of 50 fragments found a place to rest"}}, p.Notes(s))
	p.Heap = 0
	s = s.With(s.Parts)
	require.Nil(t, p.Spill(s, sdf.HalfSpace(sdf.V(1, 0, 0.001), -1000)))
	p.From = "gone"
	s = s.With(s.Parts)
	require.Nil(t, p.Spill(s, built.Struck(s)))
	require.Empty(t, p.Notes(s))
	require.Zero(t, p.Pieces(s))
}

func TestSpillFaults(t *testing.T) {
	for _, c := range []struct {
		key   string
		wrong func(*Spill)
	}{
		{"", func(p *Spill) { p.From = "" }},
		{"area", func(p *Spill) { p.Area = &parts.Area{Round: []float64{0, 0, 4}} }},
		{"area.round", func(p *Spill) { p.From, p.Area = "", &parts.Area{Round: []float64{0, 0}} }},
		{"reach", func(p *Spill) { p.From, p.Area, p.Reach = "", &parts.Area{Round: []float64{0, 0, 4}}, new(2.0) }},
		{"amount", func(p *Spill) { p.Count, p.Amount = new(5), new(0.1) }},
		{"size", func(p *Spill) { p.Size = &[2]float64{3, 2} }},
	} {
		s, p := strewnSite()
		require.Empty(t, p.Check(s))
		c.wrong(p)
		faults := p.Check(s)
		require.Len(t, faults, 1, c.key)
		require.Equal(t, c.key, faults[0].Key)
		require.NotEmpty(t, faults[0].Allowed)
	}
	s, p := strewnSite()
	p.From, p.Area = "", &parts.Area{Rect: []float64{0, 0, 5000, 5000}}
	require.Greater(t, p.Pieces(s), parts.MaxPieces)
	require.NotEmpty(t, assembly.Check(s), "too many pieces, before any is made")
}

// Fragments of all matters as they lie keep the promises of a field, convex and closed,
// with their boxes exact.
func TestFragmentsAreHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := partstest.Site()
		rng := s.Rand("x", rapid.Uint64().Draw(t, "seed"), "shape")
		size := rapid.Float64Range(0.5, 8).Draw(t, "size")
		form := parts.Form(rapid.IntRange(0, len(parts.Forms)-1).Draw(t, "form"))
		unit := usualUnits[form]
		x := newStuff(s, parts.Matter{Form: form, Unit: sdf.V(unit.X/100, unit.Y/100, unit.Z/100), Bar: 0.2}, sizeLaw{size / 2, size, 2.5})
		x.sherds = rapid.Float64Range(0, 1).Draw(t, "sherds")
		long := x.size(rng.Float64())
		f := x.shard(rng, long)
		normal := convex.Unit(sdf.V(rng.NormFloat64()/3, rng.NormFloat64()/3, 1))
		bodies := laidAt(f.leaning(20*rng.Float64(), rng.Float64()), uprightTo(normal).Then(sdf.At(sdf.V(3, 4, 5))))
		require.NotEmpty(t, bodies)
		for _, solid := range bodies {
			box := solid.Bounds()
			sdftest.RequireHonest(t, solid.Polytope, box, 3)
			require.Less(t, r3.Norm(r3.Sub(box.Max, box.Min)), 3*math.Max(long, x.Unit.Z))
			low := math.Inf(1)
			for range 300 {
				x, y := box.Min.X+rng.Float64()*(box.Max.X-box.Min.X), box.Min.Y+rng.Float64()*(box.Max.Y-box.Min.Y)
				if lo, hi, _, ok := solid.Pierce(x, y); ok {
					require.GreaterOrEqual(t, lo, box.Min.Z-1e-9)
					require.LessOrEqual(t, hi, box.Max.Z+1e-9)
					require.Less(t, solid.Value(sdf.V(x, y, (lo+hi)/2)), 0.0)
					low = min(low, lo)
				}
			}
			require.False(t, math.IsInf(low, 1))
		}
	})
}

// Planes that leave nothing, or do not close, are no polytope.
func TestPolytopeThatIsNone(t *testing.T) {
	x, z := convex.Plane{N: sdf.V(1, 0, 0), D: 1}, convex.Plane{N: sdf.V(0, 0, 1), D: 1}
	require.Nil(t, convex.New([]convex.Plane{x, z}))
	require.Nil(t, convex.New([]convex.Plane{x, {N: sdf.V(-1, 0, 0), D: -2}, z, {N: sdf.V(0, 0, -1), D: 1},
		{N: sdf.V(0, 1, 0), D: 1}, {N: sdf.V(0, -1, 0), D: 1}}))
}

// An unnamed spill is told by the damage that it comes from; one with a name, and
// one over a region, by its own.
func TestSpillsAreToldByTheirDamage(t *testing.T) {
	crater := &crater.Crater{Named: parts.Named{Name: "hit"}}
	made := func(s *Spill, name string) *Spill {
		s.SetLabel(name)
		return s
	}
	spills := []*Spill{made(&Spill{From: "hit"}, "spill-1"), made(&Spill{Area: &parts.Area{}}, "spill-2"), {Named: parts.Named{Name: "debris"}, From: "hit"}}
	s := &parts.Site{Parts: []parts.Part{crater, spills[0], spills[1], spills[2]}}
	for i, want := range []string{"spill of crater hit", "spill-2", "debris"} {
		require.Equal(t, want, s.Told(spills[i]))
	}
	require.Equal(t, "hit", s.Told(crater))
	require.Equal(t, "spill-1", spills[0].Label(), "its random choices hang on that")
}
