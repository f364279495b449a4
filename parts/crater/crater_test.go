package crater

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/deck"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/partstest/built"
	"socle/parts/paving"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// plainCrater is a smooth crater of 40 mm without cracks or plates, in the middle
// of flat ground at 3 mm.
func plainCrater() (*parts.Site, *Crater) {
	g := &ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{200, 200}, Level: parts.Level{Height: 3}, Thickness: 40, Surface: "flat", Wavelength: 8}
	c := &Crater{Named: parts.Named{Name: "hit"}, At: r2.Vec{X: 100, Y: 100}, Diameter: 40, Blanket: 2.5, Slope: 37,
		Cracks: new(0), Spall: new(0), Seed: 1}
	return partstest.Site(g, c), c
}

// The default crater against its definition: rim to rim 40, from crest to floor
// 0.18 of it, rim 0.04 of it (references.md section 6).
func TestCraterDepthDiameterAndRim(t *testing.T) {
	s, c := plainCrater()
	require.Empty(t, assembly.Check(s))
	f := built.Struck(s)
	floor := sdftest.SurfaceAt(t, f, 100, 100, 30)
	crest, at := math.Inf(-1), 0.0
	for r := 15.0; r < 25; r += 0.005 {
		if z := sdftest.SurfaceAt(t, f, 100+r, 100, 30); z > crest {
			crest, at = z, r
		}
	}
	require.InDelta(t, 20, at, 0.006, "rim to rim")
	require.InDelta(t, 3+0.04*40, crest, 0.006, "rim height")
	require.InDelta(t, 0.18*40, crest-floor, 0.006, "depth")

	c.Depth, c.Rim = new(5.0), new(0.0)
	f = built.Struck(s)
	require.InDelta(t, 3-5, sdftest.SurfaceAt(t, f, 100, 100, 30), 1e-6)
	require.InDelta(t, 3, sdftest.SurfaceAt(t, f, 120.5, 100, 30), 1e-6)
}

// The bowl's volume below its rim is pi D^2 d/8 (a paraboloid), by integration
// over the measured surface.
func TestCraterBowlVolume(t *testing.T) {
	s, c := plainCrater()
	c.Diameter, c.Depth, c.Rim = 20, new(4.0), new(0.0)
	c.Slope = 40 // the walls of a parabola of d/D 0.2 reach 38.7 degrees
	f := built.Struck(s)
	volume := 0.0
	const n = 200
	for i := range n { // rings, by the midpoint rule
		r := (float64(i) + 0.5) * 10 / n
		volume += 2 * math.Pi * r * 10 / n * (3 - sdftest.SurfaceAt(t, f, 100+r, 100, 30))
	}
	require.InEpsilon(t, 628.318531, volume, 2e-4)
}

// No wall is steeper than the cap, the depth and the diameter stay, and a note
// says so; a crater whose parabola is gentle enough is not touched.
func TestCraterSlopeCap(t *testing.T) {
	s, c := plainCrater()
	c.Depth = new(0.25 * 40.0) // a parabola at the rim: 45 degrees
	require.Empty(t, assembly.Check(s))
	f := built.Struck(s)
	steepest := 0.0
	for r := 0.1; r < 19.9; r += 0.05 {
		z, y := sdftest.SurfaceAt(t, f, 100+r, 100, 30), sdftest.SurfaceAt(t, f, 100+r+0.01, 100, 30)
		steepest = math.Max(steepest, math.Atan((y-z)/0.01)*180/math.Pi)
	}
	require.InDelta(t, 37, steepest, 0.01)
	require.InDelta(t, 3+1.6-10, sdftest.SurfaceAt(t, f, 100, 100, 30), 1e-6)
	require.Equal(t, []parts.Note{{Part: "hit", Key: "slope", Text: "walls of 45.0 degrees would not stand: they are drawn straight at 37 degrees"}}, c.Notes(s))

	s, c = plainCrater()
	z := c.settled(s)
	require.Equal(t, z.radius, z.bowl.bend, "a parabola out to the rim")
	require.InDelta(t, 35.75, math.Atan(z.bowl.slope)*180/math.Pi, 0.01, "atan(4 d/D) for 0.18")
	require.Empty(t, c.Notes(s))
}

