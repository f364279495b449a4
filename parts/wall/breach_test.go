package wall

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/base"
	"socle/parts/partstest"
	"socle/parts/partstest/built"
	"socle/parts/partstest/fixtures"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// breachSite is a wall of 80 x 4 x 30 mm along y = 40 from x = 10, on flat ground at
// 10 mm, with a smooth breach in its middle, its sides upright.
func breachSite(coursing string, set func(*Wall, *Breach)) (*parts.Site, *Wall, *Breach) {
	w := &Wall{Named: parts.Named{Name: "byre"}, Line: []r2.Vec{{X: 10, Y: 40}, {X: 90, Y: 40}}, Thickness: 4,
		From: parts.Level{Height: 10}, Height: new(30.0), Coursing: coursing, Coping: "none", Wear: 0.2, Seed: 3}
	b := &Breach{Named: parts.Named{Name: "hole"}, Wall: "byre", At: 40, Width: 16, Height: 12, Slope: 90, Seed: 1}
	if set != nil {
		set(w, b)
	}
	return fixtures.GroundWith(w, b), w, b
}

// edgesAt measures the hole at a height over the wall's level: from inside it along
// the wall to the broken faces, as distances along the line.
func edgesAt(t *testing.T, f sdf.Field, up float64) (left, right float64) {
	t.Helper()
	edge := func(way float64) float64 {
		x := 0.0
		for range 5000 {
			v := f.Value(sdf.V(50+way*x, 40, 10+up))
			if v < 1e-7 {
				break
			}
			x += v
		}
		return 40 + way*x
	}
	require.Positive(t, f.Value(sdf.V(50, 40, 10+up)), "open at %v", up)
	return edge(-1), edge(1)
}

// A smooth breach of upright sides in a plain wall is a box, right through.
func TestBreachThroughAPlainWall(t *testing.T) {
	s, w, b := breachSite("none", nil)
	w.Surface = new("plain") // for the closed form
	require.Empty(t, assembly.Check(s))
	f := built.Struck(s)
	for _, up := range []float64{0.1, 3, 6, 11.9} {
		left, right := edgesAt(t, f, up)
		require.InDelta(t, 32, left, 1e-5)
		require.InDelta(t, 48, right, 1e-5)
		for y := 37.5; y <= 42.5; y += 0.25 {
			require.Positive(t, f.Value(sdf.V(50, y, 10+up)), "open right through")
		}
	}
	require.Negative(t, f.Value(sdf.V(50, 40, 22.1)), "a lintel of wall stands over it")
	require.Negative(t, f.Value(sdf.V(50, 40, 9.9)), "the floor is whole")
	require.Empty(t, b.Notes(s))
	whole := s.Parts[1].(*Wall).Solid(s)
	lost := sdftest.Volume(sdf.Intersection(whole, b.Cut(s)), r3.Box{Min: sdf.V(30, 36, 9), Max: sdf.V(70, 44, 41)}, 0.25)
	require.InEpsilon(t, 16*12*4, lost, 0.01)

	b.Sill = 5
	f = built.Struck(s)
	require.Negative(t, f.Value(sdf.V(50, 40, 14.9)))
	require.Positive(t, f.Value(sdf.V(50, 40, 15.1)))
	require.Negative(t, f.Value(sdf.V(50, 40, 27.1)))
}

// The sides lean at the slope: a hole's inward, up to a crown of 0.3 of its width; a
// gap's outward, so that it has its width at the top.
func TestBreachSides(t *testing.T) {
	s, _, b := breachSite("none", func(_ *Wall, b *Breach) { b.Slope, b.Height = 60, 20 })
	f := built.Struck(s)
	lean := func(lo, hi float64) float64 {
		_, a := edgesAt(t, f, lo)
		_, b := edgesAt(t, f, hi)
		return math.Atan2(hi-lo, a-b) * 180 / math.Pi
	}
	require.InDelta(t, 60, lean(13, 17), 0.01)
	left, right := edgesAt(t, f, 2)
	require.InDelta(t, 16, right-left, 1e-5)
	left, right = edgesAt(t, f, 19.9)
	require.InDelta(t, 0.3*16, right-left, 1.3, "a flat crown, to half a slice")

	b.Height = 29
	f = built.Struck(s)
	require.InDelta(t, 180-60, lean(25.1, 28), 0.01)
	for _, x := range []float64{42.7, 50, 57.3} {
		require.Positive(t, f.Value(sdf.V(x, 40, 39.9)), "open to the sky at %v", x)
	}
	left, right = edgesAt(t, f, 1)
	require.InDelta(t, 0.5*16, right-left, 1e-5, "its foot")
}

