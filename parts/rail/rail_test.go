package rail

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/partstest"
	"socle/parts/partstest/fixtures"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// railOn is a rail with the catalogue's defaults at a site's scale.
func railOn(s *parts.Site, along string) *Rail {
	return &Rail{
		Named: parts.Named{Name: "rail"}, Along: along, Flank: "both", Edge: "open",
		Height: s.HeightOnPrint(1100), Spacing: s.OnPrint(1500), Post: s.OnPrint(100), Handrail: s.OnPrint(40),
		Infill: "balusters", Baluster: s.OnPrint(20), Gap: s.OnPrint(100), Rails: 1,
		Section: "round", Caps: "none", Inset: s.OnPrint(50),
	}
}

// references.md section 2: S 1800, b 20, c 100 gives n 15, gap 93.75.
func TestBalusterCount(t *testing.T) {
	n, gap := balusters(1800, 20, 100)
	require.Equal(t, 15, n)
	require.InDelta(t, 93.75, gap, 1e-9)
	n, gap = balusters(80, 20, 100)
	require.Equal(t, 0, n)
	require.InDelta(t, 80, gap, 1e-9)
	rapid.Check(t, func(t *rapid.T) {
		span, b, c := rapid.Float64Range(0.1, 5000).Draw(t, "span"), rapid.Float64Range(1, 100).Draw(t, "b"), rapid.Float64Range(5, 300).Draw(t, "c")
		n, gap := balusters(span, b, c)
		require.LessOrEqual(t, gap, c+1e-6)
		require.InDelta(t, span, float64(n)*b+float64(n+1)*gap, 1e-6)
		if n > 0 {
			require.Greater(t, (span-float64(n-1)*b)/float64(n), c-1e-6, "one fewer would leave the gap too wide")
		}
	})
}

func TestRailBaysAreEqual(t *testing.T) {
	s := partstest.Quarry(56, 1)
	r := railOn(s, "")
	r.Line, r.Level = []r2.Vec{{}, {X: 100}, {X: 100, Y: 61}}, &parts.Level{Height: 5}
	s.Parts = []parts.Part{r}
	require.Empty(t, r.Check(s))
	runs := r.settled(s).stretches
	require.Len(t, runs, 1)
	bays := runs[0].bays
	require.Len(t, bays, 4+3) // 100 and 61 mm in bays of at most 26.8 mm
	for i, b := range bays {
		want := 25.0
		if i >= 4 {
			want = 61.0 / 3
		}
		require.InDelta(t, want, b.to-b.from, 1e-9)
	}
	require.InDelta(t, 100, bays[3].to, 1e-9, "a post at the corner")
}

func TestRailStandsOnAStair(t *testing.T) {
	for _, scale := range []float64{56, 285} {
		for _, infill := range []string{"balusters", "rails", "panel", "none"} {
			for _, section := range []string{"round", "square"} {
				for _, flanks := range []string{"none", "wall"} {
					s := partstest.Quarry(scale, 1)
					to := 2 + s.HeightOnPrint(1500)
					d, st, r := fixtures.DeckAt(to, -20, 40, 40, 12), fixtures.FlightOf(2, to), railOn(s, "stair")
					st.Foot, st.Head, st.Width, st.Flanks = nil, &r2.Vec{Y: 40}, 12, flanks
					r.Infill, r.Section, r.Caps = infill, section, "ball"
					s.Parts = []parts.Part{d, st, r}
					partstest.LayAt(s, to, 0.7)
					require.Empty(t, r.Check(s))
					rail := r.Solid(s)
					require.GreaterOrEqual(t, r.Pieces(s), 4)
					under := sdf.Union(d.Solid(s), st.Solid(s))
					all := sdf.Union(under, rail)
					box := rail.Bounds() // a rail that floated would be apart within its own box
					box.Min.Z = -0.5
					sdftest.RequireOnePiece(t, all, box, 0.4)
					// Every post reaches into the structure under it, below any finish.
					posts := 0
					for _, run := range r.settled(s).stretches {
						for _, b := range run.bays {
							for _, at := range []float64{b.from, b.to} {
								p := planar.PointAt(run.sides, at)
								top := sdftest.DropOnto(t, under, p.X, p.Y, to+50)
								require.Negative(t, rail.Value(sdf.V(p.X, p.Y, top-0.45)), "post at %v", p)
								posts++
							}
						}
					}
					require.GreaterOrEqual(t, posts, 4)
					// The top of the handrail over the line of the nosings, away from the caps of
					// the posts: on the flight, and over the landing at the end.
					l := st.Flight(s)
					run := r.settled(s).stretches[0]
					b := run.bays[0]
					p := planar.PointAt(run.sides, b.from+(b.to-b.from)*0.35)
					y := l.Pose.Invert(p).Y
					require.Less(t, y, l.Run())
					nosings := 2 + l.Riser*(1+y/l.Going)
					require.InDelta(t, nosings+r.Height, sdftest.DropOnto(t, all, p.X, p.Y, to+50), 1e-6, "%v %v %v", scale, infill, section)
				}
			}
		}
	}
}

