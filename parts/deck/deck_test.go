package deck

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/planar"
	"socle/parts/stair"
	"socle/sdf"
	"socle/sdf/sdftest"
)

func TestEqualBays(t *testing.T) {
	require.Equal(t, 1, planar.EqualBays(3, 5))
	require.Equal(t, 2, planar.EqualBays(10, 5), "a spacing that fits exactly is not one bay more")
	require.Equal(t, 3, planar.EqualBays(10.001, 5))
	require.Equal(t, 1, planar.EqualBays(0, 5))
	rapid.Check(t, func(t *rapid.T) {
		length, spacing := rapid.Float64Range(0, 1e4).Draw(t, "length"), rapid.Float64Range(0.1, 1e3).Draw(t, "spacing")
		n := planar.EqualBays(length, spacing)
		require.LessOrEqual(t, length/float64(n), spacing*(1+1e-9))
		if n > 1 {
			require.Greater(t, length/float64(n-1), spacing)
		}
	})
}

func TestDeckPiersStandInEqualBays(t *testing.T) {
	s := partstest.Quarry(100, 1)
	d := deckOver(20, 0, 0, 62, 30)
	d.On, d.Spacing = "piers", 14
	s.Parts = []parts.Part{d}
	partstest.LayAt(s, 20, 1)
	f := d.Solid(s)
	require.InDelta(t, 19, sdftest.DropOnto(t, f, 20, 15, 40), 1e-6, "lowered under the paving")
	// Inner piers at 2 + 58 k/5 along and 2, 15, 28 or so across: 5 bays by 2.
	for i := range 6 {
		for _, y := range []float64{2, 15, 28} {
			require.Negative(t, f.Value(sdf.V(2+58*float64(i)/5, y, 5)), "pier %d", i)
		}
	}
	require.Positive(t, f.Value(sdf.V(2+58*0.5/5, 15, 5)), "open between piers")
	require.Positive(t, f.Value(sdf.V(0.5, 15, 5)), "inset from the edge")
	sdftest.RequireOnePiece(t, f, r3.Box{}, 0.7)
	require.GreaterOrEqual(t, d.Pieces(s), 18)
}

func TestDeckNeverFloats(t *testing.T) {
	areas := []parts.Area{
		{Rect: []float64{0, 0, 40, 25}},
		{Rect: []float64{0, 0, 40, 25}, Turn: 30},
		{Round: []float64{5, 5, 30}},
		{Oval: []float64{5, 5, 44, 24}, Turn: 15},
		{Polygon: []r2.Vec{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 12}, {X: 14, Y: 12}, {X: 14, Y: 36}, {X: 0, Y: 36}}},
		{Rect: []float64{0, 0, 40, 1.5}}, // no pier fits
	}
	for i, a := range areas {
		for _, on := range []string{"piers", "walls", "solid"} {
			for _, edge := range []string{"plain", "kerb", "nosing"} {
				s := partstest.Quarry(100, 1)
				d := deckOver(12, 0, 0, 1, 1)
				d.Area, d.On, d.Edge, d.Soffit = a, on, edge, "beams"
				s.Parts = []parts.Part{d}
				require.Empty(t, d.Check(s))
				f := d.Solid(s)
				sdftest.RequireOnePiece(t, f, r3.Box{}, 0.6)
				require.LessOrEqual(t, f.Bounds().Min.Z, -0.5, "area %d on %s goes into the ground", i, on)
			}
		}
	}
}

// On ground the piers go down into it, under its own finish too; a stair out of
// a pit ends at its edge.
func TestDeckAndStairMeetTheGround(t *testing.T) {
	s := partstest.Quarry(100, 1)
	ground := &ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{120, 100}, Level: parts.Level{Height: 6}, Thickness: 20, Surface: "uneven", Wavelength: 12,
		Sunk: []ground.Terrace{{Area: parts.Area{Rect: []float64{60, 10, 50, 50}}, Level: parts.Level{Height: -4}, Bank: 90}}}
	d := deckOver(20, 5, 5, 30, 30)
	d.On = "piers"
	st := deckFlight(-4, 6)
	st.Foot, st.Width = &r2.Vec{X: 85, Y: 45.5}, 15
	s.Parts = []parts.Part{ground, d, st}
	partstest.LayAt(s, 6, 1.5)
	require.Empty(t, ground.Check(s))
	require.Empty(t, d.Check(s))
	require.Empty(t, st.Check(s))
	land, _ := s.LandUnder(d.Area.Outline())
	require.Less(t, land, 4.5)
	require.InDelta(t, land-0.5, d.Solid(s).Bounds().Min.Z, 1e-6)
	require.InDelta(t, 60, head(st, s)[0].Y, 1e-9, "the edge of the pit")
	require.InDelta(t, -4.5, st.Solid(s).Bounds().Min.Z, 1e-6)
	all := sdf.Union(ground.Solid(s), d.Solid(s), st.Solid(s))
	sdftest.RequireOnePiece(t, all, r3.Box{Min: sdf.V(0, 0, -10), Max: sdf.V(120, 100, 20)}, 1)
	d.Level.Height = 3
	s = s.With(s.Parts)
	faults := d.Check(s)
	require.Len(t, faults, 1)
	require.Equal(t, "level", faults[0].Key)
}

