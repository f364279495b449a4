package assembly

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/partstest/fixtures"
	"socle/parts/paving"
	"socle/parts/rail"
	"socle/parts/stair"
	"socle/parts/wall"
)

// measured gives one row of the scale table.
func measured(t require.TestingT, s *parts.Site, part, what string) parts.Measure {
	s = s.With(s.Parts) // which the test may have changed
	for _, m := range Measures(s) {
		if m.Part == part && m.What == what {
			return m
		}
	}
	require.Fail(t, "no measure", "%s of %s", what, part)
	return parts.Measure{}
}

// stairOver is a stair over a full-size rise in mm at 1:1000, so that a mm on the
// print is a metre, with heights drawn half as tall again.
func stairOver(rise float64, set func(*stair.Stair)) *parts.Site {
	s := partstest.Quarry(1000, 1.5)
	s.Print = parts.Print{Pin: 0.01, Wall: 0.01, Gap: 0.01, Relief: 0.01}
	st := fixtures.FlightOf(0, s.HeightOnPrint(rise))
	set(st)
	s.Parts = []parts.Part{st}
	return s
}

// The worked examples of references.md section 1.
func TestMeasuresOfStairsWorkedExamples(t *testing.T) {
	for _, c := range []struct {
		profile                     string
		rise                        float64
		risers                      int
		riser, going, stride, pitch float64
		within                      [4]bool
	}{
		{"utility", 2700, 15, 180, 270, 630, 33.69, [4]bool{true, true, true, true}},
		{"dwelling", 2600, 14, 185.714, 258.6, 630, 35.69, [4]bool{true, true, true, true}},
		{"general", 3000, 18, 166.667, 296.7, 630, 29.33, [4]bool{true, true, true, true}},
		{"private", 1000, 5, 200, 230, 630, 41.01, [4]bool{true, true, true, true}},
	} {
		s := stairOver(c.rise, func(st *stair.Stair) { st.Profile = c.profile })
		for i, row := range []struct {
			what string
			want float64
		}{{"riser", c.riser}, {"going", c.going}, {"step length 2R + G", c.stride}, {"pitch", c.pitch}} {
			m := measured(t, s, "stair", row.what)
			require.InDelta(t, row.want, m.Full, 0.06, "%s %s", c.profile, row.what)
			require.Equal(t, c.within[i], m.Within, "%s %s", c.profile, row.what)
			require.Equal(t, c.profile, m.Law)
			require.Equal(t, "stair", m.Check)
			require.NotEmpty(t, m.Source)
			require.True(t, strings.HasSuffix(m.Why, "."))
		}
		require.InDelta(t, 1.5*c.riser/1000, measured(t, s, "stair", "riser").Printed, 1e-5, "stretched on the print")
		require.InDelta(t, c.going/1000, measured(t, s, "stair", "going").Printed, 1e-4)
	}
}

// Each limit from both sides, the goings and risers of references.md section 1.
func TestMeasuresOfStairsAtTheirLimits(t *testing.T) {
	for _, c := range []struct {
		profile, what string
		least, most   float64
	}{
		{"dwelling", "riser", 102, 196.85}, {"dwelling", "going", 254, math.Inf(1)},
		{"public", "riser", 101.6, 177.8}, {"public", "going", 279.4, math.Inf(1)},
		{"private", "riser", 150, 220}, {"private", "going", 220, 300}, {"private", "step length 2R + G", 550, 700}, {"private", "pitch", math.Inf(-1), 42},
		{"utility", "riser", 150, 190}, {"utility", "going", 250, 400},
		{"general", "riser", 150, 170}, {"general", "going", 250, 400},
		{"comfort", "step length 2R + G", 590, 650}, {"industrial", "step length 2R + G", 600, 660},
	} {
		s := stairOver(3000, func(st *stair.Stair) { st.Profile = c.profile })
		m := measured(t, s, "stair", c.what)
		require.Equal(t, []float64{c.least, c.most}, []float64{m.Least, m.Most}, "%s %s", c.profile, c.what)
		for _, at := range []struct {
			full float64
			want bool
		}{{c.least, true}, {c.least - 0.01, false}, {c.most, true}, {c.most + 0.01, false}} {
			if !math.IsInf(at.full, 0) {
				m.Full = at.full
				require.Equal(t, at.want, m.Met(), "%s %s at %v", c.profile, c.what, at.full)
			}
		}
	}
}