func TestRailFollowsItsStair(t *testing.T) {
	s := partstest.Quarry(72, 1)
	st, r := fixtures.FlightOf(2, 20), railOn(s, "stair")
	s.Parts = []parts.Part{st, r}
	low := r.Solid(s).Bounds()
	st.To.Height += 6
	s = s.With(s.Parts)
	high := r.Solid(s).Bounds()
	require.InDelta(t, low.Max.Z+6, high.Max.Z, 1e-6)
	require.Greater(t, high.Max.Y, low.Max.Y, "more risers, a longer run")
	st.Facing = 0
	s = s.With(s.Parts)
	require.InDelta(t, high.Max.Y, r.Solid(s).Bounds().Max.X, 0.2)
}

func TestRailAlongADeckLeavesGapsAtStairs(t *testing.T) {
	s := partstest.Quarry(56, 1)
	d := fixtures.DeckAt(20, 0, 0, 120, 80)
	st := fixtures.FlightOf(0, 20)
	st.Foot, st.Head, st.Width = nil, &r2.Vec{X: 60}, 30
	other := fixtures.DeckAt(20, 0, 80, 120, 30)
	other.Name = "other"
	r := railOn(s, "deck")
	s.Parts = []parts.Part{d, st, other, r}
	require.Empty(t, r.Check(s))
	runs := r.settled(s).stretches
	require.Len(t, runs, 2, "round the west and the east; open at the stair and where the other deck joins")
	f := r.Solid(s)
	h := 20 + r.Height - r.Handrail/2
	inset := r.Inset + r.Post/2
	require.Positive(t, f.Value(sdf.V(60, inset, h)), "the head of the stair is free")
	require.Positive(t, f.Value(sdf.V(60, 80-inset, h)), "the joint of the decks is free")
	require.Negative(t, f.Value(sdf.V(20, inset, h)))
	require.Negative(t, f.Value(sdf.V(inset, 40, h)))
	// It ends where the stair's own rail comes up.
	edge := min(inset, st.Width/2)
	require.InDelta(t, 60-15+edge, runs[0].line.Pts[len(runs[0].line.Pts)-1].X+runs[1].line.Pts[0].X-(60+15-edge), 0.01)

	r.Edge = "all"
	s = s.With(s.Parts)
	require.Len(t, r.settled(s).stretches, 1)
	r.Edge = "west"
	s = s.With(s.Parts)
	runs = r.settled(s).stretches
	require.Len(t, runs, 1)
	require.Len(t, runs[0].line.Pts, 2)
	require.InDelta(t, inset, runs[0].line.Pts[0].X, 1e-9)

	d.Area = parts.Area{Round: []float64{0, 0, 60}}
	s = s.With([]parts.Part{d, r})
	r.Edge = "all"
	runs = r.settled(s).stretches
	require.Len(t, runs, 1)
	require.True(t, runs[0].line.Closed)
	bays := runs[0].bays
	require.Len(t, bays, int(math.Ceil(2*math.Pi*(30-inset)/r.Spacing)))
	sdftest.RequireOnePiece(t, sdf.Union(d.Solid(s), r.Solid(s)), r3.Box{Min: sdf.V(-31, -31, 18), Max: sdf.V(31, 31, 20+r.Height)}, 0.45)
}

