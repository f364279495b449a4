package base

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts/planar"
)

// drawFootprint draws any footprint.
func drawFootprint(t *rapid.T, label string) Footprint {
	long := rapid.Float64Range(10, 120).Draw(t, label+" long")
	short := rapid.Float64Range(10, long).Draw(t, label+" short")
	b := &Base{}
	switch rapid.SampledFrom([]string{"round", "oval", "rectangle", "square", "hexagon", "stadium"}).Draw(t, label) {
	case "round":
		b.Round = &long
	case "oval":
		b.Oval = &[2]float64{long, short}
	case "rectangle":
		b.Rectangle = &[2]float64{short, long}
		b.Corner = rapid.Float64Range(0, short/2).Draw(t, label+" corner")
	case "square":
		b.Square = &long
		b.Corner = rapid.SampledFrom([]float64{0, 3}).Draw(t, label+" corner")
	case "hexagon":
		b.Hexagon = &long
	case "stadium":
		b.Stadium = &[2]float64{long, short}
	}
	return b.Footprints()[0]
}

func drawSpot(t *rapid.T, label string, reach float64) *Spot {
	at := r2.Vec{X: rapid.Float64Range(-reach, reach).Draw(t, label+" x"), Y: rapid.Float64Range(-reach, reach).Draw(t, label+" y")}
	return NewSpot(drawFootprint(t, label), at, rapid.SampledFrom([]float64{0, 20, 45, 90, -130}).Draw(t, label+" turn"))
}

func (s *Spot) corners() []r2.Vec {
	var out []r2.Vec
	for _, p := range s.Outline() {
		out = append(out, s.Place(p))
	}
	return out
}

// Closed forms of references.md section 9.
func TestFootprintAreas(t *testing.T) {
	for _, c := range []struct {
		base *Base
		text string
		want float64
	}{
		{&Base{Round: new(32.0)}, "round 32", math.Pi * 256},
		{&Base{Oval: &[2]float64{60, 35}}, "oval 60 x 35", 1649.336143},
		{&Base{Stadium: &[2]float64{60, 35}}, "stadium 60 x 35", 1837.112750},
		{&Base{Rectangle: &[2]float64{50, 25}, Corner: 3}, "rectangle 50 x 25, corners 3", 1242.274334},
		{&Base{Square: new(25.0)}, "square 25", 625},
		{&Base{Hexagon: new(30.0)}, "hexagon 30", 779.422863},
	} {
		f := c.base.Footprints()[0]
		require.Equal(t, c.text, f.String())
		require.InDelta(t, c.want, f.Area(), 1e-6)
		require.InEpsilon(t, c.want, planar.SignedArea(f.Outline()), 1e-4, "its outline")
	}
	require.InDelta(t, 34.641016, (&Base{Hexagon: new(30.0)}).Footprints()[0].Size.X, 1e-6, "corners of the hexagon")
}

// Outline, support, bounds, reach and signed distance are five accounts of one shape.
func TestFootprintAgreesWithItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSpot(t, "foot", 50)
		shape := s.Shape()
		farthest := 0.0
		for _, p := range s.Outline() {
			require.InDelta(t, 0, shape.At(p), 1e-7, "the outline lies on the edge")
			farthest = math.Max(farthest, r2.Norm(p))
		}
		require.InDelta(t, farthest, s.Reach(), 2*fineChord)
		b := planar.Bounds(s.corners())
		require.InDelta(t, 0, r2.Norm(r2.Sub(b.Min, s.Bounds().Min)), 4*fineChord)
		require.InDelta(t, 0, r2.Norm(r2.Sub(b.Max, s.Bounds().Max)), 4*fineChord)
		a := rapid.Float64Range(0, 7).Draw(t, "direction")
		u := r2.Vec{X: math.Cos(a), Y: math.Sin(a)}
		most := math.Inf(-1)
		for _, p := range s.corners() {
			most = math.Max(most, r2.Dot(p, u))
		}
		require.InDelta(t, most, r2.Dot(s.farthest(u, 0), u)+s.radius(), 2*fineChord)
	})
}