func TestMeasuresOfAFreeStair(t *testing.T) {
	s := stairOver(3000, func(st *stair.Stair) { st.Profile, st.Risers, st.Going = "free", new(3), new(0.1) })
	for _, m := range Measures(s) {
		require.True(t, m.Within, m.What)
		require.Empty(t, m.Law, m.What)
		require.Equal(t, []float64{math.Inf(-1), math.Inf(1)}, []float64{m.Least, m.Most}, m.What)
	}
	riser := measured(t, s, "stair", "riser")
	require.Equal(t, "risers", riser.Key, "what the scene gave")
	require.InDelta(t, 1000, riser.Full, 1e-9)
	require.Equal(t, "0.5 steps to the knee", riser.Yardstick)
}

// A relief of 0.3 mm at 1:1000 makes risers of 300 mm out of lawful ones of 180.
func TestMeasuresTellWhenThePrintMakesARiserTall(t *testing.T) {
	s := partstest.Quarry(1000, 1)
	st := fixtures.FlightOf(0, 2.7)
	st.Profile = "utility"
	s.Parts = []parts.Part{st}
	m := measured(t, s, "stair", "riser")
	require.False(t, m.Within)
	require.InDelta(t, 300, m.Full, 1e-9, "nine of 0.30 mm")
	require.Contains(t, m.Why, "least relief of 0.30 mm")
	require.Contains(t, m.Why, "190 mm")
}

func TestMeasuresOfOneRiser(t *testing.T) {
	s := stairOver(170, func(*stair.Stair) {})
	all := Measures(s)
	require.Len(t, all, 1, "a step has no going")
	require.Equal(t, "riser", all[0].What)
	require.True(t, all[0].Within)
}

// guarded is a rail along a stair of a profile, or along the deck that it leads to.
func guarded(along, profile string, set func(*rail.Rail)) *parts.Site {
	s := partstest.Quarry(50, 1.2)
	s.Print = parts.Print{Pin: 0.05, Wall: 0.05, Gap: 0.05, Relief: 0.05}
	st := fixtures.FlightOf(0, s.HeightOnPrint(3000))
	st.Profile = profile
	deck := fixtures.DeckAt(st.To.Height, -40, 200, 80, 60)
	st.Foot, st.Head = nil, &r2.Vec{X: 0, Y: 200}
	r := &rail.Rail{Named: parts.Named{Name: "rail"}, Along: along, Flank: "both", Edge: "open", Height: s.HeightOnPrint(1100), Spacing: s.OnPrint(1500),
		Post: s.OnPrint(100), Handrail: s.OnPrint(40), Infill: "balusters", Baluster: s.OnPrint(20), Gap: s.OnPrint(100), Rails: 1,
		Section: "round", Caps: "none", Inset: s.OnPrint(50)}
	set(r)
	s.Parts = []parts.Part{deck, st, r}
	return s
}

// The guards of references.md section 2, each from both sides.
func TestMeasuresOfRailHeights(t *testing.T) {
	for _, c := range []struct {
		along, profile string
		least, most    float64
	}{
		{"deck", "dwelling", 914, math.Inf(1)}, {"stair", "dwelling", 864, math.Inf(1)},
		{"deck", "public", 1067, math.Inf(1)}, {"stair", "public", 1067, math.Inf(1)},
		{"deck", "private", 900, math.Inf(1)}, {"stair", "private", 900, math.Inf(1)},
		{"deck", "industrial", 1100, math.Inf(1)}, {"stair", "industrial", 900, 1100},
		{"deck", "general", 1100, math.Inf(1)}, {"stair", "general", 900, math.Inf(1)},
		{"stair", "comfort", 900, math.Inf(1)}, {"deck", "utility", 1100, math.Inf(1)},
	} {
		at := func(full float64) parts.Measure {
			s := guarded(c.along, c.profile, func(r *rail.Rail) { r.Height = full / 50 * 1.2 })
			m := measured(t, s, "rail", "height")
			require.InDelta(t, full, m.Full, 1e-6)
			require.Equal(t, []float64{c.least, c.most}, []float64{m.Least, m.Most}, "%s %s", c.along, c.profile)
			require.Equal(t, "rail", m.Check)
			return m
		}
		require.True(t, at(c.least).Within, "%s %s", c.along, c.profile)
		require.False(t, at(c.least-1).Within, "%s %s", c.along, c.profile)
		if !math.IsInf(c.most, 1) {
			require.True(t, at(c.most).Within)
			require.False(t, at(c.most+1).Within)
		}
	}
	free := measured(t, guarded("stair", "free", func(*rail.Rail) {}), "rail", "height")
	require.Empty(t, free.Law)
	require.True(t, free.Within)
}