func TestDeckKerbOpensAtAStair(t *testing.T) {
	s := partstest.Quarry(100, 1)
	d := deckOver(10, -50, 30, 100, 40)
	d.Edge, d.Kerb, d.Upstand, d.Surface = "kerb", 1.5, 1.25, new("plain")
	st := deckFlight(0, 10)
	st.Head, st.Foot, st.Width = &r2.Vec{X: 0, Y: 30}, nil, 20
	s.Parts = []parts.Part{d, st}
	f := d.Solid(s)
	require.InDelta(t, 11.25, sdftest.DropOnto(t, f, 30, 30.7, 40), 1e-6, "the kerb")
	require.InDelta(t, 10, sdftest.DropOnto(t, f, 9.9, 30.7, 40), 1e-6, "the gap at the stair")
	require.InDelta(t, 11.25, sdftest.DropOnto(t, f, 10.1, 30.7, 40), 1e-6)
	require.InDelta(t, 10, sdftest.DropOnto(t, f, 30, 40, 40), 1e-6, "within")
}

func TestDeckFaults(t *testing.T) {
	s := partstest.Quarry(100, 1)
	d := deckOver(10, 0, 0, 1500, 1500)
	d.On, d.Spacing, d.Pier = "piers", 1, 0.5
	s.Parts = []parts.Part{d}
	faults := d.Check(s)
	require.Len(t, faults, 1)
	require.Equal(t, "spacing", faults[0].Key)

	d = deckOver(10)
	s.Parts = []parts.Part{d}
	faults = d.Check(s)
	require.Len(t, faults, 1)
	require.Equal(t, "area", faults[0].Key)
}

// deckOver is a solid deck at a level over a rectangle.
func deckOver(level float64, rect ...float64) *Deck {
	return &Deck{Named: parts.Named{Name: "deck"}, Level: parts.Level{Height: level}, Area: parts.Area{Rect: rect},
		Thickness: 2, On: "solid", Pier: 2, Spacing: 14, Inset: 1, Soffit: "flat", Edge: "plain", Kerb: 1, Upstand: 0.5}
}

// deckFlight is a plain stair.
func deckFlight(from, to float64) *stair.Stair {
	return &stair.Stair{
		Named: parts.Named{Name: "stair"}, From: parts.Level{Height: from}, To: parts.Level{Height: to},
		Foot: &r2.Vec{}, Facing: 90, Width: 30, Profile: "comfort", Side: "solid", Flanks: "none",
		Waist: 1, Cheek: 1, Upstand: 0.5, Seed: 1,
	}
}

func head(st parts.Climber, s *parts.Site) [2]r3.Vec {
	f := st.Flight(s)
	return f.HeadLine()
}

// A textured deck reaches its level and nowhere rises above it, and lies true where a
// flight comes up to it.
func TestTexturedDeckKeepsItsLevel(t *testing.T) {
	for _, material := range []string{"stone", "concrete", "timber", "plate"} {
		s := partstest.Quarry(100, 1)
		d := deckOver(10, -50, 30, 100, 40)
		d.Material = material
		st := deckFlight(0, 10)
		st.Head, st.Foot, st.Width = &r2.Vec{X: 0, Y: 30}, nil, 20
		s.Parts = []parts.Part{d, st}
		f := d.Solid(s)
		highest, cut, all := 0.0, 0, 0
		for x := -40.3; x < 40; x += 1.17 {
			for y := 40.0; y < 60; y += 0.83 {
				z := sdftest.DropOnto(t, f, x, y, 40)
				require.LessOrEqual(t, z, 10+1e-9)
				require.GreaterOrEqual(t, z, 10-3*s.Print.Relief)
				highest, all = max(highest, z), all+1
				if z < 9.97 {
					cut++
				}
			}
		}
		require.InDelta(t, 10, highest, 0.01, material)
		require.Greater(t, float64(cut)/float64(all), 0.3, material)
		for x := -9.0; x < 9; x += 0.37 {
			require.InDelta(t, 10, sdftest.DropOnto(t, f, x, 30.8, 40), 1e-9, "at the head of the flight")
		}
	}
}
