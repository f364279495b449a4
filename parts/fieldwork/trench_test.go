package fieldwork

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// trench is one through 120 by 80 mm of ground at 5 mm.
func trench(s *parts.Site) *Trench {
	return &Trench{Line: course.Line{Named: parts.Named{Name: "work"}, Points: []r2.Vec{{X: -10, Y: 40}, {X: 50, Y: 40}, {X: 70, Y: 50}, {X: 130, Y: 50}}},
		Width: s.OnPrint(600), Depth: s.OnPrint(1200), Bank: 75, Front: "left", Step: s.OnPrint(300), StepHeight: s.OnPrint(400),
		Parapet: s.OnPrint(250), Parados: s.OnPrint(150), Thick: s.OnPrint(700), Fallen: 0.6, Seed: 1}
}

// dugInto is a site with ground and a trench, and both solids.
func dugInto(t *testing.T, s *parts.Site, w *Trench, of string, more ...parts.Part) (land, banks sdf.Field) {
	g := &ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{120, 80}, Level: parts.Level{Height: 5}, Thickness: 30, Of: of, Surface: "flat", Wavelength: 12}
	s.Parts = append([]parts.Part{w, g}, more...)
	require.Empty(t, w.Check(s))
	require.Empty(t, w.CheckPlace(s))
	return g.Solid(s), w.Solid(s)
}

// The trench of the land has the section that its keys say: floor, firing step and mouth on
// lines with the slope of its sides.
func TestTrenchSection(t *testing.T) {
	for _, front := range []string{"left", "right"} {
		s := partstest.Quarry(56, 1)
		w := trench(s)
		w.Parapet, w.Parados, w.Front = 0, 0, front
		plain := "plain"
		w.Of = &plain
		w.Fallen = 0
		land, banks := dugInto(t, s, w, "plain")
		require.Greater(t, banks.Value(sdf.V(30, 40, 5)), 1e5, "without banks it has no solid of its own")
		z := w.settled(s)
		way := 1.0
		if front == "right" {
			way = -1
		}
		at := func(beside float64) float64 { return sdftest.SurfaceAt(t, land, 30, 40+way*beside, 5.5) }
		floor := 5 - s.OnPrint(1200)
		for _, y := range []float64{-z.half + 0.01, 0, z.half - 0.01} {
			require.InDelta(t, floor, at(y), 1e-6)
		}
		run := math.Tan(15 * math.Pi / 180)
		edge := z.half + z.rise*run
		require.InDelta(t, floor+0.5*z.rise, at(z.half+0.5*z.rise*run), 1e-6, "up to the step")
		require.InDelta(t, floor+z.rise, at(edge+0.01), 1e-6, "the step")
		require.InDelta(t, floor+z.rise, at(edge+z.step-0.01), 1e-6, "the step")
		require.InDelta(t, 3, at(edge+z.step+(3-floor-z.rise)*run), 1e-6)
		require.InDelta(t, 3, at(-z.half-(3-floor)*run), 1e-6)
		require.InDelta(t, 5, at(-z.half-z.depth*run-0.01), 1e-6)
		sdftest.RequireHonest(t, land, r3.Box{Min: sdf.V(10, 25, -20), Max: sdf.V(70, 55, 6)}, 1)
		// A level stands on its floor, and on its step.
		level, ok := s.FloorAt(r2.Vec{X: 30, Y: 40})
		require.True(t, ok)
		require.InDelta(t, floor, level, 1e-9)
		level, _ = s.FloorAt(r2.Vec{X: 30, Y: 40 + way*(edge+z.step/2)})
		require.InDelta(t, floor+z.rise, level, 1e-9)
		level, _ = s.FloorAt(r2.Vec{X: 30, Y: 10})
		require.InDelta(t, 5, level, 1e-9)
		low, ok := s.LandUnder(sdftest.Corners(29, 39, 31, 39, 31, 41))
		require.True(t, ok)
		require.InDelta(t, floor, low, 1e-9)
	}
}

