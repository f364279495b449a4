package collapse

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/deck"
	"socle/parts/partstest"
	"socle/parts/partstest/built"
	"socle/parts/partstest/fixtures"
	"socle/parts/wall"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// walled is a wall of 30 mm along x from 10 to 90, at y = 40 on ground at a level of 10, and
// what comes down of it.
func walled(coursing string, set func(w *wall.Wall, c *Collapse)) (*parts.Site, *wall.Wall, *Collapse) {
	w := &wall.Wall{Named: parts.Named{Name: "byre"}, Line: []r2.Vec{{X: 10, Y: 40}, {X: 90, Y: 40}}, Thickness: 4,
		From: parts.Level{Height: 10}, Height: new(30.0), Coursing: coursing, Coping: "none", Wear: 0.2, Seed: 3, Surface: new("plain")}
	c := &Collapse{Named: parts.Named{Name: "fall"}, Of: "byre", From: new(25.0), To: new(60.0),
		Stump: 8, Slope: 65, Falls: "both", Bulking: 1.4, Roughness: 0.6, Seed: 2}
	set(w, c)
	return fixtures.GroundWith(w, c), w, c
}

// What stays of a wall is a stump along its stretch, by rays; beyond its ends all stands. The
// volume that came down is that which is missing.
func TestStump(t *testing.T) {
	for _, coursing := range []string{"none", "brick", "block", "ashlar"} {
		t.Run(coursing, func(t *testing.T) {
			s, w, c := walled(coursing, func(*wall.Wall, *Collapse) {})
			require.Empty(t, c.Check(s))
			left := built.Struck(s)
			mean, n := 0.0, 0
			for x := 55.13; x < 61; x += 0.5 { // clear of the steps at either end
				top := sdftest.DropOnto(t, left, x, 40, 60) - 10
				require.True(t, top > 0.5 && top < 18, "at %v: %v", x, top)
				mean, n = mean+top, n+1
			}
			require.InDelta(t, 8, mean/float64(n), 5)
			for _, x := range []float64{15, 25, 80, 85} {
				require.InDelta(t, 40, sdftest.DropOnto(t, left, x, 40, 60), 0.6, "stands at %v", x)
			}
			box := r3.Box{Min: sdf.V(9, 36, 10.5), Max: sdf.V(91, 44, 45)}
			missing := sdftest.Volume(w.Solid(s), box, 0.5) - sdftest.Volume(left, box, 0.5)
			require.InEpsilon(t, c.settled(s).volume, missing, 0.15)
		})
	}
}

// More stump leaves more; the seed picks how it broke; the cut keeps the promise of fields.
func TestCollapseFields(t *testing.T) {
	s, _, c := walled("block", func(*wall.Wall, *Collapse) {})
	box := r3.Box{Min: sdf.V(20, 30, 5), Max: sdf.V(80, 50, 45)}
	sdftest.RequireHonest(t, c.Cut(s), box, 3)
	sdftest.RequireHonest(t, c.Bite(s).Gone, box, 4)
	was := c.settled(s).volume
	c.Stump = 15
	s = s.With(s.Parts)
	require.Less(t, c.settled(s).volume, 0.85*was)
	tops := c.settled(s).stations
	c.Seed++
	s = s.With(s.Parts)
	require.NotEqual(t, tops, c.settled(s).stations)
	sdftest.RequireOnePiece(t, built.Struck(s), r3.Box{Min: sdf.V(5, 30, 5), Max: sdf.V(95, 50, 45)}, 0.7)
}

// Heaps lie on the sides that it falls to, hold all that came down with its voids, and their
// foot is the face of the wall. A corner takes heaps of its own.
func TestHeaps(t *testing.T) {
	for falls, sides := range map[string]int{"both": 2, "left": 1, "right": 1} {
		s, w, c := walled("brick", func(w *wall.Wall, c *Collapse) {
			c.Falls = falls
			w.Line = []r2.Vec{{X: 10, Y: 40}, {X: 50, Y: 40}, {X: 50, Y: 75}}
		})
		require.Empty(t, c.Check(s))
		heaps := c.Heaps(s)
		require.Len(t, heaps, 2*sides)
		sum := 0.0
		for _, h := range heaps {
			sum += h.Volume
			require.InDelta(t, 1, r2.Norm(h.Out), 1e-9)
			require.Less(t, h.Stands, 8.0)
			u, _ := w.Upright(s)
			if h.A.X != h.B.X { // along the first side
				require.InDelta(t, 40+u.Thick/2*h.Out.Y, h.A.Y, 1e-9)
				if falls == "left" {
					require.Positive(t, h.Out.Y)
				} else if falls == "right" {
					require.Negative(t, h.Out.Y)
				}
			}
		}
		require.InDelta(t, 1.4*c.settled(s).volume, sum, 1e-6)
		require.Contains(t, c.Notes(s)[0].Text, "no spill")
	}
}

