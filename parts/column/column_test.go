package column

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/partstest"
	"socle/sdf"
	"socle/sdf/sdftest"
)

func columnOf(at ...r2.Vec) *Column {
	return &Column{Named: parts.Named{Name: "columns"}, At: at, Level: parts.Level{Height: 3}, Height: 60, Diameter: 9,
		Taper: 0.84, Base: "moulded", Capital: "moulded", Flutes: 20, Seed: 5}
}

func TestColumnIsOnePiece(t *testing.T) {
	for _, base := range []string{"none", "plinth", "moulded"} {
		for _, capital := range []string{"none", "plain", "moulded"} {
			for _, broken := range []float64{0, 0.5, 1} {
				s := partstest.Quarry(56, 1)
				c := columnOf(r2.Vec{X: 10, Y: -4})
				c.Base, c.Capital, c.Broken = base, capital, broken
				s.Parts = []parts.Part{c}
				partstest.LayAt(s, 3, 0.7)
				require.Empty(t, c.Check(s))
				f := c.Solid(s)
				sdftest.RequireOnePiece(t, f, r3.Box{}, 0.5)
				require.LessOrEqual(t, f.Bounds().Max.Z, 63+1e-8)
				require.InDelta(t, 3-0.7-0.5, f.Bounds().Min.Z, 1e-6)
				top := sdftest.DropOnto(t, f, 10, -4, 100)
				if broken == 0 {
					require.InDelta(t, 63, top, 0.06)
				} else {
					require.Less(t, top, 63.0)
					require.Greater(t, top, 3.0)
				}
			}
		}
	}
}

func TestColumnsBreakDifferently(t *testing.T) {
	s := partstest.Quarry(56, 1)
	c := columnOf(r2.Vec{}, r2.Vec{X: 30}, r2.Vec{X: 60})
	c.Broken = 0.6
	f := c.Solid(s)
	a, b, d := sdftest.DropOnto(t, f, 0, 0, 100), sdftest.DropOnto(t, f, 30, 0, 100), sdftest.DropOnto(t, f, 60, 0, 100)
	require.NotEqual(t, a, b)
	require.NotEqual(t, b, d)
	require.Equal(t, a, sdftest.DropOnto(t, c.Solid(s), 0, 0, 100), "the same every time")
	c.Seed++
	s = s.With(s.Parts)
	require.NotEqual(t, a, sdftest.DropOnto(t, c.Solid(s), 0, 0, 100))
}

func TestColumnFlutesThatPrint(t *testing.T) {
	s := partstest.Quarry(285, 1)
	c := columnOf(r2.Vec{})
	c.Diameter, c.Height = 3, 20
	z := c.settled(s)
	require.Equal(t, 17, z.flutes) // pi * 2.52 / 0.45
	require.Positive(t, z.fluteDepth)
	require.Contains(t, c.Notes(s)[0].Text, "17 flutes are drawn in place of 20")
	c.Diameter = 0.9
	s = s.With(s.Parts)
	require.Zero(t, c.settled(s).flutes)
	// Flutes take away from the shaft and nothing else.
	c = columnOf(r2.Vec{})
	s = partstest.Quarry(56, 1)
	with := c.Solid(s)
	c.Flutes = 0
	s = s.With(s.Parts)
	without := c.Solid(s)
	less := 0
	for i := range 4000 {
		p := sdf.V(float64(i%20)*0.5-5, float64(i/20%20)*0.5-5, 3+float64(i/400)*6)
		if with.Value(p) < 0 {
			require.Negative(t, without.Value(p))
		} else if without.Value(p) < 0 {
			less++
		}
	}
	require.Positive(t, less)
}

func TestColumnFaults(t *testing.T) {
	s := partstest.Quarry(56, 1)
	c := columnOf(r2.Vec{})
	c.Height = 9 / mostEnds
	require.Empty(t, c.Check(s))
	c.Height -= 0.01
	faults := c.Check(s)
	require.Len(t, faults, 1)
	require.Equal(t, "height", faults[0].Key)
}

// acrossAt is how wide a solid is at a height, through the axis x = y = 0 along x, mm.
func acrossAt(f sdf.Field, z float64) float64 {
	const step = 0.01
	n := 0
	for x := -10.0; x < 10; x += step {
		if f.Value(sdf.V(x, 0, z)) < 0 {
			n++
		}
	}
	return float64(n) * step
}

