package assembly

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/crater"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/partstest/fixtures"
	"socle/parts/paving"
	"socle/parts/planar"
	"socle/parts/spill"
	"socle/parts/trim"
	"socle/parts/wall"
	"socle/sdf"
)

// A new kind of part must say how it is drawn, or be put down here.
func TestEveryKindIsDrawn(t *testing.T) {
	otherwise := map[string]string{"base": "a footprint for each of its pieces"}
	for _, k := range parts.Kinds() {
		if strings.HasPrefix(k.Word, "test-") {
			continue // of other tests
		}
		_, drawn := k.New().(parts.Planner)
		_, known := otherwise[k.Word]
		require.NotEqual(t, drawn, known, "%s is drawn: %v, drawn otherwise: %v", k.Word, drawn, known)
	}
}

func TestAWallOf100MeasuresOneHundred(t *testing.T) {
	w := wallUnder(20, r2.Vec{X: 0, Y: 20}, r2.Vec{X: 100, Y: 20})
	p := assembled(t, partstest.Quarry(100, 1, w)).Plan()
	mass := partstest.StrokesOf(p.Strokes, "wall", parts.LineMass)
	require.Len(t, mass, 1)
	b := planar.Bounds(partstest.PointsOf(t, mass[0].Path))
	require.Equal(t, r2.Vec{X: 100, Y: 4}, r2.Sub(b.Max, b.Min))
	require.Equal(t, r2.Vec{X: 0, Y: 18}, b.Min)

	w.Openings = []wall.WallOpening{{At: 70, Width: 10, Head: 12}, {At: 30, Width: 20, Sill: 5, Head: 12}}
	p = assembled(t, partstest.Quarry(100, 1, w)).Plan()
	total := 0.0
	for _, m := range partstest.StrokesOf(p.Strokes, "wall", parts.LineMass) {
		b := planar.Bounds(partstest.PointsOf(t, m.Path))
		total += b.Max.X - b.Min.X
	}
	require.InDelta(t, 70, total, 1e-9, "what is left between the openings")
	require.Len(t, partstest.StrokesOf(p.Strokes, "wall", parts.LineStep), 3, "a threshold, and a sill with its glass line")
}

// What is drawn of a wall, a column and a pier is where their solids are.
func TestOutlinesAreWhereTheSolidsAre(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := func(name string) r2.Vec {
			return r2.Vec{X: rapid.Float64Range(-40, 40).Draw(t, name+".x"), Y: rapid.Float64Range(-40, 40).Draw(t, name+".y")}
		}
		a := at("a")
		bend := rapid.Float64Range(-80, 80).Draw(t, "bend")
		way := rapid.Float64Range(0, 360).Draw(t, "way")
		b := r2.Add(a, r2.Scale(40, planar.Heading(way)))
		c := r2.Add(b, r2.Scale(30, planar.Heading(way+bend)))
		w := wallUnder(20, a, b, c)
		w.Wear = 0
		s := partstest.Quarry(100, 1, w)
		p := &Plan{}
		p.draw(s, w)
		mass := partstest.StrokesOf(p.Strokes, "wall", parts.LineMass)
		require.Len(t, mass, 1)
		solid, outline := w.Solid(s), planar.Polygon(partstest.PointsOf(t, mass[0].Path))
		for range 200 {
			q := r2.Add(b, at("q"))
			d := outline.At(q)
			inside := solid.Value(sdf.V(q.X, q.Y, 10)) < 0
			// Sides overlap square at a corner, where the drawing is mitred: between
			// the two lies less than half the thickness.
			if near := r2.Norm(r2.Sub(q, b)) < w.Thickness; !near && math.Abs(d) > 0.3 {
				require.Equal(t, d < 0, inside, "at %v, %.3f mm from the outline", q, d)
			}
		}
	})
}