// A bridge of less than a quarter of the width falls, with all that stands on it.
func TestBreachBridge(t *testing.T) {
	for _, c := range []struct {
		height float64
		open   bool
	}{{25.9, false}, {26.1, true}} {
		s, _, b := breachSite("none", func(_ *Wall, b *Breach) { b.Height = c.height })
		s.Parts = append(s.Parts, partstest.Block("bird", sdf.V(49, 39, 40), sdf.V(51, 41, 44)))
		require.Equal(t, c.open, b.settled(s).gap)
		f := built.Struck(s)
		require.Equal(t, c.open, f.Value(sdf.V(50, 40, 39)) > 0)
		require.Equal(t, c.open, f.Value(sdf.V(50, 40, 43)) > 0)
		require.Equal(t, !c.open, math.IsInf(b.Under(s), 1) == false)
	}
}

// In masonry the edge of the hole lies at a joint of the course, or goes through the
// middle of a stone, no nearer to its ends than 0.35 of it, unless the joint is so far in
// that little of the hole would be left; and all else stands as it was.
func TestBreachBreaksMasonryAtItsJoints(t *testing.T) {
	for _, coursing := range []string{"brick", "block", "ashlar"} {
		s, w, b := breachSite(coursing, func(w *Wall, b *Breach) { b.Slope, b.Height = 60, 20 })
		require.Empty(t, assembly.Check(s))
		m, courses := w.settled(s), w.courses(s)[0]
		cut := b.Cut(s)
		joints, middles := 0, 0
		var widths []float64
		for _, row := range courses {
			mid := (row.low + row.high) / 2
			if cut.Value(sdf.V(50, 40, mid)) >= 0 {
				continue
			}
			left, right := 40.0, 40.0
			for cut.Value(sdf.V(10+left, 40, mid)) < 0 {
				left -= 1e-3
			}
			for cut.Value(sdf.V(10+right, 40, mid)) < 0 {
				right += 1e-3
			}
			widths = append(widths, right-left)
			for _, x := range [2]float64{left, right} {
				for i := 1; i < len(row.edges); i++ {
					from, to := row.edges[i-1], row.edges[i]
					if x < from-0.01 || x > to+0.01 {
						continue
					}
					if near := math.Min(math.Abs(x-from), math.Abs(x-to)); near < 0.01 {
						joints++
					} else {
						middles++
						joint := from
						if to-x < x-from {
							joint = to
						}
						if math.Abs(joint-40) > math.Abs(x-40)/2 {
							require.GreaterOrEqual(t, near, 0.34*(to-from), "%s at %v", coursing, x)
						}
					}
					break
				}
			}
		}
		require.Greater(t, len(widths), 2, coursing)
		require.GreaterOrEqual(t, joints, middles, coursing)
		require.Greater(t, widths[0], widths[len(widths)-1], "the courses close in over it")
		require.InDelta(t, 20, float64(len(widths))*(courses[0].high-courses[0].low), (courses[0].high-courses[0].low)/2+1e-9, "whole courses")

		whole, f := w.Solid(s), built.Struck(s)
		for x := 11.0; x < 90; x += 0.37 {
			for z := 10.3; z < 40; z += 0.41 {
				q := sdf.V(x, 40, z)
				if math.Abs(x-50) > 8+m.length || z > 10+20+m.course {
					require.Equal(t, whole.Value(q) < 0, f.Value(q) < 0, "%s at %v", coursing, q)
				}
			}
		}
	}
}

