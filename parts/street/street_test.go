package street

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// stand is where one stands in these tests: at a level of its own, not turned.
func stand(name string, seed uint64) setout.Places {
	return setout.Places{Named: parts.Named{Name: name}, At: []r2.Vec{{}}, Level: &parts.Level{Height: 3}, Seed: seed}
}

// thing is what these tests ask of a kind.
type thing interface {
	setout.Thing
	parts.Solider
	parts.Checker
	parts.Noter
	parts.Placed
	parts.Measured
}

// things are the kinds that are set on floors, with the sizes of their keys as a scene
// gives them at a ratio, in states that differ.
var things = map[string]func(s *parts.Site, seed uint64) []thing{
	"bollard": func(s *parts.Site, seed uint64) []thing {
		one := func(shaft string, lean, wear, by float64) thing {
			return &Bollard{Places: stand("it", seed), Height: by * s.HeightOnPrint(1000), Diameter: by * s.OnPrint(260), Shaft: shaft, Lean: lean, Wear: wear}
		}
		return []thing{one("fluted", 0, 0, 1), one("plain", 40, 1, 1), one("fluted", 20, 0.5, 0.1)}
	},
	"drain-cover": func(s *parts.Site, seed uint64) []thing {
		one := func(shape string, by float64) thing {
			return &DrainCover{Places: stand("it", seed), Shape: shape, Opening: by * s.OnPrint(600), Frame: s.OnPrint(75), Proud: s.HeightOnPrint(20), Wear: 0.5}
		}
		return []thing{one("round", 1), one("square", 1), one("gully", 0.7), one("round", 0.1)}
	},
	"sign": func(s *parts.Site, seed uint64) []thing {
		one := func(of string, lean, by float64) thing {
			return &Sign{Places: stand("it", seed), Height: by * s.HeightOnPrint(2300), Post: s.OnPrint(110), Of: of, Length: by * s.OnPrint(750),
				Deep: by * s.HeightOnPrint(550), Fingers: 3, Lean: lean, Wear: 0.6}
		}
		return []thing{one("board", 0, 1), one("fingers", 0, 1), one("board", 30, 1), one("none", 10, 1), one("fingers", 20, 0.2), one("board", 0, 0.1)}
	},
	"bench": func(s *parts.Site, seed uint64) []thing {
		one := func(back, wear, by float64) thing {
			return &Bench{Places: stand("it", seed), Length: by * s.OnPrint(1800), Seat: by * s.HeightOnPrint(440),
				Depth: by * s.OnPrint(450), Back: back, Wear: wear}
		}
		return []thing{one(s.HeightOnPrint(850), 0, 1), one(0, 1, 1), one(s.HeightOnPrint(850), 1, 1), one(0.1, 0, 0.1)}
	},
	"shutter": func(s *parts.Site, seed uint64) []thing {
		one := func(of string, lean, wear, by float64) thing {
			return &Shutter{Places: stand("it", seed), Length: by * s.OnPrint(1400), Width: by * s.OnPrint(650),
				Thick: s.OnPrint(30), Of: of, Lean: lean, Wear: wear}
		}
		return []thing{one("boards", 0, 1, 1), one("slats", 0, 0.5, 1), one("boards", 65, 0.3, 1), one("slats", 25, 1, 1), one("boards", 0, 0, 0.1)}
	},
	"lamp-post": func(s *parts.Site, seed uint64) []thing {
		one := func(shaft string, lantern bool, bent, broken, by float64) thing {
			return &LampPost{Places: stand("it", seed), Height: by * s.HeightOnPrint(3400), Base: by * s.OnPrint(420), Post: by * s.OnPrint(150), Shaft: shaft,
				Bar: true, Lantern: lantern, Bent: bent, Broken: broken, Wear: 0.5}
		}
		return []thing{one("fluted", true, 0, 0, 1), one("plain", true, 35, 0, 1), one("plain", false, 10, 0, 1),
			one("fluted", true, 0, 0.6, 1), one("plain", true, 0, 0, 0.1)}
	},
}

func each(t *testing.T, check func(t *testing.T, s *parts.Site, p thing, seed uint64)) {
	for word, make := range things {
		for _, ratio := range []float64{56, 285} {
			seed := uint64(ratio)
			for i, p := range make(partstest.Quarry(ratio, 1), seed) {
				t.Run(fmt.Sprintf("%s-%v-%d", word, ratio, i), func(t *testing.T) {
					s := partstest.Quarry(ratio, 1, p)
					require.Empty(t, p.Check(s))
					check(t, s, p, seed)
				})
			}
		}
	}
}