func TestPiersAreDrawnWhereTheyStand(t *testing.T) {
	areas := []parts.Area{
		{Rect: []float64{0, 0, 62, 30}},
		{Rect: []float64{0, 0, 62, 30}, Turn: 25},
		{Round: []float64{20, 20, 50}},
		{Polygon: []r2.Vec{{X: 0, Y: 0}, {X: 50, Y: 0}, {X: 50, Y: 18}, {X: 22, Y: 18}, {X: 22, Y: 46}, {X: 0, Y: 46}}},
	}
	for i, a := range areas {
		for _, on := range []string{"piers", "walls"} {
			d := fixtures.DeckAt(20, 0, 0, 1, 1)
			d.Area, d.On = a, on
			s := partstest.Quarry(100, 1, d)
			solid := d.Solid(s)
			p := &Plan{}
			p.draw(s, d)
			hidden := partstest.StrokesOf(p.Strokes, "deck", parts.LineHidden)
			require.NotEmpty(t, hidden, "%d %s", i, on)
			area := 0.0
			for _, h := range hidden {
				require.Equal(t, parts.BelowFloor, h.Layer)
				pts := partstest.PointsOf(t, h.Path)
				area += planar.SignedArea(planar.Anticlockwise(pts))
				c := planar.Centroid(pts)
				require.Negative(t, solid.Value(sdf.V(c.X, c.Y, 5)), "%d %s: nothing stands at %v", i, on, c)
			}
			// The section of what carries the deck has the area that is drawn.
			b := a.Bounds()
			const step = 0.25
			section := 0.0
			for x := b.Min.X + step/2; x < b.Max.X; x += step {
				for y := b.Min.Y + step/2; y < b.Max.Y; y += step {
					if solid.Value(sdf.V(x, y, 5)) < 0 {
						section += step * step
					}
				}
			}
			require.InEpsilon(t, section, area, 0.08, "%d %s", i, on) // the eased corners of piers, and the step
		}
	}
}

func TestStairShowsItsRisers(t *testing.T) {
	for _, risers := range []int{1, 2, 7, 18} {
		st := fixtures.FlightOf(2, 20)
		st.Foot, st.Risers, st.Going, st.Profile = &r2.Vec{X: 50, Y: 10}, &risers, new(3.0), "free"
		s := partstest.Quarry(60, 1, st)
		p := assembled(t, s).Plan()
		steps := partstest.StrokesOf(p.Strokes, "stair", parts.LineStep)
		require.Len(t, steps, risers)
		for i, k := range steps {
			pts := partstest.PointsOf(t, k.Path)
			require.InDelta(t, 30, r2.Norm(r2.Sub(pts[1], pts[0])), 1e-9)
			require.InDelta(t, 10+3*float64(i), pts[0].Y, 1e-9, "riser %d", i)
		}
		require.Len(t, p.Labels, 1)
		require.Equal(t, map[int]string{1: "1 up", 2: "2 up", 7: "7 up", 18: "18 up"}[risers], p.Labels[0].Text)
		if risers > 1 {
			way := partstest.PointsOf(t, partstest.StrokesOf(p.Strokes, "stair", parts.LineWay)[0].Path)
			require.InDelta(t, float64(risers-1)*3, way[1].Y-way[0].Y, 1e-9, "upward, which is north")
		}
	}
}

func TestSurfacesLieInOrder(t *testing.T) {
	g := &ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{100, 80}, Level: parts.Level{Name: "yard", Height: 10}, Thickness: 30, Surface: "flat", Wavelength: 12,
		Sunk: []ground.Terrace{
			{Area: parts.Area{Rect: []float64{0, 0, 20, 20}}, Level: parts.Level{Name: "pit", Height: 2}, Bank: 90},
			{Area: parts.Area{Rect: []float64{2, 2, 8, 8}}, Level: parts.Level{Name: "sump", Height: 0}, Bank: 90},
		}}
	yard := flagsOf("yard-setts", 0, 1)
	yard.Level, yard.Area = parts.Level{Name: "yard", Height: 10}, parts.Area{Rect: []float64{0, 0, 100, 80}}
	low, high := fixtures.DeckAt(14, 40, 40, 40, 30), fixtures.DeckAt(18, 50, 50, 20, 10)
	low.Name, high.Name = "low", "high"
	top := flagsOf("flags", 0, 1)
	top.Level, top.Area = parts.Level{Height: 18}, high.Area
	s := fixtures.GroundWith()
	s.Parts = []parts.Part{top, high, low, yard, g}
	p := assembled(t, s).Plan()
	var order []string
	for _, k := range p.Strokes {
		if k.Line == parts.LineEdge && k.Layer == parts.OnFloor {
			order = append(order, k.Part)
		}
	}
	require.Equal(t, []string{"ground", "yard-setts", "ground", "ground", "low", "high", "flags"}, order)

	levels := map[string]float64{}
	for _, m := range p.Levels {
		require.NotEmpty(t, m.Places)
		levels[m.Part+" "+m.Name] = m.Height
		for _, at := range m.Places {
			h, ok := s.LevelAt(at)
			require.True(t, ok)
			require.InDelta(t, m.Height, h, 1e-6, "%s is hidden at %v", m.Part, at)
		}
	}
	require.Equal(t, map[string]float64{"ground yard": 10, "ground pit": 2, "ground sump": 0, "low ": 14, "high ": 18}, levels)
}

