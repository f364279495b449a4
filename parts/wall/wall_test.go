package wall

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

func wallOf(height float64, line ...r2.Vec) *Wall {
	return &Wall{Named: parts.Named{Name: "wall"}, Line: line, Thickness: 4, From: parts.Level{Height: 2}, Height: &height,
		Coursing: "none", Coping: "none", Seed: 3, Wear: 0.3}
}

func TestWallIsOnePiece(t *testing.T) {
	for _, coursing := range []string{"none", "brick", "block", "ashlar"} {
		for _, ruin := range []float64{0, 0.4, 1} {
			for _, coping := range []string{"none", "flat"} {
				s := partstest.Quarry(56, 1)
				w := wallOf(13, r2.Vec{}, r2.Vec{X: 18}, r2.Vec{X: 18, Y: 11}, r2.Vec{X: 23, Y: 16})
				w.Coursing, w.Ruin, w.Coping = coursing, ruin, coping
				w.Openings = []WallOpening{{At: 9, Width: 5, Head: 8}, {At: 24, Width: 3, Sill: 4, Head: 9}}
				s.Parts = []parts.Part{w}
				partstest.LayAt(s, 2, 0.9)
				require.Empty(t, w.Check(s))
				f := w.Solid(s)
				require.LessOrEqual(t, f.Bounds().Max.Z, 15+1e-8)
				require.LessOrEqual(t, f.Bounds().Min.Z, 2-0.9-0.49, "let into the structure under the finish")
				sdftest.RequireOnePiece(t, f, r3.Box{}, 0.42)
				require.Positive(t, f.Value(sdf.V(9, 0, 6)), "the door is open")
				require.Positive(t, f.Value(sdf.V(18, 6, 8)), "the window is open")
				if ruin == 0 {
					require.InDelta(t, 15, sdftest.DropOnto(t, f, 13.3, 0.4, 60), 0.36, "but for its texture")
					w.Surface = new("plain")
					require.InDelta(t, 15, sdftest.DropOnto(t, w.Solid(s.With(s.Parts)), 13.3, 0.4, 60), 1e-6)
				}
			}
		}
	}
}

// Courses are whole and equal; their joints are as wide and deep as the print
// needs.
func TestWallCourses(t *testing.T) {
	s := partstest.Quarry(56, 1)
	w := wallOf(s.HeightOnPrint(12*225), r2.Vec{}, r2.Vec{X: 60})
	w.Coursing, w.Wear, w.Surface = "block", 0, new("plain")
	m := w.settled(s)
	require.InDelta(t, 225.0/56, m.course, 1e-9)
	rows, _ := m.grid(60)
	require.Equal(t, 12, rows)
	require.Equal(t, 0.3, m.joint)
	require.Equal(t, 0.3, m.depth)
	f := w.Solid(s)
	for row := 1; row < 12; row++ {
		z := 2 + float64(row)*m.course
		require.Positive(t, f.Value(sdf.V(21, -1.95, z)), "bed joint %d", row)
		require.Negative(t, f.Value(sdf.V(21, -1.65, z)), "mortar behind it")
		require.Negative(t, f.Value(sdf.V(2.1, -1.95, z+m.course/2)), "a stone")
	}
	require.Empty(t, w.Notes(s))
	// At 1:285 a 75 mm brick course is 0.26 mm: four are drawn as one.
	s = partstest.Quarry(285, 1)
	w = wallOf(10, r2.Vec{}, r2.Vec{X: 60})
	w.Coursing = "brick"
	m = w.settled(s)
	require.InDelta(t, 4*75.0/285, m.course, 1e-9)
	require.Contains(t, w.Notes(s)[0].Text, "4 are drawn as one")
}

// More ruin takes stones away and adds none.
func TestWallRuinOnlyTakesAway(t *testing.T) {
	s := partstest.Quarry(56, 1)
	w := wallOf(20, r2.Vec{}, r2.Vec{X: 50})
	w.Coursing, w.Wear = "ashlar", 0.5
	count := func(ruin float64) (inside map[[2]int]bool) {
		w.Ruin = ruin
		f, inside := w.Solid(s.With(s.Parts)), map[[2]int]bool{}
		for i := range 100 {
			for k := range 60 {
				if f.Value(sdf.V(0.27+0.5*float64(i), 0.1, 0.13+2+0.33*float64(k))) < 0 {
					inside[[2]int{i, k}] = true
				}
			}
		}
		return inside
	}
	before := count(0)
	for _, ruin := range []float64{0.35, 0.6, 0.9} {
		now := count(ruin)
		require.Less(t, len(now), len(before))
		for c := range now {
			require.True(t, before[c], "ruin %v adds at %v", ruin, c)
		}
		before = now
	}
}

