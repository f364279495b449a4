package assembly

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/column"
	"socle/parts/crater"
	"socle/parts/deck"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/paving"
	"socle/parts/rail"
	"socle/parts/stair"
	"socle/parts/wall"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// struckYard is a yard with a deck over it, a stair, walls, columns and rails, all within
// 50 x 44 mm, and a crater.
func struckYard(material string, at r2.Vec, level, wide float64, seed uint64) (*parts.Site, *crater.Crater) {
	s := partstest.Quarry(120, 1)
	s.Inspect.Slender = 10
	low, high := parts.Level{Height: 3}, parts.Level{Height: 14}
	area := parts.Area{Rect: []float64{0, 24, 50, 20}}
	hit := &crater.Crater{Named: parts.Named{Name: "hit"}, At: at, Level: &parts.Level{Height: level}, Diameter: wide,
		Blanket: 2.5, Slope: 45, Roughness: 0.5, Fall: 0.7, Seed: seed}
	s.Parts = []parts.Part{
		&ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{50, 44}, Level: low, Thickness: 20, Surface: "flat"},
		&deck.Deck{Named: parts.Named{Name: "deck"}, Level: high, Area: area, Thickness: 2.4, On: "piers", Pier: 3,
			Spacing: 14, Inset: 1.5, Soffit: "flat", Material: material, Edge: "plain"},
		&stair.Stair{Named: parts.Named{Name: "stair"}, From: low, To: high, Head: &r2.Vec{X: 14, Y: 24},
			Facing: 90, Width: 12, Profile: "public", Side: "solid", Flanks: "wall", Cheek: 1.7, Upstand: 1},
		&wall.Wall{Named: parts.Named{Name: "wall"}, Line: []r2.Vec{{X: 28, Y: 6}, {X: 48, Y: 6}}, Thickness: 2.6,
			From: low, Height: new(9.0), Coursing: "ashlar", Coping: "flat", Seed: 1},
		&wall.Wall{Named: parts.Named{Name: "plain"}, Line: []r2.Vec{{X: 2, Y: 40}, {X: 20, Y: 40}},
			Thickness: 2.4, From: high, Height: new(6.0), Coursing: "none", Coping: "none", Seed: 1},
		&column.Column{Named: parts.Named{Name: "columns"}, At: []r2.Vec{{X: 40, Y: 38}, {X: 26, Y: 37}},
			Level: high, Height: 9, Diameter: 3, Taper: 0.84, Base: "plinth", Capital: "plain"},
		&paving.Paving{Named: parts.Named{Name: "flags"}, Level: high, Area: area, Bond: "running", Stone: &[2]float64{4.2, 2.8}, Seed: 3},
		&paving.Paving{Named: parts.Named{Name: "setts"}, Level: low, Area: parts.Area{Rect: []float64{0, 0, 50,
			24}}, Bond: "running", Stone: &[2]float64{2.6, 1.6}, Wear: 0.3, Seed: 4},
		&rail.Rail{Named: parts.Named{Name: "rail"}, Along: "deck", Edge: "open", Height: 7, Infill: "rails",
			Rails: 1, Post: 0.8, Handrail: 0.8, Spacing: 8, Baluster: 0.8, Gap: 2, Section: "round", Inset: 0.5},
		hit,
	}
	return s, hit
}

// struckScene is the scene of a site that has no bases.
func struckScene(t *testing.T, s *parts.Site) *Scene {
	t.Helper()
	sc, err := Assemble(s)
	require.NoError(t, err)
	return sc
}

// Whatever a crater strikes, nothing that is left hangs on nothing.
func TestNothingFloatsWhereACraterBit(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for i, material := range []string{"timber", "concrete"} {
		level := []float64{14, 3}[i%2]
		at := r2.Vec{X: 6 + 38*rng.Float64(), Y: 27 + 12*rng.Float64()}
		if level == 3 {
			at.Y -= 20
		}
		wide := 12 + 14*rng.Float64()
		seed := rng.Uint64N(1000)
		t.Run(fmt.Sprintf("%s at (%.1f, %.1f) of %.1f mm", material, at.X, at.Y, wide), func(t *testing.T) {
			s, _ := struckYard(material, at, level, wide, seed)
			sc := struckScene(t, s)
			slab := sdf.Union(sc.Field, sdf.BoxBetween(sdf.V(-1, -1, -4), sdf.V(51, 45, -1)))
			sdftest.RequireOnePiece(t, slab, r3.Box{Min: sdf.V(0.1, 0.1, -1.4), Max: sdf.V(49.9, 43.9, 22)}, 0.3)
		})
	}
}

// What lies far from a crater is the very same as without it: a base there is the same to
// the last byte.
func TestACraterChangesNothingFarFromIt(t *testing.T) {
	s, _ := struckYard("concrete", r2.Vec{X: 38, Y: 34}, 14, 12, 4)
	sc := struckScene(t, s)
	rng := rand.New(rand.NewPCG(3, 3))
	near := 0
	for near < 300 {
		p := sdf.V(12*rng.Float64(), 44*rng.Float64(), 25*rng.Float64())
		v := sc.before.Value(p)
		if math.Abs(v) > 0.5 {
			continue
		}
		near++
		require.True(t, v == sc.Field.Value(p), "at %v: %v, before %v", p, sc.Field.Value(p), v)
	}
}

// Slabs, steps, stones, columns and bars that broke say so, and what is left of them is
// what the scene is made of.
func TestWhatBrokeIsToldByItsRemains(t *testing.T) {
	s, _ := struckYard("concrete", r2.Vec{X: 26, Y: 32}, 14, 24, 4)
	sc := struckScene(t, s)
	told := map[string]int{}
	for _, w := range sc.shares {
		if w.broken != nil {
			told[w.part.Label()] = len(w.broken.remains)
		}
	}
	require.Equal(t, 3, told["deck"], "slab, bars and piers")
	require.Equal(t, 2, told["flags"], "stones and their bed")
	require.Contains(t, told, "columns")
	require.Contains(t, told, "rail")
	at := sdf.V(26, 32, 13)
	require.Negative(t, sc.before.Value(at))
	require.Positive(t, sc.Field.Value(at))
}
