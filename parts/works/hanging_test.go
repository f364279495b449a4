package works

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/partstest/printed"
	"socle/parts/setout"
	"socle/sdf"
)

// A pipe begins nowhere in the air and spans nothing: not between its saddles, under its
// flanges, its bend or its valve. Under it is a wall, with openings where there is room.
func TestPipesRestAllAlong(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		ratio, height, valve float64
		bore                 string
		open                 bool
	}{
		{56, 10, 14, "dn-300", true}, {56, 3.5, 0, "dn-200", false}, {285, 4, 0, "dn-600", true},
	} {
		s := partstest.Quarry(c.ratio, 1)
		s.Printer.Vent = 2
		p := &Pipe{Course: line(), Bore: c.bore, Height: c.height, Flanges: 15, Supports: 12}
		p.Points = []r2.Vec{{}, {X: 28}, {X: 28, Y: 24}}
		if c.valve > 0 {
			p.Valve = &c.valve
		}
		s.Parts = []parts.Part{p}
		require.Empty(t, p.Check(s))
		f, z := p.Solid(s), p.settled(s)
		const ledge = 1.6 // mm: half of what the rim of the hand wheel spans
		printed.RequireNothingHangs(t, f, 0.15, ledge)

		through := false // by a line across, under the middle of the pipe
		for x := 2.0; x < 24; x += 0.1 {
			through = through || f.Value(sdf.V(x, 0, (z.height-z.outside)/2)) > 0
		}
		require.Equal(t, c.open, through, "an opening")
	}
}

// Tanks and drums that lie begin nowhere in the air.
func TestLyingVesselsAreBedded(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		ratio float64
		part  setout.Thing
	}{
		"tank":       {100, &Tank{Places: places(), Diameter: 10, Length: 19, Bands: 4, Manhole: true, Wear: 0.4}},
		"small tank": {285, &Tank{Places: places(), Diameter: 7, Length: 14, Bands: 4, Manhole: true, Wear: 1}},
		"drum":       {56, &Drum{Places: places(), Diameter: 10.4, Height: 15.7, Lying: true, Wear: 0.8}},
		"small drum": {285, &Drum{Places: places(), Diameter: 3, Height: 4, Lying: true, Wear: 1}},
	} {
		t.Run(name, func(t *testing.T) {
			s := partstest.Quarry(c.ratio, 1)
			printed.RequireNothingHangs(t, bodyOf(s, c.part, 5), 0.15, 1.5)
		})
	}
}

// The creases and the cleats of a duct hang nowhere under it.
func TestDuctsBeginOnTheirWall(t *testing.T) {
	t.Parallel()
	s := partstest.Quarry(56, 1)
	d := &Duct{Course: line(), Width: s.OnPrint(260), Depth: s.OnPrint(220), Height: s.OnPrint(120), Flanges: s.OnPrint(700), Supports: "wall", End: "closed"}
	d.Points = []r2.Vec{{}, {X: 26}}
	s.Parts = []parts.Part{d}
	require.Empty(t, d.Check(s))
	printed.RequireNothingHangs(t, d.Solid(s), 0.15, 1.5)
}
