package parts

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

func columnOf(at ...r2.Vec) *Column {
	return &Column{Named: Named{"columns"}, At: at, Level: Level{Height: 3}, Height: 60, Diameter: 9,
		Taper: 0.84, Base: "moulded", Capital: "moulded", Flutes: 20, Seed: 5}
}

func TestColumnIsOnePiece(t *testing.T) {
	for _, base := range []string{"none", "plinth", "moulded"} {
		for _, capital := range []string{"none", "plain", "moulded"} {
			for _, broken := range []float64{0, 0.5, 1} {
				s := quarry(56, 1)
				c := columnOf(r2.Vec{X: 10, Y: -4})
				c.Base, c.Capital, c.Broken = base, capital, broken
				s.Parts = []Part{c}
				layAt(s, 3, 0.7)
				require.Empty(t, c.Check(s))
				f := c.Solid(s)
				requireOnePiece(t, f, r3.Box{}, 0.5)
				require.LessOrEqual(t, f.Bounds().Max.Z, 63+1e-8)
				require.InDelta(t, 3-0.7-0.5, f.Bounds().Min.Z, 1e-6)
				top := dropOnto(t, f, 10, -4, 100)
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
	s := quarry(56, 1)
	c := columnOf(r2.Vec{}, r2.Vec{X: 30}, r2.Vec{X: 60})
	c.Broken = 0.6
	f := c.Solid(s)
	a, b, d := dropOnto(t, f, 0, 0, 100), dropOnto(t, f, 30, 0, 100), dropOnto(t, f, 60, 0, 100)
	require.NotEqual(t, a, b)
	require.NotEqual(t, b, d)
	require.Equal(t, a, dropOnto(t, c.Solid(s), 0, 0, 100), "the same every time")
	c.Seed++
	require.NotEqual(t, a, dropOnto(t, c.Solid(s), 0, 0, 100))
}

func TestColumnFlutesThatPrint(t *testing.T) {
	s := quarry(285, 1)
	c := columnOf(r2.Vec{})
	c.Diameter, c.Height = 3, 20
	n, depth := c.fluting(s)
	require.Equal(t, 17, n) // pi * 2.52 / 0.45
	require.Positive(t, depth)
	require.Contains(t, s.Notes()[0].Text, "17 flutes are drawn in place of 20")
	c.Diameter = 0.9
	n, _ = c.fluting(s)
	require.Zero(t, n)
	// Flutes take away from the shaft and nothing else.
	c = columnOf(r2.Vec{})
	s = quarry(56, 1)
	with := c.Solid(s)
	c.Flutes = 0
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
	s := quarry(56, 1)
	c := columnOf(r2.Vec{})
	c.Diameter = 0.9
	faults := c.Check(s)
	require.Len(t, faults, 1)
	require.Equal(t, "diameter", faults[0].Key)
	c = columnOf(r2.Vec{})
	c.Height = 9
	faults = c.Check(s)
	require.Len(t, faults, 1)
	require.Equal(t, "height", faults[0].Key)
}