// Each is one piece, let into its floor, as large as it says, and its field keeps the
// promise of fields.
func TestThingsAreWhatTheySay(t *testing.T) {
	each(t, func(t *testing.T, s *parts.Site, p thing, seed uint64) {
		f, bulk := p.Solid(s), p.Bulk(s)
		box := r3.Box{Min: sdf.V(-bulk.X/2-0.2, -bulk.Y/2-0.2, 2.4), Max: sdf.V(bulk.X/2+0.2, bulk.Y/2+0.2, 3.1+bulk.Z)}
		step := math.Max(0.15, math.Max(bulk.X, math.Max(bulk.Y, bulk.Z))/45)
		sdftest.RequireOnePiece(t, f, box, math.Min(step, 0.5))
		if s.Scale.Ratio < 100 { // the field is made in one way at all scales
			sdftest.RequireHonest(t, f, box, seed)
		}
		lo, hi := measured(t, f, bulk)
		const near = 0.12 // mm: the step of the probes, and what wear takes off
		require.InDelta(t, 3+bulk.Z, hi.Z, near+overOf(p)*bulk.Z, "height")
		if g, is := p.(*Sign); !is || g.Of != "fingers" { // which may point any way
			require.InDelta(t, bulk.X/2, math.Max(hi.X, -lo.X), 3*near, "length")
			require.InDelta(t, bulk.Y/2, math.Max(hi.Y, -lo.Y), 3*near, "width")
		}
		require.LessOrEqual(t, hi.Z, 3+bulk.Z+1e-6)
		require.Less(t, math.Max(hi.X, -lo.X), bulk.X/2+1e-6, "within what it covers")
		require.Less(t, math.Max(hi.Y, -lo.Y), bulk.Y/2+1e-6, "within what it covers")
		require.Negative(t, lo.Z-3, "let into its floor")
		require.NotEmpty(t, p.Measures(s))
		require.Len(t, p.Extents(s), 1)
		for _, n := range p.Notes(s) {
			require.Regexp(t, "least|left out", n.Text)
		}
	})
}

// overOf is how much higher than it is one may say that it is, as a share: a sign that
// leans may have its fingers to any side.
func overOf(p thing) float64 {
	if g, is := p.(*Sign); is && g.Of == "fingers" && g.Lean > 0 {
		return 0.3
	}
	return 0
}

// measured is what of a solid shows from above: how far it reaches on the plan and how high
// it is, by dropping onto it. The lowest is that of its bounds.
func measured(t *testing.T, f sdf.Field, bulk r3.Vec) (lo, hi r3.Vec) {
	lo, hi = sdf.V(math.Inf(1), math.Inf(1), f.Bounds().Min.Z), sdf.V(math.Inf(-1), math.Inf(-1), math.Inf(-1))
	var best r2.Vec
	probe := func(about, half r2.Vec, n int) {
		for i := range n + 1 {
			for j := range n + 1 {
				x, y := about.X+half.X*(2*float64(i)/float64(n)-1), about.Y+half.Y*(2*float64(j)/float64(n)-1)
				h, ok := topAt(f, x, y, 3+bulk.Z+0.5)
				if !ok {
					continue
				}
				lo.X, lo.Y = math.Min(lo.X, x), math.Min(lo.Y, y)
				hi.X, hi.Y = math.Max(hi.X, x), math.Max(hi.Y, y)
				if h > hi.Z {
					hi.Z, best = h, r2.Vec{X: x, Y: y}
				}
			}
		}
	}
	probe(r2.Vec{}, r2.Vec{X: 0.51 * bulk.X, Y: 0.51 * bulk.Y}, 60)
	probe(best, r2.Vec{X: 0.02 * bulk.X, Y: 0.02 * bulk.Y}, 12)
	require.False(t, math.IsInf(hi.Z, -1), "nothing is there")
	return lo, hi
}

// topAt is the height at which an upright line first meets a solid over the floor.
func topAt(f sdf.Field, x, y, from float64) (z float64, ok bool) {
	for z = from; z > 3; {
		d := f.Value(sdf.V(x, y, z))
		if d < 1e-4 {
			return z, true
		}
		z -= d
	}
	return 0, false
}

// A bollard that leans is as high as its cap's edge, turned about its foot.
func TestBollardLeans(t *testing.T) {
	s := partstest.Quarry(56, 1)
	b := &Bollard{Places: stand("b", 1), Height: 18, Diameter: 4, Shaft: "plain", Lean: 30}
	s.Parts = []parts.Part{b}
	upright := &Bollard{Places: stand("u", 1), Height: 18, Diameter: 4, Shaft: "plain"}
	require.InDelta(t, 18, upright.Bulk(partstest.Quarry(56, 1, upright)).Z, 1e-9)
	high := b.Bulk(s).Z
	require.Greater(t, high, 18*math.Cos(math.Pi/6), "the middle of its top")
	require.Less(t, high, 18*math.Cos(math.Pi/6)+2*math.Sin(math.Pi/6), "the corner of a cylinder")
}