// The banks are let into the land, honest, no higher than they say, and leave the trench open.
func TestTrenchBanks(t *testing.T) {
	for _, ratio := range []float64{56, 160} {
		s := partstest.Quarry(ratio, 1)
		w := trench(s)
		land, banks := dugInto(t, s, w, "earth")
		z := w.settled(s)
		both := sdf.Union(land, banks)
		sdftest.RequireOnePiece(t, both, r3.Box{Min: sdf.V(20, 15, 5-z.depth-6), Max: sdf.V(100, 75, 5+z.bank[0]+1)}, 0.5)
		box := banks.Bounds()
		sdftest.RequireHonest(t, banks, r3.Box{Min: sdf.V(10, box.Min.Y, 5-z.depth), Max: sdf.V(110, box.Max.Y, box.Max.Z)}, 2)
		high := [2]float64{}
		area := w.banks(z)
		for x := 20.0; x < 100; x += 0.9 {
			for y := 15.0; y < 75; y += 0.9 {
				q := r2.Vec{X: x, Y: y}
				top := sdftest.DropOnto(t, both, x, y, 30)
				for i, a := range area {
					if a.Contains(q) {
						high[i] = math.Max(high[i], top-5)
					}
				}
			}
		}
		for i := range high {
			require.InDelta(t, z.bank[i], high[i], 0.35*z.bank[i]+0.4, "bank %d at 1:%v", i, ratio)
		}
		require.Less(t, sdftest.DropOnto(t, both, 35, 40, 30), 5-z.depth+1.2, "its floor is open")
		require.Len(t, w.Extents(s), 3)
		require.Len(t, w.Plan(s), 4)
		require.Positive(t, w.Pieces(s))
		require.Positive(t, w.Breaks(s, &parts.Patch{Whole: true})[0].Volume)
	}
}

// What stands along a trench stands on its floor, whatever the order of the parts.
func TestStandsInTrench(t *testing.T) {
	s := partstest.Quarry(56, 1)
	boards := &Duckboards{Line: Line{Line: course.Line{Named: parts.Named{Name: "boards"}, Points: []r2.Vec{{X: 10, Y: 40}, {X: 40, Y: 40}}}, Seed: 1},
		Width: 7, Slat: 1.6, Gap: 0.5, Height: 1.4}
	w := trench(s)
	dugInto(t, s, w, "mud", boards)
	f := boards.Solid(s)
	require.InDelta(t, 5-w.Depth+1.4, sdftest.DropOnto(t, f, 25.2, 40, 20), 0.6)
	require.Less(t, f.Bounds().Min.Z, 5-w.Depth)
}

// As drawn by default, a man on the firing step looks over the parapet: 4 ft 6 in.
func TestTrenchMeasures(t *testing.T) {
	s := partstest.Quarry(1, 1)
	w := trench(s)
	w.Depth, w.StepHeight, w.Parapet = 1800, 700, 300
	s.Parts = []parts.Part{w}
	require.InDelta(t, 1400, w.Measures(s)[1].Full, 1e-9)
	require.True(t, w.Measures(s)[1].Met())
	w.StepHeight = 300
	require.False(t, w.Measures(s.With(s.Parts))[1].Met())
}

// Lines that no trench follows are refused, and dig nothing.
func TestTrenchFaults(t *testing.T) {
	for i, c := range []struct {
		key   string
		spoil func(w *Trench)
	}{
		{"line", func(w *Trench) { w.Points = w.Points[:1] }},
		{"line", func(w *Trench) { w.Points = []r2.Vec{{}, {X: 30}, {X: 2, Y: 9}} }},
		{"line", func(w *Trench) { w.Points = []r2.Vec{{}, {X: 30}, {X: 30, Y: 4}, {Y: 4}} }},
		{"line", func(w *Trench) { w.Points = []r2.Vec{{}, {X: 9e4}} }},
		{"step-height", func(w *Trench) { w.StepHeight = w.Depth }},
	} {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			s := partstest.Quarry(56, 1)
			w := trench(s)
			c.spoil(w)
			s.Parts = []parts.Part{w}
			faults := w.Check(s)
			require.Len(t, faults, 1)
			require.Equal(t, c.key, faults[0].Key)
			require.Empty(t, w.Digs(s, 5, nil))
		})
	}
	s := partstest.Quarry(56, 1)
	w := trench(s)
	s.Parts = []parts.Part{w}
	require.Equal(t, "line", w.CheckPlace(s)[0].Key, "no ground")
	g := &ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{120, 80}, Level: parts.Level{Height: 5}, Thickness: 30, Of: "plain", Surface: "flat",
		Raised: []ground.Terrace{{Area: parts.Area{Rect: []float64{20, 30, 20, 20}}, Level: parts.Level{Height: 9}, Bank: 60}}}
	s = s.With([]parts.Part{w, g})
	require.Equal(t, "line", w.CheckPlace(s)[0].Key, "through a terrace")
}

// A strip is what lies between two distances from a line.
func TestStrip(t *testing.T) {
	line := []r2.Vec{{}, {X: 10}}
	require.InDelta(t, 10*5, planar.SignedArea(planar.Strip(line, 3, 2)), 1e-9)
	beside := planar.Polygon(planar.Strip(line, 5, -2))
	require.Negative(t, beside.At(r2.Vec{X: 5, Y: 3}))
	require.Positive(t, beside.At(r2.Vec{X: 5, Y: 1}))
	require.Positive(t, beside.At(r2.Vec{X: 5, Y: -3}))
}