func TestDamageIsDrawnToItsLips(t *testing.T) {
	c := &crater.Crater{Named: parts.Named{Name: "hit"}, At: r2.Vec{X: 50, Y: 40}, Diameter: 30, Blanket: 2.5, Slope: 37, Roughness: 0.5, Cracks: new(6), Seed: 1}
	g := &crater.Gouge{Named: parts.Named{Name: "score"}, Line: []r2.Vec{{X: 10, Y: 10}, {X: 30, Y: 10}, {X: 30, Y: 30}},
		Width: 4, Depth: 1, Profile: "u", Narrowing: parts.Narrowing{Only: []string{"ground"}}}
	from := &spill.Spill{Named: parts.Named{Name: "spill"}, From: "hit", Count: new(3), Exponent: 2.5, Sherds: 0.3, Reach: new(2.0), Repose: 35, Seed: 1}
	s := fixtures.GroundWith(c, g, from)
	p := assembled(t, s).Plan()
	rim := partstest.StrokesOf(p.Strokes, "hit", parts.LineDamage)[0]
	require.True(t, rim.Covers, "it clears whatever stands over it")
	for _, n := range rim.Path[1:] {
		require.Equal(t, r2.Vec{X: 15, Y: 15}, n.Radii)
		require.InDelta(t, 15, r2.Norm(r2.Sub(n.To, c.At)), 1e-9)
	}
	require.Len(t, partstest.StrokesOf(p.Strokes, "hit", parts.LineScar), 6+1+2, "cracks, the bowl and the mark of its middle")
	for _, n := range partstest.StrokesOf(p.Strokes, "spill", parts.LineDebris)[0].Path {
		require.InDelta(t, 30, r2.Norm(r2.Sub(n.To, c.At)), 1e-9, "two radii from the middle")
	}
	for _, n := range partstest.StrokesOf(p.Strokes, "score", parts.LineDamage)[0].Path {
		d := math.Inf(1)
		for i, b := range g.Line[1:] {
			d = math.Min(d, planar.SegmentDistance(n.To, g.Line[i], b))
		}
		require.True(t, math.Abs(d-2) < 1e-9 || n.Radii == (r2.Vec{}) && d <= 2*math.Sqrt2, "%v is %v from the line", n.To, d)
	}
	require.False(t, partstest.StrokesOf(p.Strokes, "score", parts.LineDamage)[0].Covers, "it leaves what stands over it")
	require.Len(t, partstest.StrokesOf(p.Strokes, "score", parts.LineCleared), 1, "the ground that it touches is gone")
}

func TestTrimsCrossTheScene(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		facing := rapid.Float64Range(-360, 360).Draw(t, "facing")
		at := r2.Vec{X: rapid.Float64Range(0, 100).Draw(t, "x"), Y: rapid.Float64Range(0, 80).Draw(t, "y")}
		cut := &trim.Trim{Named: parts.Named{Name: "cut"}, Through: &at, Facing: &facing}
		s := fixtures.GroundWith(cut)
		strokes := cut.Plan(s)
		require.Len(t, strokes, 1)
		pts := partstest.PointsOf(t, strokes[0].Path)
		keep := cut.Keep(s)
		for _, q := range pts {
			require.InDelta(t, 0, keep.Value(sdf.V(q.X, q.Y, 0)), 1e-9, "on the cut")
			require.False(t, q.X > 0 && q.X < 100 && q.Y > 0 && q.Y < 80, "ends within the scene")
		}
	})
	require.Empty(t, (&trim.Trim{Named: parts.Named{Name: "top"}, Top: &parts.Level{Height: 9}}).Plan(fixtures.GroundWith()), "a level cut has no line")
}