// TestColumnThinnerThanPrints: what is under the least pin is drawn at it, at
// either end of the shaft, with one note; what is not stays as it was asked.
func TestColumnThinnerThanPrints(t *testing.T) {
	for _, c := range []struct {
		diameter, taper, foot, head float64
		note                        string
	}{
		{4, 0.75, 4, 3, ""},
		{4, 0.5, 4, 3, "4.00 mm tapering to 2.00 mm on the print is drawn at 4.00 mm tapering to 3.00 mm, the least pin"},
		{2.5, 0.5, 3, 3, "2.50 mm tapering to 1.25 mm on the print is drawn at 3.00 mm, the least pin"},
		{1.4, 1, 3, 3, "1.40 mm on the print is drawn at 3.00 mm, the least pin"},
	} {
		s := partstest.Quarry(56, 1)
		s.Print.Pin = 3
		post := columnOf(r2.Vec{})
		post.Diameter, post.Taper, post.Base, post.Capital, post.Flutes = c.diameter, c.taper, "none", "none", 0
		require.Empty(t, post.Check(s))
		f := post.Solid(s)
		require.InDelta(t, c.foot, acrossAt(f, 3.2), 0.03)
		require.InDelta(t, c.head, acrossAt(f, 62.9), 0.03)
		if c.note == "" {
			require.Empty(t, post.Notes(s))
			continue
		}
		require.Equal(t, []parts.Note{{Part: "columns", Key: "diameter", Text: c.note}}, post.Notes(s))
	}
}

// TestColumnKeepsAShaft: base and capital that the printer alone makes too tall
// are lowered, so that a shaft is left between them.
func TestColumnKeepsAShaft(t *testing.T) {
	s := partstest.Quarry(285, 1)
	s.Print.Pin, s.Print.Relief = 3, 0.6
	c := columnOf(r2.Vec{})
	c.Height, c.Diameter, c.Taper, c.Flutes = 3, 2, 1, 0
	require.Empty(t, c.Check(s))
	z := c.settled(s)
	require.InDelta(t, 0.8*3, z.base+z.capital, 1e-12)
	require.Len(t, c.Notes(s), 2)
	require.Equal(t, "height", c.Notes(s)[1].Key)
	sdftest.RequireOnePiece(t, c.Solid(s), r3.Box{}, 0.3)
	require.InDelta(t, 3, acrossAt(c.Solid(s), 3+1.5), 0.05)

	s = partstest.Quarry(285, 1)
	s.Print.Pin, s.Print.Relief = 3, 0.6
	c.Height = 3 / mostEnds
	z = c.settled(s)
	require.Equal(t, []float64{1.5, 1.5}, []float64{z.base, z.capital}, "there is just room")
	require.Len(t, c.Notes(s), 1)
}

// A shaft in drums has joints as deep as the print shows, keeps the promise of fields and
// a pin that prints, and where there is no room for them is smooth.
func TestDrumsOfAShaft(t *testing.T) {
	s := partstest.Quarry(56, 1)
	c := columnOf(r2.Vec{})
	c.Flutes, c.Base, c.Capital, c.Surface = 0, "none", "none", "plain"
	smooth := c.Solid(s)
	for _, word := range []string{"rubbed", "tooled"} {
		c.Surface = word
		f := c.Solid(s.With(s.Parts))
		sdftest.RequireHonest(t, f, r3.Box{Min: sdf.V(-6, -6, 2), Max: sdf.V(6, 6, 30)}, 7)
		joint := 3 + drumHigh*9
		require.Negative(t, smooth.Value(sdf.V(4.25, 0, joint)))
		for i := range 24 {
			p := sdf.Turn(sdf.V(0, 0, 1), 15*float64(i)).Rotate(sdf.V(4.15, 0, joint))
			require.GreaterOrEqual(t, f.Value(p), -0.08, "a joint all the way round")
			q := sdf.Turn(sdf.V(0, 0, 1), 15*float64(i)).Rotate(sdf.V(3.9, 0, joint+2))
			require.Negative(t, f.Value(q))
		}
	}
	c.Diameter, c.Taper = 0.9, 1.0
	z := c.settled(s.With(s.Parts))
	require.Nil(t, c.drums(s, z, 1, 3), "a pin of 0.9 mm has none to spare")
}