// Across a corner the hole goes round it; a stump at the end of the wall falls too.
func TestBreachAtCornersAndEnds(t *testing.T) {
	for _, coursing := range []string{"none", "block"} {
		s, _, b := breachSite(coursing, func(w *Wall, b *Breach) {
			w.Line = []r2.Vec{{X: 10, Y: 20}, {X: 60, Y: 20}, {X: 60, Y: 70}}
			b.At, b.Width, b.Roughness = 51, 16, 0.5
		})
		require.Empty(t, assembly.Check(s))
		f := built.Struck(s)
		for _, p := range []r2.Vec{{X: 57, Y: 20}, {X: 60, Y: 20}, {X: 61.9, Y: 18.1}, {X: 58.1, Y: 21.9}, {X: 60, Y: 23}} {
			require.Positive(t, f.Value(sdf.V(p.X, p.Y, 13)), "%s at %v", coursing, p)
		}
		require.Negative(t, f.Value(sdf.V(40, 20, 13)))
		require.Negative(t, f.Value(sdf.V(60, 40, 13)))

		b.At = 8.5
		s = s.With(s.Parts)
		require.Empty(t, assembly.Check(s))
		f = built.Struck(s)
		for x := 10.05; x < 17; x += 0.1 {
			require.Positive(t, f.Value(sdf.V(x, 20, 13)), "%s at %v", coursing, x)
		}
	}
}

// Roughness breaks the outline up, never wider than asked; another seed, another hole.
func TestBreachIsRough(t *testing.T) {
	s, _, b := breachSite("none", func(_ *Wall, b *Breach) { b.Roughness, b.Height, b.Slope = 1, 20, 60 })
	hole := func() (out []float64) {
		f := built.Struck(s)
		for up := 0.5; up < 19; up += 0.5 {
			left, right := edgesAt(t, f, up)
			out = append(out, left, right)
		}
		return out
	}
	a := hole()
	require.Equal(t, a, hole())
	lump := 0.25 * 2.0
	for _, x := range a {
		require.LessOrEqual(t, math.Abs(x-40), 8+0.2*4+0.8*4+lump+1e-9)
	}
	spread := 0.0
	for i := 2; i < 16; i += 2 { // where a smooth one is upright
		spread = math.Max(spread, math.Abs(a[i]-a[i-2]))
	}
	require.Greater(t, spread, 0.15)
	b.Seed = 2
	require.NotEqual(t, a, hole())
}

func TestBreachFaults(t *testing.T) {
	for _, c := range []struct {
		key   string
		wrong func(*Breach)
	}{
		{"at", func(b *Breach) { b.At = 7 }},
		{"at", func(b *Breach) { b.At = 79 }},
		{"width", func(b *Breach) { b.Width = 80 }},
		{"height", func(b *Breach) { b.Height = 31 }},
		{"height", func(b *Breach) { b.Sill = 20 }},
		{"sill", func(b *Breach) { b.Sill, b.Height = 30, 1 }},
		{"only", func(b *Breach) { b.Only = []string{"ground"} }},
		{"spares", func(b *Breach) { b.Spares = []string{"ground", "byre"} }},
	} {
		s, _, b := breachSite("block", nil)
		require.Empty(t, b.Check(s))
		c.wrong(b)
		faults := b.Check(s)
		require.Len(t, faults, 1, c.key)
		require.Equal(t, c.key, faults[0].Key)
		require.Equal(t, "hole", faults[0].Part)
		require.NotEmpty(t, faults[0].Allowed)
	}
	s, w, b := breachSite("block", nil)
	w.Line = w.Line[:1]
	require.Empty(t, b.Check(s), "the wall's own fault says it")
	s.Parts = s.Parts[:1]
	require.Empty(t, b.Check(s))
}

// What is too small to stay open is drawn at the print's gap, and said; so is a ruin
// that has left nothing to break.
func TestBreachNotes(t *testing.T) {
	s, _, b := breachSite("none", func(_ *Wall, b *Breach) { b.Width, b.Height = 0.4, 0.4 })
	s.Print.Gap = 0.9
	f := built.Struck(s)
	left, right := edgesAt(t, f, 0.3)
	require.InDelta(t, 0.9, right-left, 1e-5)
	notes := b.Notes(s)
	require.Len(t, notes, 2)
	require.Equal(t, parts.Note{Part: "hole", Key: "width", Text: "0.40 mm on the print is drawn at 0.90 mm, the least gap that stays open"}, notes[0])
	require.Equal(t, "height", notes[1].Key)

	s, _, b = breachSite("block", func(w *Wall, b *Breach) { w.Ruin, b.Sill = 1, 29 })
	require.Equal(t, sdf.Nothing(), b.Cut(s))
	require.Equal(t, []parts.Note{{Part: "hole", Key: "sill", Text: `the ruin of "byre" has left nothing to break here`}}, b.Notes(s))
}