func TestThePlanIsTheSameWhateverTheOrderOfTheFile(t *testing.T) {
	s := fixtures.GroundWith(flagsOf("a", 0.5, 1), fixtures.DeckAt(14, 40, 40, 40, 30), wallUnder(9, r2.Vec{X: 1, Y: 50}, r2.Vec{X: 30, Y: 50}),
		fixtures.BaseAt("one", func(b *base.Base) { b.Round = new(20.0); b.At = nil; b.Count = 3 }))
	first := assembled(t, s).Plan()
	for i, j := 0, len(s.Parts)-1; i < j; i, j = i+1, j-1 {
		s.Parts[i], s.Parts[j] = s.Parts[j], s.Parts[i]
	}
	require.Equal(t, first, assembled(t, s).Plan())
}

func TestFootprintsLieAsTheirPieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn := rapid.Float64Range(-360, 360).Draw(t, "turn")
		b := fixtures.BaseAt("one", func(b *base.Base) {
			b.At, b.Turn = &r2.Vec{X: 50, Y: 40}, &turn
			switch rapid.IntRange(0, 5).Draw(t, "shape") {
			case 0:
				b.Round = new(30.0)
			case 1:
				b.Oval = &[2]float64{40, 24}
			case 2:
				b.Rectangle, b.Corner = &[2]float64{40, 24}, rapid.Float64Range(0, 12).Draw(t, "corner")
			case 3:
				b.Square = new(30.0)
			case 4:
				b.Hexagon = new(30.0)
			case 5:
				b.Stadium = &[2]float64{40, 24}
			}
			b.Stands = []base.Stand{{At: r2.Vec{X: 4, Y: 2}, Round: 6, Clear: 20}}
		})
		sc, err := Assemble(fixtures.GroundWith(b))
		require.NoError(t, err)
		p := sc.Plan()
		require.Len(t, p.Footprints, 1)
		f, pose := p.Footprints[0], sc.Pieces()[0].Pose
		shape := b.Footprints()[0].Shape()
		own := func(q r2.Vec) r2.Vec { l := pose.Invert(sdf.V(q.X, q.Y, 0)); return r2.Vec{X: l.X, Y: l.Y} }
		for _, n := range f.Path {
			require.InDelta(t, 0, shape.At(own(n.To)), 1e-6, "every corner lies on the edge of the piece")
		}
		require.InDelta(t, 0, shape.At(own(f.Axis)), 1e-6)
		require.InDelta(t, 0, own(f.Axis).Y, 1e-9, "the axis mark lies on the piece's own x axis")
		require.Equal(t, *b.At, f.At)
		for _, n := range f.Stands[0] {
			require.InDelta(t, 3, r2.Norm(r2.Sub(own(n.To), r2.Vec{X: 4, Y: 2})), 1e-9)
		}
	})
}

// wallUnder is a plain wall along a line.
func wallUnder(height float64, line ...r2.Vec) *wall.Wall {
	return &wall.Wall{Named: parts.Named{Name: "wall"}, Line: line, Thickness: 4, From: parts.Level{Height: 2}, Height: &height,
		Coursing: "none", Coping: "none", Seed: 3, Wear: 0.3}
}

// flagsOf is a paving of a known size for the tests below.
func flagsOf(name string, wear float64, seed uint64) *paving.Paving {
	return &paving.Paving{
		Named: parts.Named{Name: name}, Level: parts.Level{Height: 3}, Area: parts.Area{Rect: []float64{0, 0, 40, 30}},
		Bond: "running", Stone: &[2]float64{5, 3}, Wear: wear, Seed: seed,
	}
}