// n = ceil((S - c)/(b + c)), gap = (S - n b)/(n + 1): a clear span of 1800 with
// balusters of 20 at most 100 apart has 15 and gaps of 93.75 (references.md section 2).
func TestMeasuresOfOpenings(t *testing.T) {
	s := guarded("", "general", func(r *rail.Rail) {
		r.Along, r.Line, r.Level = "", []r2.Vec{{X: 0, Y: 250}, {X: 1900.0 / 50, Y: 250}}, &parts.Level{Height: 72}
		r.Spacing = 1900.0 / 50
	})
	m := measured(t, s, "rail", "opening between balusters")
	require.InDelta(t, 93.75, m.Full, 1e-9)
	require.InDelta(t, 93.75/50, m.Printed, 1e-12)
	require.True(t, m.Within)
	require.Equal(t, []any{"opening", "gap", 100.0}, []any{m.Check, m.Key, m.Most})
	require.InDelta(t, 1900, measured(t, s, "rail", "post spacing").Full, 1e-9)

	r := s.Parts[2].(*rail.Rail)
	r.Gap = 200.0 / 50
	m = measured(t, s, "rail", "opening between balusters")
	require.False(t, m.Within)
	require.Contains(t, m.Why, "the scene sets a gap of 200 mm")

	r.Gap, s.Print.Pin = 100.0/50, 0.8
	m = measured(t, s, "rail", "opening between balusters")
	require.False(t, m.Within)
	require.Contains(t, m.Why, "the print's least pin of 0.80 mm widens it")

	r.Infill = "panel"
	s = s.With(s.Parts)
	for _, m := range Measures(s) {
		require.NotEqual(t, "opening", m.Check, "a panel has none")
	}
	// One rail half way up to the handrail's middle, both 40 mm thick.
	r.Infill, r.Baluster, s.Print.Pin = "rails", r.Handrail, 0.05
	m = measured(t, s, "rail", "opening between rails")
	require.InDelta(t, ((1100/50*1.2-0.4)/2-0.4)*50/1.2, m.Full, 1e-9)
	require.False(t, m.Within, "more than 500")
	r.Rails = 2
	require.True(t, measured(t, s, "rail", "opening between rails").Within)
}

func TestMeasuresOfPostSpacing(t *testing.T) {
	for _, c := range []struct {
		profile string
		most    float64
	}{{"industrial", 1500}, {"general", 2440}} {
		for _, over := range []float64{0, 10} {
			length := c.most + over
			s := guarded("", c.profile, func(r *rail.Rail) {
				r.Along, r.Line, r.Level = "", []r2.Vec{{X: 0, Y: 250}, {X: length / 50, Y: 250}}, &parts.Level{Height: 72}
				r.Spacing = length / 50
			})
			m := measured(t, s, "rail", "post spacing")
			require.InDelta(t, length, m.Full, 1e-9)
			require.Equal(t, over == 0, m.Within, c.profile)
		}
	}
}

// How much a 10 mm joint is enlarged to 0.3 mm: the last row of the table of
// model sizes in references.md section 3.
func TestMeasuresOfUnits(t *testing.T) {
	for _, ratio := range []float64{300, 220, 160, 100, 72, 60, 56, 48} {
		s := partstest.Quarry(ratio, 1)
		s.Parts = []parts.Part{&paving.Paving{Named: parts.Named{Name: "flags"}, Area: parts.Area{Rect: []float64{0, 0, 40, 40}}, Bond: "stack"}}
		m := measured(t, s, "flags", "joint")
		require.InDelta(t, 0.3, m.Printed, 1e-12)
		require.InDelta(t, 0.3*ratio, m.Full, 1e-9)
		require.True(t, m.Within, "1:%v", ratio)
		require.Equal(t, "unit", m.Check)
		s.Print.Gap = 0.3*math.Max(1, 20/(0.3*ratio)) + 0.01
		require.False(t, measured(t, s, "flags", "joint").Within, "1:%v", ratio)
	}
}