// A deck on piers comes down where the area is: the slab is gone there, what came down is its
// thickness, and a spill finds it under the slab.
func TestFloorComesDown(t *testing.T) {
	d := fixtures.DeckAt(24, 20, 20, 50, 40)
	d.On, d.Thickness, d.Surface = "piers", 3, new("plain")
	c := &Collapse{Named: parts.Named{Name: "fall"}, Of: d.Name, Area: &parts.Area{Rect: []float64{32, 30, 20, 14}},
		Slope: 65, Falls: "both", Bulking: 1.4, Stump: 5, Seed: 2}
	s := fixtures.GroundWith(d, c)
	require.Empty(t, c.Check(s))
	left := built.Struck(s)
	require.InDelta(t, 10, sdftest.DropOnto(t, left, 42, 37, 60), 0.6, "open to the ground")
	require.InDelta(t, 24, sdftest.DropOnto(t, left, 62, 52, 60), 0.2)
	require.InEpsilon(t, 20*14*3.0, c.settled(s).volume, 0.1)
	require.InDelta(t, 21, c.Under(s), 1e-9)
	patch, of := c.Fallen(s)
	require.Equal(t, []string{d.Name}, of)
	require.InDelta(t, 3, patch.Deep, 1e-9)
	require.Len(t, c.Heaps(s), 1)
}

func TestFaults(t *testing.T) {
	for _, f := range []struct {
		key string
		set func(w *wall.Wall, c *Collapse)
	}{
		{"to", func(_ *wall.Wall, c *Collapse) { c.From, c.To = new(30.0), new(30.5) }},
		{"stump", func(_ *wall.Wall, c *Collapse) { c.Stump = 29.5 }},
		{"area", func(_ *wall.Wall, c *Collapse) { c.Area = &parts.Area{Rect: []float64{0, 0, 5, 5}} }},
		{"only", func(_ *wall.Wall, c *Collapse) { c.Only = []string{"ground"} }},
		{"spares", func(_ *wall.Wall, c *Collapse) { c.Spares = []string{"byre"} }},
	} {
		s, _, c := walled("brick", f.set)
		faults := c.Check(s)
		require.Len(t, faults, 1, f.key)
		require.Equal(t, f.key, faults[0].Key)
	}
	for _, f := range []struct {
		key string
		set func(d *deck.Deck, c *Collapse)
	}{
		{"of", func(d *deck.Deck, _ *Collapse) { d.On = "solid" }},
		{"area", func(_ *deck.Deck, c *Collapse) { c.Area = nil }},
		{"area", func(_ *deck.Deck, c *Collapse) { c.Area.Rect[0] = 80 }},
		{"from", func(_ *deck.Deck, c *Collapse) { c.From = new(2.0) }},
	} {
		d := fixtures.DeckAt(24, 20, 20, 50, 40)
		d.On = "piers"
		c := &Collapse{Named: parts.Named{Name: "fall"}, Of: d.Name, Area: &parts.Area{Rect: []float64{32, 30, 12, 12}}, Slope: 65, Falls: "both", Bulking: 1.4}
		f.set(d, c)
		faults := c.Check(fixtures.GroundWith(d, c))
		require.Len(t, faults, 1, f.key)
		require.Equal(t, f.key, faults[0].Key)
	}
}

// Whatever the keys are within their ranges, what Check accepts has a cut with values
// everywhere.
func TestAnyKeysCut(t *testing.T) {
	for seed := range uint64(60) {
		rng := partstest.Quarry(56, 1).Rand("any", seed, "keys")
		s, _, c := walled("block", func(w *wall.Wall, c *Collapse) {
			w.Ruin = rng.Float64() * float64(rng.IntN(2))
			c.From, c.To = new(90*rng.Float64()), new(90*rng.Float64())
			c.Stump, c.Slope, c.Roughness, c.Bulking, c.Seed = 30*rng.Float64(), 30+60*rng.Float64(), rng.Float64(), 1+rng.Float64(), seed
		})
		if len(c.Check(s)) > 0 {
			continue
		}
		cut := c.Cut(s)
		c.Heaps(s)
		c.Plan(s)
		for range 30 {
			d := cut.Value(sdf.V(100*rng.Float64(), 80*rng.Float64(), 50*rng.Float64()))
			require.False(t, math.IsNaN(d))
		}
	}
}