// The blanket falls with the cube of the distance from a thickness at the rim
// of 0.14 R^0.74, R in metres (McGetchin, Settle and Head 1973), capped at the rim.
func TestCraterEjecta(t *testing.T) {
	s, c := plainCrater()
	require.InDelta(t, 0.461/0.1, ejectaAtRim(s, 50), 0.005, "R 5 m: 0.461 m")
	require.InDelta(t, 0.769/0.1, ejectaAtRim(s, 100), 0.005, "R 10 m: 0.769 m")
	f := built.Struck(s)
	for _, x := range []float64{1.05, 1.2, 1.5, 1.9} {
		require.InDelta(t, 1.6/(x*x*x), sdftest.SurfaceAt(t, f, 100+20*x, 100, 30)-3, 1e-6, "at %v radii", x)
	}
	z := c.settled(s)
	e := c.ThrowOn(s, nil).(*ejecta)
	require.LessOrEqual(t, e.edge, 2.5*20+1e-9)
	require.InDelta(t, 3, sdftest.SurfaceAt(t, f, 100+e.edge+0.5, 100, 30), 1e-6, "nothing beyond its edge")
	require.GreaterOrEqual(t, e.thickness(e.edge), featherEdge-1e-6, "no feather edge")
	require.Equal(t, z.rim, z.fall+e.uplift)

	// A large scale: what falls is thinner than the rim, the rest is uplift.
	s.Scale.Ratio = 50_000
	s = s.With(s.Parts)
	z = c.settled(s)
	require.Less(t, z.fall, z.rim)
	e = c.ThrowOn(s, nil).(*ejecta)
	require.InDelta(t, z.rim, e.thickness(20), 1e-12)
	require.InDelta(t, z.fall/8, e.thickness(40), 1e-12, "the uplift ends within two radii")
}

// Cracks: 5 to 9 by seed or as many as asked, unequal, from the lip to 1.3 to 2
// radii, at least a gap wide, and their outlines are simple polygons.
func TestCraterCracks(t *testing.T) {
	seen := map[int]bool{}
	for seed := range uint64(40) {
		s, c := plainCrater()
		c.Cracks, c.Seed = nil, seed
		z := c.settled(s)
		paths := c.cracks(s)
		seen[len(paths)] = true
		lengths := map[float64]bool{}
		for _, k := range paths {
			require.Empty(t, (&parts.Area{Polygon: k.outline()}).Check("crack", ""), "seed %d", seed)
			far := 0.0
			for i, p := range k.line {
				far = math.Max(far, r2.Norm(r2.Sub(p, c.At)))
				require.GreaterOrEqual(t, k.width[i], s.Print.Gap-1e-12)
			}
			require.Less(t, r2.Norm(r2.Sub(k.line[0], c.At)), z.radius)
			require.Greater(t, far, 1.28*z.radius)
			require.Less(t, far, 2.2*z.radius)
			lengths[far] = true
		}
		require.Len(t, lengths, len(paths), "unequal")
	}
	for n := 5; n <= 9; n++ {
		require.True(t, seen[n], "%d cracks in some seed", n)
	}
	require.Len(t, seen, 5)

	s, c := plainCrater()
	c.Cracks = new(3)
	z := c.settled(s)
	paths := c.cracks(s)
	require.Len(t, paths, 3)
	f := built.Struck(s)
	p := paths[0].line[5]
	require.InDelta(t, z.level-z.cleft, sdftest.SurfaceAt(t, f, p.X, p.Y, 30), 1e-6, "the floor of a crack")
	c.Crack = new(0.1)
	s = s.With(s.Parts)
	require.Equal(t, []parts.Note{{Part: "hit", Key: "crack", Text: "0.10 mm on the print is drawn at 0.30 mm, the least gap that stays open"}}, c.Notes(s))
	for _, k := range c.cracks(s) {
		require.Equal(t, s.Print.Gap, k.width[0])
	}
}

