package spill

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/column"
	"socle/parts/crater"
	"socle/parts/deck"
	"socle/parts/partstest/fixtures"
	"socle/parts/paving"
	"socle/parts/wall"
	"socle/sdf"
)

// forms are the matters of a spill, the largest share first.
func forms(s *parts.Site, p *Spill) (all []string) {
	for _, x := range p.settled(s.With(s.Parts)).stuff {
		all = append(all, x.Form.String())
	}
	return all
}

// Debris is of what the damage broke, by how much of it lies there: its flags, its slab and
// its ground, not what it spares nor what lies elsewhere.
func TestDebrisIsOfWhatBroke(t *testing.T) {
	c := &crater.Crater{Named: parts.Named{Name: "hit"}, At: r2.Vec{X: 50, Y: 40}, Diameter: 30, Blanket: 2, Slope: 37, Seed: 1}
	flags := &paving.Paving{Named: parts.Named{Name: "flags"}, Level: parts.Level{Height: 10}, Area: parts.Area{Rect: []float64{0, 0, 100, 80}}, Bond: "stack"}
	p := &Spill{Named: parts.Named{Name: "debris"}, From: "hit", Exponent: 2.5, Repose: 35, Seed: 1}
	s := fixtures.GroundWith(flags, c, p)
	require.Equal(t, []string{"flags", "stones", "clods"}, forms(s, p))
	flagsShare := p.settled(s.With(s.Parts)).stuff[0].share

	flags.Area.Rect = []float64{0, 0, 40, 80}
	require.Less(t, p.settled(s.With(s.Parts)).stuff[0].share, flagsShare)
	require.Contains(t, forms(s, p), "flags")
	flags.Area.Rect = []float64{0, 0, 30, 80}
	require.NotContains(t, forms(s, p), "flags")
	flags.Area.Rect = []float64{0, 0, 100, 80}
	c.Spares = []string{"flags"}
	require.NotContains(t, forms(s, p), "flags")
	c.Spares = nil

	d := &deck.Deck{Named: parts.Named{Name: "slab"}, Level: parts.Level{Height: 24}, Area: parts.Area{Rect: []float64{30, 20, 40, 40}},
		Thickness: 2, On: "piers", Pier: 2, Spacing: 14, Inset: 1, Soffit: "flat", Edge: "plain"}
	s.Parts = append(s.Parts, d)
	require.Contains(t, forms(s, p), "slabs")
	d.On = "solid"
	require.NotContains(t, forms(s, p), "slabs", "a slab has bars only where it spans")

	p.Of = []string{"slab"}
	d.On = "piers"
	require.Equal(t, []string{"slabs"}, forms(s, p))
	p.Of, p.Matter = nil, "flags"
	require.Equal(t, []string{"flags"}, forms(s, p))
	require.InDelta(t, 1, p.settled(s.With(s.Parts)).stuff[0].Unit.Z, 0.2, "as thick as the flags that are there, or what stands")
	p.Matter = "plates"
	require.Equal(t, []string{"plates"}, forms(s, p), "of its usual size where no part has it")
}

// Over an area it is of what stands in or beside it: bricks before a brick wall, drums about
// a broken shaft; stones where nothing does.
func TestDebrisIsOfWhatStandsBeside(t *testing.T) {
	w := &wall.Wall{Named: parts.Named{Name: "front"}, Line: []r2.Vec{{X: 10, Y: 60}, {X: 90, Y: 60}}, Thickness: 5,
		From: parts.Level{Height: 10}, Height: new(30.0), Coursing: "brick", Coping: "none", Seed: 3}
	p := &Spill{Named: parts.Named{Name: "debris"}, Area: &parts.Area{Rect: []float64{20, 40, 40, 15}}, Exponent: 2.5, Repose: 35, Seed: 1}
	s := fixtures.GroundWith(w, p)
	require.Equal(t, []string{"bricks"}, forms(s, p))
	s.Scale.Ratio = 300
	require.Equal(t, []string{"bricks"}, forms(s, p))
	s.Printer = parts.Printer{Process: "resin", Pin: 0.8, Wall: 1, Gap: 0.3, Emboss: 0.3, Engrave: 0.3}
	s.Scale.Ratio = 72
	notes := p.settled(s.With(s.Parts)).notes
	require.Len(t, notes, 1)
	require.Equal(t, "bricks of 0.90 mm are drawn 1.03 mm thick, so that they print", notes[0].Text)
	s.Scale.Ratio = 56
	w.Coursing = "block"
	require.Equal(t, []string{"blocks"}, forms(s, p))
	p.Area.Rect = []float64{20, 5, 40, 15}
	require.Equal(t, []string{"stones"}, forms(s, p), "farther off than it falls")

	c := &column.Column{Named: parts.Named{Name: "shaft"}, At: []r2.Vec{{X: 30, Y: 12}}, Level: parts.Level{Height: 10},
		Height: 30, Diameter: 5, Taper: 0.8, Broken: 0.5}
	s.Parts = append(s.Parts, c)
	require.Equal(t, []string{"drums"}, forms(s, p))
}

// Whatever the sizes, the printer and the scale, no more is laid than is told before, and
// each fragment is a fragment.
func TestDebrisOfAnySizes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, p := heapSite()
		s.Scale.Ratio = rapid.SampledFrom([]float64{1, 10, 56, 300, 2000}).Draw(t, "ratio")
		s.Printer = parts.Printer{Process: "resin", Pin: 0.8, Wall: 1, Gap: 0.3, Emboss: 0.3, Engrave: 0.3}
		if rapid.Bool().Draw(t, "filament") {
			s.Printer = parts.Printer{Process: "filament", Pin: 3, Wall: 1.2, Gap: 0.6, Emboss: 0.6, Engrave: 0.6}
		}
		s.Print = s.Printer.Drawn()
		p.Matter = rapid.SampledFrom(parts.Forms[:]).Draw(t, "matter")
		side := rapid.Float64Range(0.01, 90)
		p.Area = &parts.Area{Rect: []float64{20, 20, side.Draw(t, "width"), side.Draw(t, "depth")}}
		p.Count, p.Size = new(rapid.IntRange(1, 30).Draw(t, "count")), nil
		if rapid.Bool().Draw(t, "sized") {
			least := rapid.Float64Range(0.02, 100).Draw(t, "least")
			p.Size = &[2]float64{least, rapid.Float64Range(least, 100).Draw(t, "most")}
		}
		if rapid.Bool().Draw(t, "heaped") {
			p.Heap = rapid.Float64Range(0, 8).Draw(t, "heap")
		}
		d := p.lay(s, sdf.BoxBetween(sdf.V(0, 0, -5), sdf.V(200, 200, 3)))
		require.LessOrEqual(t, len(d.fragments), p.Pieces(s))
		for _, f := range d.fragments {
			require.NotEmpty(t, f.bodies)
			require.NotEmpty(t, f.seat.on)
		}
	})
}
