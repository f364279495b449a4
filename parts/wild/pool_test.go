package wild

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/paving"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// pool is one about (30, 20), 24 by 16 mm.
func pool(seed uint64) *Pool {
	return &Pool{Named: parts.Named{Name: "pool"}, Area: parts.Area{Oval: []float64{30, 20, 24, 16}}, Below: 0.6, Bank: 35, Rim: 0.5, Winding: 0.6, Of: "mud",
		Ripples: 0.6, Stones: 5, Stubs: 5, Leaves: 3, Seed: seed}
}

// plot is 60 by 40 mm of ground at 3 mm.
func plot(of string) *ground.Ground {
	return &ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{60, 40}, Level: parts.Level{Height: level},
		Thickness: 20, Of: of, Surface: "flat", Wavelength: 12}
}

// A pool and its ground are one piece, and honest; its shore lies within its area, and is
// another by another seed.
func TestPools(t *testing.T) {
	var last r2.Vec
	for seed := range uint64(3) {
		for _, of := range []string{"earth", "plain"} {
			s := partstest.Quarry([]float64{56, 160, 285}[seed], 1)
			p, g := pool(seed), plot(of)
			s.Parts = []parts.Part{g, p}
			require.Empty(t, p.Check(s))
			require.Empty(t, p.CheckPlace(s))
			f := p.Solid(s)
			both := sdf.Union(g.Solid(s), f)
			sdftest.RequireOnePiece(t, both, r3.Box{Min: sdf.V(10, 5, 0), Max: sdf.V(50, 35, 9)}, 0.25)
			box := f.Bounds()
			box.Min.Z = math.Max(box.Min.Z, 0)
			sdftest.RequireHonest(t, f, box, seed)
			shore := p.settled(s).shore
			for _, q := range shore.Outline() {
				require.Less(t, p.Area.Distance(q), 0.1)
			}
			require.NotEqual(t, last, shore.Outline()[5])
			if of == "plain" {
				last = shore.Outline()[5]
			}
			require.Len(t, p.Extents(s), 1)
			require.NotEmpty(t, p.Plan(s))
			require.Positive(t, p.Pieces(s))
		}
	}
}

// Still water lies level, so far below the ground as the scene says, all over the pool; what
// stands on it stands on it.
func TestPoolLevel(t *testing.T) {
	for _, deep := range []float64{0.3, 0.6, 2} {
		s := partstest.Quarry(56, 1)
		p, g := pool(1), plot("plain")
		p.Below, p.Ripples, p.Stones, p.Stubs, p.Leaves, p.Rim = deep, 0, 0, 0, 0, 0
		s.Parts = []parts.Part{g, p}
		both := sdf.Union(g.Solid(s), p.Solid(s))
		z := p.settled(s)
		shape := planar.Polygon(z.shore.Outline())
		wet := 0
		for x := 15.0; x < 45; x += 0.7 {
			for y := 9.0; y < 31; y += 0.7 {
				top := sdftest.DropOnto(t, both, x, y, 20)
				switch d := shape.At(r2.Vec{X: x, Y: y}); {
				case d < -deep/math.Tan(35*math.Pi/180)-1: // its shore strays by its relief
					require.InDelta(t, level-deep, top, 1e-6)
					wet++
				case d > 3:
					require.InDelta(t, level, top, 1e-6)
				default:
					require.LessOrEqual(t, top, level+1e-6)
				}
			}
		}
		require.Greater(t, wet, 20)
		stands, ok := s.FloorAt(r2.Vec{X: 30, Y: 20})
		require.True(t, ok)
		require.InDelta(t, level-deep, stands, 1e-9)
	}
}

// Its ripples are no deeper than they say, and show.
func TestPoolRipples(t *testing.T) {
	s := partstest.Quarry(56, 1)
	p, g := pool(1), plot("plain")
	p.Ripples, p.Stones, p.Stubs, p.Leaves, p.Rim = 1, 0, 0, 0, 0
	s.Parts = []parts.Part{g, p}
	f := p.Solid(s)
	lo, hi := math.Inf(1), math.Inf(-1)
	for x := 26.0; x < 34; x += 0.13 {
		top := sdftest.DropOnto(t, f, x, 20, 20)
		lo, hi = math.Min(lo, top), math.Max(hi, top)
	}
	require.InDelta(t, level-0.6, hi, 0.05)
	require.GreaterOrEqual(t, lo, level-0.6-p.settled(s).ripple)
	require.Greater(t, hi-lo, 0.08)
}

// In a sunk terrace it lies below the floor there; paving ends at it, and holds its water.
func TestPoolPlaces(t *testing.T) {
	s := partstest.Quarry(56, 1)
	p, g := pool(1), plot("plain")
	p.Rim, p.Ripples, p.Stones, p.Stubs, p.Leaves = 0, 0, 0, 0, 0
	g.Sunk = []ground.Terrace{{Area: parts.Area{Rect: []float64{5, 2, 50, 36}}, Level: parts.Level{Height: 1}, Bank: 90}}
	s.Parts = []parts.Part{p, g}
	require.Empty(t, p.CheckPlace(s))
	both := sdf.Union(g.Solid(s), p.Solid(s))
	require.InDelta(t, 1-0.6, sdftest.DropOnto(t, both, 30, 20, 20), 1e-6)
	require.InDelta(t, 1, sdftest.DropOnto(t, both, 8, 5, 20), 1e-6)

	g = plot("plain")
	flags := &paving.Paving{Named: parts.Named{Name: "flags"}, Level: parts.Level{Height: level},
		Area: parts.Area{Rect: []float64{0, 0, 60, 40}}, Bond: "stack", Stone: &[2]float64{5, 5}}
	s = s.With([]parts.Part{g, flags, p})
	require.Empty(t, p.CheckPlace(s))
	both = sdf.Union(g.Solid(s), flags.Solid(s), p.Solid(s))
	require.InDelta(t, level-0.6, sdftest.DropOnto(t, both, 30, 20, 20), 1e-6)
	sdftest.RequireSolidColumns(t, both, r2.Box{Min: r2.Vec{X: 14, Y: 9}, Max: r2.Vec{X: 46, Y: 31}}, 8, -10)
}

// What no pool can be is refused, and digs nothing.
func TestPoolFaults(t *testing.T) {
	for i, spoil := range []func(p *Pool){
		func(p *Pool) { p.Area = parts.Area{} },
		func(p *Pool) { p.Area = parts.Area{Oval: []float64{30, 20, 9, 2}} },
	} {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			s := partstest.Quarry(56, 1)
			p := pool(1)
			spoil(p)
			s.Parts = []parts.Part{p}
			require.Equal(t, "area", p.Check(s)[0].Key)
			require.Empty(t, p.Digs(s, 0, nil))
		})
	}
	s := partstest.Quarry(56, 1)
	p := pool(1)
	s.Parts = []parts.Part{p}
	require.Len(t, p.CheckPlace(s), 1, "no ground")
	far := pool(1)
	far.Area.Oval[0] = 90
	s = s.With([]parts.Part{plot("plain"), far})
	require.Len(t, far.CheckPlace(s), 1, "beside the ground")
}