// A blast looks like one: rough, not the same all round, and another seed is
// another crater.
func TestCraterIsRough(t *testing.T) {
	s, c := plainCrater()
	c.Roughness, c.Cracks, c.Spall = 0.6, nil, nil
	heights := func() []float64 {
		f := built.Struck(s)
		var out []float64
		for i := range 48 {
			sin, cos := math.Sincos(float64(i) / 48 * 2 * math.Pi)
			out = append(out, sdftest.SurfaceAt(t, f, 100+19*cos, 100+19*sin, 30))
		}
		return out
	}
	a, b := heights(), heights()
	require.Equal(t, a, b)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, z := range a {
		lo, hi = math.Min(lo, z), math.Max(hi, z)
	}
	require.Greater(t, hi-lo, 1.5, "the lip is broken")
	c.Seed = 2
	require.NotEqual(t, a, heights())
}

// The rim ends with the work that it lies on: over a sunk dock it hangs no
// further out than it is thick, and it leaves the dock's floor alone.
func TestCraterRimEndsAtAnEdge(t *testing.T) {
	s, c := plainCrater()
	g := testGround(s)
	g.Sunk = []ground.Terrace{{Area: parts.Area{Rect: []float64{126, 0, 60, 200}}, Level: parts.Level{Height: -12}, Bank: 90}}
	require.Empty(t, assembly.Check(s))
	f := built.Struck(s)
	e := c.ThrowOn(s, nil).(*ejecta)
	over := e.cling(e.thickness(26))
	require.Less(t, f.Value(sdf.V(126+over/4, 100, 3)), 0.0, "spilling over the edge")
	require.InDelta(t, -12, sdftest.SurfaceAt(t, f, 126+over+0.1, 100, 30), 1e-6)
	require.InDelta(t, 3+1.6/(1.25*1.25*1.25), sdftest.SurfaceAt(t, f, 125, 100, 30), 1e-3)
}

// The level is the highest finished one laid at its middle.
func TestCraterLevel(t *testing.T) {
	s, c := plainCrater()
	g := testGround(s)
	level := func() float64 {
		z := c.settled(s.With(s.Parts)) // as the parts are now
		require.True(t, z.found)
		return z.level
	}
	require.Equal(t, 3.0, level())
	g.Raised = []ground.Terrace{{Area: parts.Area{Rect: []float64{90, 90, 30, 30}}, Level: parts.Level{Height: 5}, Bank: 90}}
	require.Equal(t, 5.0, level())
	s.Parts = append(s.Parts, &deck.Deck{Named: parts.Named{Name: "deck"}, Level: parts.Level{Height: 9}, Area: parts.Area{Rect: []float64{80, 80, 40, 40}}})
	require.Equal(t, 9.0, level())
	c.At.X = 10
	require.Equal(t, 3.0, level())
	c.Level = &parts.Level{Height: 4.5}
	require.Equal(t, 4.5, level())
	c.Level, g.Raised = nil, nil
	g.Sunk = []ground.Terrace{{Area: parts.Area{Rect: []float64{0, 90, 30, 30}}, Level: parts.Level{Height: -4}, Bank: 90}}
	s.Parts = append(s.Parts, &paving.Paving{Named: parts.Named{Name: "apron"}, Level: parts.Level{Height: 3},
		Area: parts.Area{Rect: []float64{0, 0, 200, 200}}, Bond: "running"})
	require.Equal(t, -4.0, level(), "paving ends at a sunk terrace")
}

func TestCraterFaults(t *testing.T) {
	for _, c := range []struct {
		key   string
		wrong func(*Crater)
	}{
		{"at", func(c *Crater) { c.At.X = -5 }},
		{"depth", func(c *Crater) { c.Depth = new(15.0) }},
		{"rim", func(c *Crater) { c.Rim = new(4.0) }},
	} {
		s, crater := plainCrater()
		require.Empty(t, crater.Check(s))
		c.wrong(crater)
		faults := crater.Check(s.With(s.Parts))
		require.Len(t, faults, 1, c.key)
		require.Equal(t, c.key, faults[0].Key)
		require.Equal(t, "hit", faults[0].Part)
		require.NotEmpty(t, faults[0].Allowed)
	}
}