func TestWallFaults(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(w *Wall)
		keys   []string
	}{
		{"a point", func(w *Wall) { w.Line = w.Line[:1] }, []string{"line"}},
		{"no length", func(w *Wall) { w.Line[1] = w.Line[0] }, []string{"line"}},
		{"no height", func(w *Wall) { w.Height = nil }, []string{"height"}},
		{"down", func(w *Wall) { w.Height, w.To = nil, &parts.Level{Height: 1} }, []string{"to"}},
		{"both", func(w *Wall) { w.To = &parts.Level{Height: 5} }, []string{"height"}},
		{"openings", func(w *Wall) {
			w.Openings = []WallOpening{{At: 1, Width: 4, Head: 5}, {At: 10, Width: 4, Sill: 6, Head: 5}, {At: 20, Width: 4, Head: 30}}
		}, []string{"opening[0].at", "opening[1].head", "opening[2].head"}},
		{"stones", func(w *Wall) {
			w.Line = []r2.Vec{{}, {X: 4000}}
			w.Coursing, *w.Height = "brick", 500
		}, []string{"coursing"}},
	} {
		s := partstest.Quarry(100, 1)
		w := wallOf(20, r2.Vec{}, r2.Vec{X: 50})
		c.change(w)
		s.Parts = []parts.Part{w}
		var keys []string
		for _, f := range w.Check(s) {
			keys = append(keys, f.Key)
			require.NotEmpty(t, f.Allowed)
		}
		require.Equal(t, c.keys, keys, c.name)
	}
}

// TestWallOpeningsThatPrint: a lintel thinner than prints is drawn at the least
// wall by a lower head, as long as that leaves an opening; a slit is widened.
func TestWallOpeningsThatPrint(t *testing.T) {
	s := partstest.Quarry(100, 1)
	s.Print.Wall, s.Print.Gap = 1.2, 0.6
	for _, c := range []struct {
		sill, head, drawn float64
		fault             bool
	}{
		{2, 18.8, 18.8, false},
		{2, 19.2, 18.8, false},
		{2, 20, 20, false}, // no lintel at all
		{18.2, 19.2, 18.8, false},
		{18.3, 19.2, 19.2, true},
	} {
		w := wallOf(20, r2.Vec{}, r2.Vec{X: 50})
		w.Openings = []WallOpening{{At: 20, Width: 4, Sill: c.sill, Head: c.head}}
		s = s.With([]parts.Part{w})
		require.Equal(t, c.fault, len(w.Check(s)) == 1, "%+v", c)
		if c.fault {
			continue
		}
		f := w.Solid(s)
		require.Positive(t, f.Value(sdf.V(20, 0, w.From.Height+c.drawn-0.05)), "%+v", c)
		if c.drawn < 20 {
			require.Negative(t, f.Value(sdf.V(20, 0, w.From.Height+c.drawn+0.05)), "%+v", c)
		}
		require.Len(t, w.Notes(s), map[bool]int{true: 1}[c.drawn < c.head], "%+v", w.Notes(s))
	}
	w := wallOf(20, r2.Vec{}, r2.Vec{X: 50})
	w.Openings = []WallOpening{{At: 20, Width: 0.4, Head: 8}}
	s = s.With([]parts.Part{w})
	f := w.Solid(s)
	require.Positive(t, f.Value(sdf.V(20.28, 0, w.From.Height+4)))
	require.Negative(t, f.Value(sdf.V(20.32, 0, w.From.Height+4)))
	require.Equal(t, "opening[0].width", w.Notes(s)[0].Key)
}

// The texture of a broken plain wall is cut into its faces alone: within them it is solid
// from end to end, whatever slices its top is made of.
func TestPlainWallHasNoSlots(t *testing.T) {
	for _, word := range []string{"concrete", "render", "rubbed"} {
		s := partstest.Quarry(72, 1)
		w := wallOf(16, r2.Vec{}, r2.Vec{X: 40})
		w.Coursing, w.Ruin, w.Wear, w.Surface = "none", 0.4, 1, new(word)
		s.Parts = []parts.Part{w}
		f := w.Solid(s)
		low := 2 + 0.04*16.0
		for x := 0.5; x < 39.5; x += 0.021 {
			require.Negative(t, f.Value(sdf.V(x, w.settled(s).thick/2-0.7, low)), "%s at %v", word, x)
		}
	}
}
