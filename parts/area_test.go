package parts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/sdftest"
)

func TestAreaFaults(t *testing.T) {
	for _, c := range []struct {
		area Area
		key  string
		text string
	}{
		{Area{}, "area", "no shape"},
		{Area{Rect: []float64{0, 0, 1, 1}, Round: []float64{0, 0, 1}}, "area", "more than one"},
		{Area{Rect: []float64{0, 0, 1}}, "area.rect", "3 numbers"},
		{Area{Rect: []float64{0, 0, 1, 0}}, "area.rect", "depth is 0"},
		{Area{Rect: []float64{0, 0, -3, 5}}, "area.rect", "width is -3"},
		{Area{Rect: []float64{math.NaN(), 0, 3, 5}}, "area.rect", "x is NaN"},
		{Area{Rect: []float64{0, 0, math.Inf(1), 5}}, "area.rect", "width is +Inf"},
		{Area{Round: []float64{0, 0, 0}}, "area.round", "diameter is 0"},
		{Area{Round: []float64{0, 0, 2, 2}}, "area.round", "4 numbers"},
		{Area{Oval: []float64{0, 0, 2}}, "area.oval", "3 numbers"},
		{Area{Oval: []float64{0, 0, 2, -1}}, "area.oval", "short is -1"},
		{Area{Polygon: sdftest.Corners(0, 0, 1, 0)}, "area.polygon", "2 corners"},
		{Area{Polygon: sdftest.Corners(0, 0, 5, 5, 5, 0, 0, 5)}, "area.polygon", "sides 1 and 3 meet or cross"},
		{Area{Polygon: sdftest.Corners(0, 0, 5, 0, 5, 5, 5, 0, 0, 5)}, "area.polygon", "meet or cross"}, // folds back
		{Area{Polygon: sdftest.Corners(0, 0, 4, 0, 4, 4, 2, 0, 0, 4)}, "area.polygon", "meet or cross"}, // touches
		{Area{Polygon: sdftest.Corners(0, 0, 5, 0, 5, 0, 0, 5)}, "area.polygon", "one point"},
		{Area{Polygon: sdftest.Corners(0, 0, 1, 1, 2, 2)}, "area.polygon", "meet or cross"},
		{Area{Polygon: sdftest.Corners(0, 0, 1, 0, math.NaN(), 2)}, "area.polygon", "corner 3"},
		{Area{Polygon: make([]r2.Vec, 5000)}, "area.polygon", "5000 corners"},
	} {
		faults := c.area.Check("apron", "area")
		require.Len(t, faults, 1, "%+v", c.area)
		require.Equal(t, "apron", faults[0].Part)
		require.Equal(t, c.key, faults[0].Key)
		require.Contains(t, faults[0].Text, c.text)
		require.NotEmpty(t, faults[0].Allowed)
	}
	for _, good := range []Area{
		{Rect: []float64{-3, 2, 1, 1}, Turn: 30}, {Round: []float64{0, 0, 1}}, {Oval: []float64{0, 0, 1, 2}},
		{Polygon: sdftest.Corners(0, 0, 5, 0, 5, 5)}, {Polygon: sdftest.Corners(5, 5, 5, 0, 0, 0)},
		{Polygon: sdftest.Corners(0, 0, 9, 0, 9, 9, 6, 9, 6, 3, 3, 3, 3, 9, 0, 9)},
	} {
		require.Empty(t, good.Check("apron", "area"))
	}
}

// A turned shape keeps its area; the outline of a curve lies within it by at
// most curveChord, so its area lacks at most the perimeter times that.
func TestAreaOutline(t *testing.T) {
	for _, a := range []Area{
		{Rect: []float64{3, -2, 40, 7}, Turn: 25},
		{Round: []float64{3, 4, 32}, Turn: 10},
		{Oval: []float64{10, 20, 120, 92}, Turn: 20},
		{Oval: []float64{10, 20, 20, 92}, Turn: -70},
		{Polygon: sdftest.Corners(0, 9, 3, 9, 3, 3, 6, 3, 6, 9, 9, 9, 9, 0, 0, 0), Turn: 45},
	} {
		o := a.Outline()
		lost := a.Size() - planar.SignedArea(o)
		require.GreaterOrEqual(t, lost, -1e-9)
		around := 0.0
		for i, p := range o {
			around += r2.Norm(r2.Sub(p, o[(i+1)%len(o)]))
		}
		if len(a.Round)+len(a.Oval) > 0 {
			require.Less(t, lost, around*planar.CurveChord)
			require.Greater(t, lost, 0.0)
		} else {
			require.InDelta(t, 0, lost, 1e-9)
		}
		require.Less(t, r2.Norm(r2.Sub(planar.Centroid(o), a.Centre())), 1e-9)
	}
	// Corners and middles of the sides of a true ellipse: (x/60)^2 + (y/46)^2 = 1.
	oval := Area{Oval: []float64{0, 0, 120, 92}}
	o := oval.Outline()
	for i, p := range o {
		require.InDelta(t, 1, p.X*p.X/3600+p.Y*p.Y/2116, 1e-12)
		m := r2.Scale(0.5, r2.Add(p, o[(i+1)%len(o)]))
		require.True(t, oval.Contains(m))
	}
	require.True(t, oval.Contains(r2.Vec{X: 59.999}))
	require.False(t, oval.Contains(r2.Vec{X: 60.001}))
}