// Only and spares come back as given and narrow the cut.
func TestCraterNarrow(t *testing.T) {
	s, c := plainCrater()
	c.Only, c.Spares = []string{"ground"}, []string{"post"}
	only, spares := c.Narrow()
	require.Equal(t, []string{"ground"}, only)
	require.Equal(t, []string{"post"}, spares)
	s.Parts = append(s.Parts, partstest.Block("post", sdf.V(98, 98, -9), sdf.V(102, 102, 20)))
	require.Empty(t, assembly.Check(s))
	require.Less(t, built.Struck(s).Value(sdf.V(100, 100, 10)), 0.0)
	c.Only, c.Spares = nil, nil
	require.Greater(t, built.Struck(s).Value(sdf.V(100, 100, 10)), 0.0, "what stands over it is cleared")
}

// Craters and gouges of any size keep the promises of a field.
func TestScarsAreHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, c := plainCrater()
		s.Scale.Ratio = rapid.Float64Range(30, 2000).Draw(t, "ratio")
		c.Diameter = rapid.Float64Range(4, 80).Draw(t, "diameter")
		c.Depth = new(c.Diameter * rapid.Float64Range(0.08, 0.3).Draw(t, "depth"))
		c.Slope = rapid.Float64Range(35, 60).Draw(t, "slope")
		c.Roughness = rapid.Float64Range(0, 1).Draw(t, "roughness")
		c.Blanket = rapid.Float64Range(1, 4).Draw(t, "blanket")
		c.Cracks, c.Spall = nil, nil
		c.Seed = rapid.Uint64().Draw(t, "seed")
		if len(c.Check(s)) > 0 {
			t.Skip("too deep")
		}
		g := &Gouge{Named: parts.Named{Name: "scar"}, Line: []r2.Vec{{X: 80, Y: 90}, {X: 110, Y: 100}, {X: 115, Y: 80}},
			Width: rapid.Float64Range(1, 12).Draw(t, "width"), Profile: rapid.SampledFrom([]string{"u", "v"}).Draw(t, "profile"),
			Roughness: c.Roughness, Seed: c.Seed}
		g.Depth = g.Width * rapid.Float64Range(0.1, 1).Draw(t, "gouged")
		g.Lips = g.Depth * rapid.Float64Range(0, 0.4).Draw(t, "lips")
		box := r3.Box{Min: sdf.V(100-c.Diameter, 100-c.Diameter, -10), Max: sdf.V(100+c.Diameter, 100+c.Diameter, 16)}
		work := testGround(s).Solid(s)
		d := rapid.SampledFrom([]parts.Draper{c, g}).Draw(t, "scar")
		f := d.Cut(s)
		switch rapid.IntRange(0, 2).Draw(t, "field") {
		case 1:
			f = d.ThrowOn(s, work)
		case 2:
			f = d.Throw(s)
		}
		if f != nil {
			sdftest.RequireHonest(t, f, box, c.Seed)
		}
	})
}

func plainGouge() (*parts.Site, *Gouge) {
	s, c := plainCrater()
	g := &Gouge{Named: parts.Named{Name: "scar"}, From: &r2.Vec{X: 60, Y: 100}, To: &r2.Vec{X: 140, Y: 100}, Width: 8, Depth: 3, Profile: "u", Seed: 1}
	s.Parts = []parts.Part{testGround(s), g}
	_ = c
	return s, g
}