// What would be too thin to print is drawn at the minimum and said so, and the
// gaps widen with the balusters.
func TestRailAtSmallScale(t *testing.T) {
	s := partstest.Quarry(285, 1)
	r := railOn(s, "")
	r.Line, r.Level = []r2.Vec{{}, {X: 60}}, &parts.Level{Height: 5}
	r.Spacing = s.OnPrint(6000)
	s.Parts = []parts.Part{r}
	z := r.settled(s)
	require.Equal(t, 0.8, z.baluster)
	require.InDelta(t, 4, z.gap, 1e-9, "100 to 20 full size, 4 to 0.8 on the print")
	keys := map[string]bool{}
	for _, n := range r.Notes(s) {
		keys[n.Key] = true
	}
	require.Equal(t, map[string]bool{"post": true, "handrail": true, "baluster": true, "gap": true}, keys)
	for _, b := range z.stretches[0].bays {
		n, gap := balusters(b.to-b.from-z.post, z.baluster, z.gap)
		require.Positive(t, n)
		require.GreaterOrEqual(t, gap, s.Print.Gap)
		require.LessOrEqual(t, gap, z.gap+1e-9)
	}
}

// TestRailWhoseOpeningsWouldBeLost: pins so thick that the openings between them
// are lost make a solid panel, with one note; just under that they stay open.
func TestRailWhoseOpeningsWouldBeLost(t *testing.T) {
	for _, c := range []struct {
		infill string
		rails  int
		height float64 // at which the openings are just two thirds of a pin of 3 mm
	}{
		{"none", 1, 3 + 2},
		{"balusters", 1, 3 + 2},
		{"rails", 1, 2*(2+3) + 1.5},
		{"rails", 2, 3*(2+3) + 1.5},
	} {
		for _, over := range []float64{0.01, -0.01} {
			s := partstest.Quarry(100, 1)
			s.Print.Pin, s.Print.Wall, s.Print.Gap, s.Print.Relief = 3, 1.2, 0.6, 0.6
			r := railOn(s, "")
			r.Line, r.Level, r.Infill, r.Rails = []r2.Vec{{X: 5, Y: 20}, {X: 55, Y: 20}}, &parts.Level{Height: 5}, c.infill, c.rails
			r.Height = c.height + over
			s.Parts = []parts.Part{fixtures.DeckAt(5, 0, 0, 60, 40), r}
			require.Empty(t, r.Check(s))
			f := r.Solid(s)
			z := r.settled(s)
			bay := z.stretches[0].bays[0]
			middle := sdf.V(5+(bay.from+z.post/2+bay.to-z.post/2)/2, 20, 5+(r.Height-z.handrail)/2)
			if over > 0 {
				require.Equal(t, c.infill, z.infill)
				require.Equal(t, 3.0, z.post)
				for _, n := range r.Notes(s) {
					require.NotEqual(t, "infill", n.Key)
				}
				continue
			}
			require.Len(t, r.Notes(s), 1, "%v", r.Notes(s))
			require.Equal(t, "infill", r.Notes(s)[0].Key)
			require.InDelta(t, -0.6, f.Value(middle), 1e-9, "solid, 1.2 mm thick")
			require.InDelta(t, 2.4, z.post, 1e-12, "posts stand out by the least relief on both sides")
			_, open := r.opening(s, z, guardLaw{}, false, true, 0)
			require.False(t, open)
		}
	}
}

// TestRailGivenTight: what the scene itself gives so tight is its own choice.
func TestRailGivenTight(t *testing.T) {
	s := partstest.Quarry(100, 1)
	r := railOn(s, "")
	r.Line, r.Level = []r2.Vec{{}, {X: 60}}, &parts.Level{Height: 5}
	r.Post, r.Handrail, r.Baluster, r.Infill, r.Rails = 1, 1, 1, "rails", 6
	require.Equal(t, "rails", r.settled(s).infill)
	require.Empty(t, r.Notes(s))
}