// The distance of a polygon against the nearest of many points on its sides,
// its sign against the winding of its corners as seen from the point.
func TestPolygonDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Area{Polygon: sdftest.StarOutline(t)}
		if len(a.Check("", "area")) > 0 {
			t.Skip("crosses itself")
		}
		o := a.Outline()
		p := r2.Vec{X: rapid.Float64Range(-30, 30).Draw(t, "x"), Y: rapid.Float64Range(-30, 30).Draw(t, "y")}
		nearest, turns := math.Inf(1), 0.0
		for i, c := range o {
			d := o[(i+1)%len(o)]
			const n = 400
			for k := range n {
				q := r2.Add(c, r2.Scale(float64(k)/n, r2.Sub(d, c)))
				nearest = math.Min(nearest, r2.Norm(r2.Sub(p, q)))
			}
			u, v := r2.Sub(c, p), r2.Sub(d, p)
			turns += math.Atan2(r2.Cross(u, v), r2.Dot(u, v))
		}
		got := a.Distance(p)
		require.InDelta(t, nearest, math.Abs(got), 0.1)
		require.LessOrEqual(t, math.Abs(got), nearest+1e-9)
		if math.Abs(got) > 1e-6 {
			require.Equal(t, turns > math.Pi, got < 0)
			require.Equal(t, got < 0, a.Contains(p))
		}
	})
}

func TestAreaPrismIsHonest(t *testing.T) {
	for _, a := range []Area{
		{Rect: []float64{3, -2, 40, 7}, Turn: 25}, {Round: []float64{3, 4, 32}},
		{Oval: []float64{10, 20, 60, 22}, Turn: 20},
		{Polygon: sdftest.Corners(0, 0, 20, 0, 20, 20, 15, 20, 12, 6, 5, 5, 3, 20, 0, 20), Turn: 45},
	} {
		sdftest.RequireHonest(t, a.Prism(1, 5), a.Prism(1, 5).Bounds(), 3)
		for _, p := range a.Outline() {
			in := r2.Add(p, r2.Scale(1e-3, r2.Sub(a.Centre(), p)))
			if a.Contains(in) {
				require.Negative(t, a.Prism(1, 5).Value(sdf.V(in.X, in.Y, 3)))
			}
			require.InDelta(t, 0, a.Prism(1, 5).Value(sdf.V(p.X, p.Y, 3)), 1e-9)
		}
	}
}

// TestMayContainNeverHides holds the quick look at an area to its distance.
func TestMayContainNeverHides(t *testing.T) {
	flat := Area{Polygon: []r2.Vec{{X: 1, Y: 7.1e-15}, {X: 1.015625, Y: 3.6e-15}, {X: 0.25, Y: 1.14e-13}}}
	require.Positive(t, flat.Distance(r2.Vec{X: 0.5, Y: 4.5}), "a draw: an outline without an inside")
	rapid.Check(t, func(t *rapid.T) {
		size, at := rapid.Float64Range(LeastSize, 40), rapid.Float64Range(-20, 60)
		a := Area{Turn: rapid.Float64Range(-360, 360).Draw(t, "turn")}
		switch rapid.IntRange(0, 3).Draw(t, "shape") {
		case 0:
			a.Rect = []float64{at.Draw(t, "x"), at.Draw(t, "y"), size.Draw(t, "w"), size.Draw(t, "d")}
		case 1:
			a.Round = []float64{at.Draw(t, "x"), at.Draw(t, "y"), size.Draw(t, "d")}
		case 2:
			a.Oval = []float64{at.Draw(t, "x"), at.Draw(t, "y"), size.Draw(t, "l"), size.Draw(t, "s")}
		default:
			for range rapid.IntRange(3, 9).Draw(t, "corners") {
				a.Polygon = append(a.Polygon, r2.Vec{X: at.Draw(t, "x"), Y: at.Draw(t, "y")})
			}
		}
		p := r2.Vec{X: at.Draw(t, "px"), Y: at.Draw(t, "py")}
		require.Equal(t, a.Distance(p) < 0, a.Contains(p))
	})
}