// Sections across a gouge: a parabola or a V, from lip to lip, the lips as high
// as asked.
func TestGougeSections(t *testing.T) {
	s, g := plainGouge()
	require.Empty(t, assembly.Check(s))
	for _, c := range []struct {
		profile string
		lips    float64
		at      func(x float64) float64 // depth below the crest over all, x in half-widths
	}{
		{"u", 0, func(x float64) float64 { return 1 - x*x }},
		{"v", 0, func(x float64) float64 { return 1 - x }},
		{"u", 1, func(x float64) float64 { return 1 - x*x }},
		{"v", 1, func(x float64) float64 { return 1 - x }},
	} {
		g.Profile, g.Lips = c.profile, c.lips
		f := built.Struck(s)
		for _, x := range []float64{0, 0.25, 0.5, 0.9} {
			want := 3 + c.lips - (3+c.lips)*c.at(x)
			for _, side := range []float64{-1, 1} {
				require.InDelta(t, want, sdftest.SurfaceAt(t, f, 100, 100+side*4*x, 30), 1e-6, fmt.Sprintf("%s at %v", c.profile, side*x))
			}
		}
		want := 3.0
		if c.lips > 0 {
			want += 1 / (1.25 * 1.25 * 1.25)
		}
		require.InDelta(t, want, sdftest.SurfaceAt(t, f, 100, 105, 30), 1e-6)
		require.InDelta(t, 3, sdftest.SurfaceAt(t, f, 160, 100, 30), 1e-6, "beyond its end")
	}
}

func TestGougeFaults(t *testing.T) {
	for _, c := range []struct {
		key   string
		wrong func(*Gouge)
	}{
		{"", func(g *Gouge) { g.To = nil }},
		{"line", func(g *Gouge) { g.Line = []r2.Vec{{}, {X: 1}} }},
		{"line", func(g *Gouge) { g.From, g.To, g.Line = nil, nil, []r2.Vec{{}} }},
		{"line", func(g *Gouge) { g.From, g.To, g.Line = nil, nil, []r2.Vec{{X: 1}, {X: 1}} }},
		{"to", func(g *Gouge) { g.From.X = -20 }},
		{"to", func(g *Gouge) { *g.To = *g.From }},
		{"depth", func(g *Gouge) { g.Depth = 13 }},
	} {
		s, g := plainGouge()
		require.Empty(t, g.Check(s))
		c.wrong(g)
		faults := g.Check(s.With(s.Parts))
		require.Len(t, faults, 1)
		require.Equal(t, c.key, faults[0].Key)
		require.NotEmpty(t, faults[0].Allowed)
	}
}

func testGround(s *parts.Site) *ground.Ground { return parts.AllOf[*ground.Ground](s)[0] }

// TestCracksTooShallowToShow: cracks that the scene asks for are drawn at least as deep
// as relief shows, with a note.
func TestCracksTooShallowToShow(t *testing.T) {
	for _, c := range []struct{ asked, deep float64 }{{0.2, 0.6}, {0.8, 0.8}} {
		s, hit := plainCrater()
		s.Print.Relief = 0.6
		hit.Cleft, hit.Cracks = &c.asked, new(3)
		z := hit.settled(s)
		require.Equal(t, c.deep, z.cleft)
		require.Len(t, hit.cracks(s), 3)
		require.Equal(t, c.deep > c.asked, len(hit.Notes(s)) == 1, "%v", hit.Notes(s))
	}
}

// A rim and lips that are thinner than prints are left out, with a note.
func TestRimsTooThinToPrint(t *testing.T) {
	s, c := plainCrater()
	c.Rim = new(0.1)
	require.Nil(t, c.Throw(s))
	require.Equal(t, []parts.Note{{Part: "hit", Key: "rim", Text: "left out: a rim of 0.10 mm is thinner than prints"}}, c.Notes(s))
	c.Rim = new(0.0)
	s = s.With(s.Parts)
	require.Nil(t, c.Throw(s))
	require.Empty(t, c.Notes(s), "the scene gives none")

	s, g := plainGouge()
	g.Lips = 0.1
	require.Nil(t, g.Throw(s))
	require.Equal(t, []parts.Note{{Part: "scar", Key: "lips", Text: "left out: lips of 0.10 mm are thinner than prints"}}, g.Notes(s))
}