// Any breach of any wall keeps the promises of a field.
func TestBreachesAreHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, w, b := breachSite(rapid.SampledFrom([]string{"none", "brick", "block", "ashlar"}).Draw(t, "coursing"), nil)
		s.Scale.Ratio = rapid.Float64Range(30, 300).Draw(t, "ratio")
		w.Thickness = rapid.Float64Range(0.5, 12).Draw(t, "thickness")
		w.Coping = rapid.SampledFrom([]string{"none", "flat"}).Draw(t, "coping")
		w.Ruin = rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t, "ruin")
		if rapid.Bool().Draw(t, "corner") {
			w.Line = append(w.Line, r2.Vec{X: rapid.Float64Range(20, 90).Draw(t, "x"), Y: 70})
		}
		b.Width = rapid.Float64Range(0.3, 40).Draw(t, "width")
		b.At = b.Width/2 + (w.length()-b.Width)*rapid.Float64Range(0, 1).Draw(t, "at")
		b.Sill = rapid.SampledFrom([]float64{0, 4, 20}).Draw(t, "sill")
		b.Height = rapid.Float64Range(0.3, 30-b.Sill).Draw(t, "height")
		b.Slope = rapid.Float64Range(30, 90).Draw(t, "slope")
		b.Roughness = rapid.Float64Range(0, 1).Draw(t, "roughness")
		b.Seed = rapid.Uint64().Draw(t, "seed")
		if len(assembly.Check(s)) > 0 {
			t.Skip("a wall that is none")
		}
		if !b.settled(s).open {
			require.Positive(t, w.Ruin)
			require.Equal(t, sdf.Nothing(), b.Cut(s))
			return
		}
		sdftest.RequireHonest(t, b.Cut(s), r3.Box{Min: sdf.V(0, 30, 5), Max: sdf.V(100, 80, 45)}, b.Seed)
		line, radius := b.Strewn(s)
		require.GreaterOrEqual(t, len(line), 2)
		require.Positive(t, radius)
		for _, k := range b.Plan(s) {
			for _, n := range k.Path {
				require.False(t, math.IsNaN(n.To.X+n.To.Y))
			}
		}
	})
}

// On the plan it is the stretch of wall that it breaks; a gap is open.
func TestBreachOnThePlan(t *testing.T) {
	s, _, b := breachSite("block", nil)
	for _, c := range []struct {
		height float64
		covers bool
	}{{12, false}, {29, true}} {
		b.Height = c.height
		lip := partstest.StrokesOf(built.Assembled(t, s.With(s.Parts)).Plan().Strokes, "hole", parts.LineDamage)
		require.Len(t, lip, 1)
		require.Equal(t, c.covers, lip[0].Covers)
		for _, p := range partstest.PointsOf(t, lip[0].Path) {
			require.InDelta(t, 8, math.Abs(p.X-50), 1e-9)
			require.InDelta(t, 2, math.Abs(p.Y-40), 1e-9)
		}
	}
}

// It has a picture of its own on the piece that shows it, and on no other.
func TestBreachSight(t *testing.T) {
	base := fixtures.BaseAt("b", func(b *base.Base) { b.Rectangle = &[2]float64{60, 50} })
	s, _, b := breachSite("block", func(_ *Wall, b *Breach) { b.Roughness = 0.5 })
	s.Scale.Ratio = 150
	s.Parts = append(s.Parts, base)
	sc := built.Assembled(t, s)
	p := sc.Pieces()[0]
	got := partstest.SightsByName(t, sc.Sights(p))
	require.Len(t, got, 1)
	g := got["breach-hole"]
	require.Equal(t, "breach", g.Kind)
	require.Same(t, b, g.Part)
	for _, q := range []r3.Vec{sdf.V(42, 40, 10), sdf.V(58, 40, 10), sdf.V(50, 40, 22)} {
		require.True(t, partstest.InBox(g.Box, p.Pose.Invert(q)), "%v", q)
	}
	require.NotNil(t, g.Figure)
	require.InDelta(t, 90-breachAside, math.Abs(math.Abs(g.From)-0), 2*breachAside, "from before or behind the wall")

	base.At, base.Rectangle = &r2.Vec{X: 22, Y: 40}, &[2]float64{20, 20}
	sc = built.Assembled(t, s.With(s.Parts))
	got = partstest.SightsByName(t, sc.Sights(sc.Pieces()[0]))
	require.Empty(t, got, "a base without it")
}
