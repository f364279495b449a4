package ground

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/paving"
	"socle/sdf"
	"socle/sdf/sdftest"
)

func land() *Ground {
	return &Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{60, 40}, Level: parts.Level{Height: 3}, Thickness: 30, Surface: "flat", Wavelength: 8}
}

func TestFlatGround(t *testing.T) {
	g := land()
	f := g.Solid(partstest.Site(g))
	require.Equal(t, r3.Box{Min: sdf.V(0, 0, -27), Max: sdf.V(60, 40, 3)}, f.Bounds())
	require.Zero(t, f.Value(sdf.V(10, 10, 3)))
}

// Uneven ground stays within its dips, reaches a good part of them, and
// another seed gives other dips.
func TestUnevenGround(t *testing.T) {
	g := land()
	g.Surface, g.Amplitude = "uneven", new(1.5)
	s := partstest.Site(g)
	f := g.Solid(s)
	sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(-5, -5, -5), Max: sdf.V(65, 45, 6)}, 1)
	lo, hi := math.Inf(1), math.Inf(-1)
	changed := false
	g.Seed = 7
	other := g.Solid(s.With(s.Parts))
	for x := 1.0; x < 60; x += 2.3 {
		for y := 1.0; y < 40; y += 2.3 {
			z := sdftest.SurfaceAt(t, f, x, y, 5)
			lo, hi = math.Min(lo, z), math.Max(hi, z)
			changed = changed || math.Abs(sdftest.SurfaceAt(t, other, x, y, 5)-z) > 0.1
		}
	}
	require.LessOrEqual(t, hi, 3.0)
	require.GreaterOrEqual(t, lo, 1.5)
	require.Greater(t, hi-lo, 0.9)
	require.True(t, changed)
}

// A trench 10 wide and 4 deep with banks of 45 degrees has a floor 2 wide; its
// volume below the level is the prism's (10 + 2)/2 * 4 a mm.
func TestSunkTrench(t *testing.T) {
	g := land()
	g.Sunk = []Terrace{{Area: parts.Area{Rect: []float64{-5, 15, 70, 10}}, Level: parts.Level{Height: -1}, Bank: 45}}
	s := partstest.Site(g)
	require.Empty(t, g.Check(s))
	f := g.Solid(s)
	sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(-5, -5, -5), Max: sdf.V(65, 45, 6)}, 2)
	section, step := 0.0, 0.01
	for y := 10 + step/2; y < 30; y += step {
		section += step * (3 - sdftest.SurfaceAt(t, f, 30, y, 5))
	}
	require.InDelta(t, 24, section, 1e-3)
	require.InDelta(t, -1, sdftest.SurfaceAt(t, f, 30, 20, 5), 1e-9)
	require.InDelta(t, 1, sdftest.SurfaceAt(t, f, 30, 17, 5), 1e-9)
	require.InDelta(t, -31, f.Bounds().Min.Z, 1e-12, "its thickness is below the trench")
}

func TestRaisedTerrace(t *testing.T) {
	g := land()
	g.Raised = []Terrace{{Area: parts.Area{Round: []float64{30, 20, 16}}, Level: parts.Level{Height: 6}, Bank: 30}}
	s := partstest.Site(g)
	require.Empty(t, g.Check(s))
	f := g.Solid(s)
	sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(-5, -5, -5), Max: sdf.V(65, 45, 9)}, 3)
	require.InDelta(t, 6, sdftest.SurfaceAt(t, f, 37, 20, 9), 1e-9)
	require.InDelta(t, 6-2*math.Tan(math.Pi/6), sdftest.SurfaceAt(t, f, 40, 20, 9), 1e-9)
	require.InDelta(t, 3, sdftest.SurfaceAt(t, f, 50, 20, 9), 1e-9)
}

func TestGroundFaults(t *testing.T) {
	g := land()
	g.Sunk = []Terrace{{Area: parts.Area{Rect: []float64{0, 0, 5, 5}}, Level: parts.Level{Height: 3}, Bank: 90}}
	g.Raised = []Terrace{{Area: parts.Area{Rect: []float64{0, 0, 5}}, Level: parts.Level{Height: 1}, Bank: 90}}
	var keys []string
	for _, f := range g.Check(partstest.Site(g)) {
		keys = append(keys, f.Key)
	}
	require.Equal(t, []string{"sunk[0].level", "raised[0].area.rect", "raised[0].level"}, keys)
}

