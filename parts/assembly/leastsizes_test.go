package assembly

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/crater"
	"socle/parts/partstest"
	"socle/parts/partstest/fixtures"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// TestPiersAreNoThinnerThanPins: a pier is held to the least pin, a wall under a
// deck to the least wall.
func TestPiersAreNoThinnerThanPins(t *testing.T) {
	for _, c := range []struct {
		on          string
		asked, wide float64
	}{{"piers", 2, 3}, {"piers", 3.2, 3.2}, {"walls", 2, 2}, {"walls", 1, 1.2}} {
		s := partstest.Quarry(100, 1)
		s.Print.Pin, s.Print.Wall = 3, 1.2
		d := fixtures.DeckAt(20, -10, -10, 20, 20)
		d.On, d.Pier, d.Inset, d.Spacing = c.on, c.asked, 9, 40 // one carrier, in the middle
		if c.on == "walls" {
			d.Inset, d.Area = 1, parts.Area{Rect: []float64{-30, -10, 60, 20}}
			d.Spacing = 29.5 // three walls, one of them in the middle
		}
		s.Parts = []parts.Part{d}
		f := d.Solid(s)
		require.InDelta(t, c.wide, widthAt(f, 10), 0.03, "%+v", c)
		want := 0
		if c.wide > c.asked {
			want = 1
		}
		noted := 0
		for _, key := range partstest.NotedKeys(s) {
			if key == "pier" {
				noted++
			}
		}
		require.Equal(t, want, noted, "%+v", c)
	}
}

// TestDamageTooShallowToShow: a groove and cracks that the scene asks for are
// drawn at least as deep as relief shows, with a note.
func TestDamageTooShallowToShow(t *testing.T) {
	for _, c := range []struct{ asked, deep float64 }{{0.2, 0.6}, {0.8, 0.8}} {
		s, _ := fixtures.CraterSite()
		s.Print.Relief = 0.6
		g := &crater.Gouge{Named: parts.Named{Name: "scar"}, From: &r2.Vec{X: 20, Y: 40}, To: &r2.Vec{X: 60, Y: 40}, Width: 4, Depth: c.asked, Profile: "u", Seed: 1}
		s.Parts = append(s.Parts, g)
		require.Empty(t, g.Check(s))
		require.InDelta(t, 3-c.deep, sdftest.SurfaceAt(t, assembled(t, partstest.WorkAndDamage(s)).Field, 40, 40, 20), 0.01)
		raised := c.deep > c.asked
		require.Equal(t, raised, len(g.Notes(s)) == 1, "%v", g.Notes(s))
	}
	s, _ := fixtures.CraterSite()
	g := &crater.Gouge{Named: parts.Named{Name: "scar"}, From: &r2.Vec{X: 20, Y: 40}, To: &r2.Vec{X: 60, Y: 40}, Width: 0.3, Depth: 0.2, Profile: "u", Seed: 1}
	require.Empty(t, g.Check(s))
	s.Print.Relief = 0.6
	s = s.With(s.Parts)
	require.Len(t, g.Check(s), 1, "a groove so narrow cannot be so deep")
}

// TestWallsOfPocketsFollowThePrinter: what a resin printer holds between pocket
// and rim may be too thin for one that lays lines.
func TestWallsOfPocketsFollowThePrinter(t *testing.T) {
	at := func(fromEdge float64) *base.Base {
		m := fixtures.MagnetOf(5, 2)
		m.At = []r2.Vec{{X: 16 - fromEdge - (5+m.Clearance)/2}}
		return fixtures.BaseAt("b", func(b *base.Base) { b.Round, b.Taper, b.Chamfer, b.Magnets = new(32.0), 0, 0, []base.Magnet{m} })
	}
	resin, filament := partstest.Quarry(100, 1), partstest.Quarry(100, 1)
	resin.Printer, filament.Printer = parts.Printer{Process: "resin", Wall: 1}, parts.Printer{Process: "filament", Wall: 1.2}
	for _, c := range []struct {
		s     *parts.Site
		least float64
	}{{resin, 0.5}, {filament, 0.8}} {
		require.Empty(t, at(c.least+0.01).Check(c.s))
		faults := at(c.least - 0.01).Check(c.s)
		require.Len(t, faults, 1)
		require.Equal(t, "magnet[0].at", faults[0].Key)
	}
}

// widthAt is how much of a line across a solid lies within it at a height, mm.
func widthAt(f sdf.Field, z float64) float64 {
	const step = 0.01
	n := 0
	for x := -10.0; x < 10; x += step {
		if f.Value(sdf.V(x, 0, z)) < 0 {
			n++
		}
	}
	return float64(n) * step
}