// A lamp post as high as the scene gives it has its lantern on top; one that is bent is
// lower, by what the bend of its shaft takes off.
func TestLampPostBends(t *testing.T) {
	high := func(bent float64) float64 {
		l := &LampPost{Places: stand("l", 1), Height: 60, Base: 7, Post: 2.6, Shaft: "plain", Lantern: true, Bent: bent}
		return l.Bulk(partstest.Quarry(56, 1, l)).Z
	}
	require.InDelta(t, 60, high(0), 1e-9)
	// From the bend on, half of the shaft and the lantern lean by all of it.
	shaft := 60 * (1 - lampBase - lampLantern)
	least := 60 - (0.7*shaft+lampLantern*60)*(1-math.Cos(30*math.Pi/180))
	require.Greater(t, high(30), least)
	require.Less(t, high(30), least+0.2*shaft*(1-math.Cos(30*math.Pi/180))+2)
}

// EN 124, from memory: an opening of 600 mm. The lid is larger by its seat at either side.
func TestDrainCoverOpening(t *testing.T) {
	s := partstest.Quarry(20, 1)
	d := &DrainCover{Places: stand("d", 1), Shape: "square", Opening: s.OnPrint(600), Frame: s.OnPrint(80), Proud: 1}
	s.Parts = []parts.Part{d}
	require.InDelta(t, 600, d.Measures(s)[0].Full, 1e-9)
	// Across it at the top: the frame, the groove and the lid's rim.
	f := d.Solid(s)
	lid := s.OnPrint(600+2*25) / 2
	for _, c := range []struct {
		x     float64
		solid bool
	}{{lid - 0.3, true}, {lid + 0.5*1.15*0.3, false}, {lid + 1.15*0.3 + 0.5, true}, {lid + 1.15*0.3 + 4.1, false}} {
		require.Equal(t, c.solid, f.Value(sdf.V(c.x, 3, 3.9)) < 0, "%v", c.x)
	}
}

// A board of a sign is as long as it is given, and stands on stays.
func TestSignBoard(t *testing.T) {
	s := partstest.Quarry(56, 1)
	g := &Sign{Places: stand("g", 1), Height: 40, Post: 2, Of: "board", Length: 14, Deep: 10}
	s.Parts = []parts.Part{g}
	f := g.Solid(s)
	top := 40 - signCap*2
	require.InDelta(t, 3+top, sdftest.DropOnto(t, f, -1.3, 6.5, 60), 0.05)
	require.InDelta(t, 14, g.Bulk(s).Y, 1e-9)
	require.Positive(t, f.Value(sdf.V(-1.3, 6.5, 3+top-10-3)), "free under its end")
	inside := 0 // a stay, somewhere under the board at half its length
	for z := 3.0; z < 3+top-10; z += 0.1 {
		if f.Value(sdf.V(-0.85, 3.5, z)) < 0 {
			inside++
		}
	}
	require.InDelta(t, math.Sqrt2*0.8, 0.1*float64(inside), 0.3)
}

// A bench has as many slats as lie side by side in its depth, and its seat is as high as it
// is given.
func TestBenchSlats(t *testing.T) {
	s := partstest.Quarry(25, 1)
	b := &Bench{Places: stand("b", 1), Length: s.OnPrint(1800), Seat: s.HeightOnPrint(440), Depth: s.OnPrint(450)}
	s.Parts = []parts.Part{b}
	z := b.settled(s)
	require.Equal(t, 5, z.slats, "(450 + 15) / (65 + 15) = 5.8")
	require.Equal(t, 3, z.ends, "1.8 m is farther than slats span")
	f := b.Solid(s)
	for k := range z.slats {
		y := -z.depth/2 + z.wide/2 + float64(k)*(z.wide+z.gap)
		require.InDelta(t, 3+s.HeightOnPrint(440), sdftest.DropOnto(t, f, 5, y, 60), 0.15)
		if k > 0 {
			require.Positive(t, f.Value(sdf.V(5, y-(z.wide+z.gap)/2, 3+z.seat-z.thick/2)), "a gap")
		}
	}
}

// A leaf that leans on nothing but its foot is as high as its length says.
func TestShutterLeans(t *testing.T) {
	d := &Shutter{Places: stand("d", 1), Length: 30, Width: 12, Thick: 1, Of: "slats", Lean: 60}
	s := partstest.Quarry(56, 1, d)
	z := d.settled(s)
	sin, cos := math.Sincos(math.Pi / 3)
	require.InDelta(t, 30*sin+(z.thick+z.proud)*cos, d.Bulk(s).Z, 1e-9)
	// Its middle, on the plan, is where half its length stands over the floor.
	f := d.Solid(s)
	require.InDelta(t, 3+30*sin+(z.thick+z.proud)*cos, sdftest.DropOnto(t, f, -z.left+30*cos-(z.thick+z.proud)*sin+0.05, 4, 60), 0.25)
}