// The distance to a footprint against the nearest point of a fine outline.
func TestFootprintDistanceIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFootprint(t, "foot")
		shape := f.Shape()
		nano := func(v float64) float64 { return math.Round(v*1e9) / 1e9 } // nothing that underflows when squared
		p := r2.Vec{X: nano(rapid.Float64Range(-80, 80).Draw(t, "x")), Y: nano(rapid.Float64Range(-80, 80).Draw(t, "y"))}
		want := planar.Polygon(f.Outline()).At(p)
		d, g := shape.Slope(p)
		require.Equal(t, d, shape.At(p))
		require.InDelta(t, want, d, fineChord+1e-9)
		require.InDelta(t, 1, r2.Norm(g), 1e-9)
		// Along the gradient the distance changes at the rate of one.
		if q := r2.Add(p, r2.Scale(1e-5, g)); d > 1e-3 {
			require.InDelta(t, d+1e-5, shape.At(q), 1e-9)
		}
		q := r2.Vec{X: rapid.Float64Range(-80, 80).Draw(t, "qx"), Y: rapid.Float64Range(-80, 80).Draw(t, "qy")}
		require.LessOrEqual(t, math.Abs(shape.At(q)-d), r2.Norm(r2.Sub(p, q))+1e-9, "never an overestimate")
	})
}

// The gap between two footprints against the gap between their outlines.
func TestFootprintGap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawSpot(t, "a", 80), drawSpot(t, "b", 80)
		pa, pb := a.corners(), b.corners()
		fa, fb := planar.NewConvex(pa), planar.NewConvex(pb)
		want := math.Inf(1)
		for _, p := range pa {
			want = math.Min(want, fb.At(p))
		}
		for _, p := range pb {
			want = math.Min(want, fa.At(p))
		}
		got := a.Gap(b, math.Inf(1))
		require.InDelta(t, got, b.Gap(a, math.Inf(1)), 1e-5, "the same both ways")
		const chords = 4 * fineChord
		if planar.OutlinesMeet(pa, pb) {
			require.LessOrEqual(t, got, chords)
			return
		}
		require.False(t, a.Overlaps(b))
		require.InDelta(t, math.Max(0, want), got, chords)
	})
}

func TestFootprintsEdgeToEdge(t *testing.T) {
	square := (&Base{Square: new(25.0)}).Footprints()[0]
	round := (&Base{Round: new(32.0)}).Footprints()[0]
	hexagon := (&Base{Hexagon: new(30.0)}).Footprints()[0]
	at := func(f Footprint, x, y, turn float64) *Spot { return NewSpot(f, r2.Vec{X: x, Y: y}, turn) }
	for _, c := range []struct {
		a, b *Spot
		want bool
	}{
		{at(square, 0, 0, 0), at(square, 25, 0, 0), false},
		{at(square, 0, 0, 0), at(square, 24.99, 0, 0), true},
		{at(square, 0, 0, 0), at(square, 0, 25, 90), false},
		{at(square, 0, 0, 0), at(square, 0, 0, 0), true},
		{at(round, 0, 0, 0), at(round, 32, 0, 0), false},
		{at(round, 0, 0, 0), at(round, 31.99, 0, 0), true},
		{at(hexagon, 0, 0, 0), at(hexagon, 0, 30, 0), false},
		{at(hexagon, 0, 0, 0), at(hexagon, 0, 29.99, 0), true},
		{at(hexagon, 0, 0, 0), at(square, 0, 27.5, 180), false},
		{at(round, 0, 0, 0), at(square, 28.5, 3, 0), false},
		{at(round, 0, 0, 0), at(square, 28.49, 3, 0), true},
	} {
		require.Equal(t, c.want, c.a.Overlaps(c.b), "%v at %v and %v at %v", c.a, c.a.At, c.b, c.b.At)
		require.Equal(t, c.want, c.b.Overlaps(c.a))
	}
}