// The ground makes room for a finish and no more: the top of the finish is at
// the level, the structure under it lies lower by its thickness, and beyond
// half a joint around it the ground is as it was.
func TestGroundUnderFinish(t *testing.T) {
	g := land()
	p := &paving.Paving{Named: parts.Named{Name: "apron"}, Level: parts.Level{Height: 3},
		Area: parts.Area{Rect: []float64{10, 10, 30, 20}}, Bond: "stack", Stone: &[2]float64{5, 5}, Thickness: new(1.2), Surface: new("plain")}
	s := partstest.Site(g, p)
	land := g.Solid(s)
	require.InDelta(t, 1.8, sdftest.SurfaceAt(t, land, 25, 20, 5), 1e-9)
	require.InDelta(t, 1.8, sdftest.SurfaceAt(t, land, 10.11, 20, 5), 1e-9)
	require.InDelta(t, 3, sdftest.SurfaceAt(t, land, 9.84, 20, 5), 1e-9)
	require.InDelta(t, 1.8, parts.StructureUnder(s, 3, sdftest.Corners(20, 20, 21, 20, 21, 21)), 1e-12)
	require.InDelta(t, 3, parts.StructureUnder(s, 3, sdftest.Corners(2, 2, 3, 2, 3, 3)), 1e-12)
	under, ok := s.LandUnder(sdftest.Corners(20, 20, 21, 20, 21, 21))
	require.True(t, ok)
	require.InDelta(t, 1.8, under, 1e-12)
	_, ok = s.LandUnder(sdftest.Corners(100, 100, 101, 100, 101, 101))
	require.False(t, ok)

	both := sdf.Union(land, p.Solid(s))
	require.InDelta(t, 3, sdftest.SurfaceAt(t, both, 22.5, 22.5, 5), 1e-9, "on a stone")
	require.InDelta(t, 3-p.Finish(s).Recess, sdftest.SurfaceAt(t, both, 25, 22.5, 5), 1e-9, "in a joint")
	require.InDelta(t, 3-p.Finish(s).Recess, sdftest.SurfaceAt(t, both, 10, 22.5, 5), 1e-9, "around the finish")
	sdftest.RequireSolidColumns(t, both, r2.Box{Min: r2.Vec{X: 5, Y: 5}, Max: r2.Vec{X: 45, Y: 35}}, 4, -20)
}

// A trench through paved ground cuts the paving off at its edge.
func TestTrenchCutsPaving(t *testing.T) {
	g := land()
	g.Sunk = []Terrace{{Area: parts.Area{Rect: []float64{-5, 15, 70, 10}}, Level: parts.Level{Height: -3}, Bank: 60}}
	p := &paving.Paving{Named: parts.Named{Name: "street"}, Level: parts.Level{Height: 3}, Area: parts.Area{Rect: []float64{5, 5, 50, 30}}, Bond: "running", Wear: 0.6}
	q := &paving.Paving{Named: parts.Named{Name: "duckboard"}, Level: parts.Level{Height: -3},
		Area: parts.Area{Rect: []float64{10, 19, 20, 2}}, Bond: "stack", Stone: &[2]float64{2, 2}, Surface: new("plain")}
	s := partstest.Site(g, p, q)
	both := sdf.Union(g.Solid(s), p.Solid(s), q.Solid(s))
	require.InDelta(t, -3, sdftest.SurfaceAt(t, both, 40, 20, 5), 1e-9)
	require.InDelta(t, -3, sdftest.SurfaceAt(t, both, 11, 20, 5), 1e-9, "the paving of the floor is at its level")
	sdftest.RequireSolidColumns(t, both, r2.Box{Min: r2.Vec{X: 1, Y: 1}, Max: r2.Vec{X: 59, Y: 39}}, 4, -20)
}