func TestMeasuresOfMasonry(t *testing.T) {
	s := partstest.Quarry(100, 1)
	w := &wall.Wall{Named: parts.Named{Name: "wall"}, Line: []r2.Vec{{}, {X: 40}}, Thickness: 3, Height: new(20.0), Coursing: "brick", Coping: "none", Seed: 1}
	s.Parts = []parts.Part{w}
	m := measured(t, s, "wall", "course")
	// A course of 0.75 mm is under three joints of 0.3: two are drawn as one, 1.5 mm,
	// and 20 mm take 13 of them.
	require.InDelta(t, 20.0/13, m.Printed, 1e-12)
	require.InDelta(t, 2000.0/13, m.Full, 1e-9)
	require.True(t, m.Within)
	require.Contains(t, m.Why, "2.1 times as large as a course of brick, 75 mm")
	require.InDelta(t, 30, measured(t, s, "wall", "joint").Full, 1e-9)
	w.Coursing = "none"
	require.Empty(t, Measures(s))

	p := &paving.Paving{Named: parts.Named{Name: "flags"}, Area: parts.Area{Rect: []float64{0, 0, 40, 40}}, Bond: "stack", Stone: &[2]float64{0.5, 0.5}}
	s.Parts = []parts.Part{p}
	m = measured(t, s, "flags", "stone")
	require.InDelta(t, 0.9, m.Printed, 1e-12, "three joints of 0.3")
	require.Contains(t, m.Why, "1.8 times as large as the stone asked for")
}

// Any site gives finite sizes, sound limits and one sentence for each; and the
// full size is the printed one with scale and exaggeration taken out.
func TestMeasuresAreSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ratio := rapid.Float64Range(20, 400).Draw(t, "ratio")
		s := partstest.Quarry(ratio, rapid.Float64Range(0.5, 2).Draw(t, "exaggerate"))
		st := fixtures.FlightOf(0, s.HeightOnPrint(rapid.Float64Range(200, 6000).Draw(t, "rise")))
		st.Profile = rapid.SampledFrom([]string{"comfort", "dwelling", "public", "private", "utility", "general", "industrial", "free"}).Draw(t, "profile")
		st.Width = 20
		r := &rail.Rail{Named: parts.Named{Name: "rail"}, Along: "stair", Flank: "both", Edge: "open", Height: s.HeightOnPrint(1000), Spacing: s.OnPrint(1500),
			Infill: rapid.SampledFrom([]string{"balusters", "rails", "panel", "none"}).Draw(t, "infill"), Gap: s.OnPrint(100), Rails: 2, Section: "round", Caps: "none"}
		s.Parts = []parts.Part{r, st,
			&paving.Paving{Named: parts.Named{Name: "flags"}, Area: parts.Area{Rect: []float64{0, 0, 40, 40}}, Bond: "running"},
			&wall.Wall{Named: parts.Named{Name: "wall"}, Line: []r2.Vec{{}, {X: 40}}, Height: new(rapid.Float64Range(1, 30).Draw(t, "height")),
				Coursing: rapid.SampledFrom([]string{"brick", "block", "ashlar", "none"}).Draw(t, "coursing"), Coping: "none"}}
		all := Measures(s)
		require.Equal(t, all, Measures(s))
		for _, m := range all {
			require.False(t, math.IsNaN(m.Full+m.Printed) || math.IsInf(m.Full+m.Printed, 0), m.What)
			require.Positive(t, m.Printed, m.What)
			require.LessOrEqual(t, m.Least, m.Most)
			require.Equal(t, m.Full >= m.Least-1e-6 && m.Full <= m.Most+1e-6, m.Within, "%+v", m)
			require.Equal(t, 1, strings.Count(m.Why, ". ")+1, m.Why)
			require.True(t, strings.HasSuffix(m.Why, "."), m.Why)
			kind := parts.KindOf(m.Kind)
			require.True(t, m.Key == "" || keyExists(kind.Keys(), m.Key), m.Key)
			if m.Unit == "mm" && m.What != "step length 2R + G" {
				across, up := s.FullSize(m.Printed), s.FullHeight(m.Printed)
				require.True(t, math.Abs(m.Full-across) < 1e-6*across || math.Abs(m.Full-up) < 1e-6*up, m.What)
			}
		}
	})
}

// Knee 0.285 x 1750 = 498.75 over risers of 170.
func TestRisersBesideThePerson(t *testing.T) {
	s := stairOver(1700, func(st *stair.Stair) { st.Risers = new(10) })
	s.Scale.Person = 1.75
	require.Equal(t, "2.9 steps to the knee", measured(t, s, "stair", "riser").Yardstick)
}