func TestRailFaults(t *testing.T) {
	s := partstest.Quarry(100, 1)
	for _, c := range []struct {
		name   string
		change func(r *Rail)
		key    string
	}{
		{"nothing", func(r *Rail) {}, "along"},
		{"both", func(r *Rail) { r.Along, r.Line = "stair", []r2.Vec{{}, {X: 9}} }, "line"},
		{"a point", func(r *Rail) { r.Line = []r2.Vec{{}} }, "line"},
		{"no level", func(r *Rail) { r.Line = []r2.Vec{{}, {X: 9}} }, "level"},
		{"low", func(r *Rail) { r.Line, r.Level, r.Height = []r2.Vec{{}, {X: 9}}, &parts.Level{}, 0.69 }, "height"}, // a handrail of 0.4 over a gap of 0.3
	} {
		r := railOn(s, "")
		c.change(r)
		s.Parts = []parts.Part{fixtures.FlightOf(0, 20), r}
		faults := r.Check(s)
		require.Len(t, faults, 1, c.name)
		require.Equal(t, c.key, faults[0].Key, c.name)
		require.NotEmpty(t, faults[0].Allowed)
	}
}

// The height of a rail is measured: what lowers the solid lowers it.
func TestRailHeightIsMeasured(t *testing.T) {
	s := partstest.Quarry(50, 1.2)
	s.Print = parts.Print{Pin: 0.05, Wall: 0.05, Gap: 0.05, Relief: 0.05}
	st := fixtures.FlightOf(0, s.HeightOnPrint(3000))
	r := &Rail{Named: parts.Named{Name: "rail"}, Along: "stair", Flank: "both", Edge: "open", Height: s.HeightOnPrint(1100), Spacing: s.OnPrint(1500),
		Post: s.OnPrint(100), Handrail: s.OnPrint(40), Infill: "balusters", Baluster: s.OnPrint(20), Gap: s.OnPrint(100), Rails: 1,
		Section: "round", Caps: "none", Inset: s.OnPrint(50)}
	s.Parts = []parts.Part{st, r}
	z := r.settled(s)
	require.InDelta(t, r.Height, r.heightMade(s), 1e-6)
	run := z.stretches[0]
	run.line.Pts = slices.Clone(run.line.Pts)
	for i := range run.line.Pts {
		run.line.Pts[i].Z -= 0.5
	}
	run.sides = run.line.Sides()
	p := planar.PointAt(z.stretches[0].sides, 3)
	low, ok := topOf(r.along([]stretch{run}, z), p, 2*r.Height)
	require.True(t, ok)
	require.InDelta(t, r.Height-0.5, low-p.Z, 1e-6)
}

// Where posts a little closer than asked let nothing span more than prints, they stand so; a
// rail whose bays are far longer keeps them, and so does one with balusters.
func TestBaysSpanNoMoreThanPrints(t *testing.T) {
	for _, c := range []struct {
		spacing float64
		infill  string
		want    float64 // the longest bay, mm
	}{
		{5.26, "rails", 0.97*3 + 0.8}, {5.26, "none", 0.97*3 + 0.8}, {5.26, "balusters", 5.26}, {3, "rails", 3}, {27, "rails", 27},
	} {
		s := partstest.Quarry(285, 1)
		s.Inspect.Bridge = 3
		r := &Rail{Named: parts.Named{Name: "r"}, Line: []r2.Vec{{}, {X: 81}}, Level: &parts.Level{Height: 3}, Height: 6, Post: 0.4, Handrail: 0.4, Baluster: 0.1,
			Spacing: c.spacing, Gap: 0.35, Rails: 1, Infill: c.infill}
		s.Parts = []parts.Part{r}
		z := r.settled(s)
		require.Equal(t, c.infill, z.infill)
		require.InDelta(t, c.want, z.bay, 1e-9, "%v", c)
		for _, b := range z.stretches[0].bays {
			require.LessOrEqual(t, b.to-b.from, c.want+1e-9)
		}
		noted := false
		for _, n := range r.Notes(s) {
			noted = noted || n.Key == "spacing"
		}
		require.Equal(t, c.want < c.spacing, noted)
	}
}
