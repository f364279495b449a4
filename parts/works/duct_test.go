package works

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

func duct(s *parts.Site) *Duct {
	return &Duct{Course: line(), Width: s.OnPrint(400), Depth: s.OnPrint(300), Height: s.OnPrint(250), Flanges: s.OnPrint(1250), Supports: "wall",
		Spacing: s.OnPrint(1200), End: "grille", Wear: 0.4}
}

// A duct is one piece with an honest field, as high and as wide as it says, on a wall and on
// trestles, whatever its end is.
func TestDucts(t *testing.T) {
	for _, ratio := range []float64{56, 285} {
		for _, end := range []string{"open", "grille", "closed"} {
			s := partstest.Quarry(ratio, 1)
			d := duct(s)
			if d.End = end; end == "open" {
				d.Supports = "trestles"
			}
			requireCourse(t, s, d, d.settled(s).top(), 0.2)
			require.NotEmpty(t, d.Plan(s))
			require.Positive(t, d.Pieces(s))
			require.Positive(t, d.Breaks(s, &parts.Patch{Whole: true})[0].Volume)
		}
	}
}

// Without creases, flanges and dents a straight closed duct is its section times its length;
// an open end is hollow, and the blades of a grille close most of it.
func TestDuctSection(t *testing.T) {
	s := partstest.Quarry(10, 1)
	d := duct(s)
	d.Points, d.Wear, d.End = []r2.Vec{{}, {X: 100}}, 0, "closed"
	s.Parts = []parts.Part{d}
	require.Empty(t, d.Notes(s))
	z, f := d.settled(s), d.Solid(s)
	mid := d.settled(s).low + z.deep/2
	within := func(f sdf.Field, x float64) float64 {
		return sdftest.Volume(f, r3.Box{Min: sdf.V(x, -18, z.low+1), Max: sdf.V(x+6, 18, z.low+z.deep-1)}, 0.5)
	}
	require.InDelta(t, 6*36*28, within(f, 40), 1, "all within its faces is solid")
	require.InDelta(t, 400.0/10/2+z.crease, reachOf(f, 40, mid), 0.6, "half of it, and a crease at most")
	closed := within(f, 93)
	d.End = "open"
	s = s.With(s.Parts)
	open := within(d.Solid(s), 93)
	d.End = "grille"
	s = s.With(s.Parts)
	grille := within(d.Solid(s), 93)
	require.Less(t, open, 0.35*closed)
	require.Greater(t, grille, open)
	require.Less(t, grille, closed)
}

// reachOf is how far a solid reaches to the left of a line at x and at a height.
func reachOf(f sdf.Field, x, z float64) float64 {
	y := 60.0
	for f.Value(sdf.V(x, y, z)) > 1e-6 && y > 0 {
		y -= f.Value(sdf.V(x, y, z))
	}
	return y
}

// A duct whose sides are too short for its mitres is refused.
func TestDuctFaults(t *testing.T) {
	s := partstest.Quarry(56, 1)
	d := duct(s)
	d.Points = []r2.Vec{{}, {X: 4}, {X: 4, Y: 30}}
	s.Parts = []parts.Part{d}
	require.Equal(t, "line", d.Check(s)[0].Key)
}
