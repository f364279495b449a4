package assembly

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/column"
	"socle/parts/crater"
	"socle/parts/deck"
	"socle/parts/partstest/fixtures"
	"socle/parts/paving"
	"socle/parts/rail"
	"socle/parts/spill"
	"socle/parts/stair"
	"socle/sdf"
	"socle/sdf/sdftest"
)

// flightSite is a stair of 5 risers of 2 mm from a paved court to a paved deck,
// with a base across it.
func flightSite(more ...parts.Part) (*parts.Site, *stair.Stair) {
	flags := func(name string, level float64, rect ...float64) *paving.Paving {
		return &paving.Paving{Named: parts.Named{Name: name}, Level: parts.Level{Height: level}, Area: parts.Area{Rect: rect}, Bond: "running",
			Stone: &[2]float64{5, 3}, Thickness: new(1.2), Wear: 0.7, Seed: 3}
	}
	st := fixtures.FlightOf(10, 20)
	st.Foot, st.Head = nil, &r2.Vec{X: 50, Y: 50}
	st.Risers, st.Going, st.Profile, st.Wear = new(5), new(4.0), "free", 0.8
	deck := fixtures.DeckAt(20, 0, 50, 100, 30)
	site := fixtures.GroundWith(append([]parts.Part{st, deck, flags("court", 10, 30, 15, 40, 35), flags("floor", 20, 30, 50, 40, 16),
		fixtures.BaseAt("b", func(b *base.Base) { b.Round, b.Turn, b.Level = new(50.0), new(20.0), &parts.Level{Height: 10} })}, more...)...)
	return site, st
}

// holds checks that every place of every flight is at its designed height on the
// piece, and gives the numbers of the treads of the first that have places.
func holds(t require.TestingT, sc *Scene, p Piece) (numbers []int) {
	flights := sc.Treads(p)
	for k, f := range flights {
		l := f.Stair.Flight(sc.site)
		from, to := l.From, l.To
		n := l.Risers
		zero := p.Pose.Apply(r3.Vec{}).Z
		require.Len(t, f.Treads, n+1)
		for i, tr := range f.Treads {
			require.Equal(t, i, tr.Number)
			require.InDelta(t, from+(to-from)*float64(tr.Number)/float64(n)-zero, tr.Height, 1e-9)
			require.LessOrEqual(t, len(tr.At), mostTreadPlaces)
			for _, at := range tr.At {
				require.InDelta(t, tr.Height, sdftest.DropOnto(t, p.Field, at.X, at.Y, tr.Height+0.28), 1e-6,
					"level %d of %s at (%.3f, %.3f)", tr.Number, f.Stair.Label(), at.X, at.Y)
			}
			if k == 0 && len(tr.At) > 0 {
				numbers = append(numbers, tr.Number)
			}
		}
	}
	return numbers
}

func TestTreadsOfAWholeFlight(t *testing.T) {
	s, st := flightSite()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	require.Equal(t, []int{0, 1, 2, 3, 4, 5}, holds(t, sc, p))
	f := sc.Treads(p)[0]
	require.Same(t, st, f.Stair)
	require.InDelta(t, 2, f.Riser, 1e-12)
	for _, tr := range f.Treads {
		require.GreaterOrEqual(t, len(tr.At), 5, "level %d", tr.Number)
	}
}

// A floor that lies wrong is not hidden: the places are chosen by the plan, so
// that the solid can be measured there and found out.
func TestTreadsDoNotHideAWrongFloor(t *testing.T) {
	s, _ := flightSite()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	want := sc.Treads(p)
	for _, w := range sc.shares {
		if w.part.Label() == "floor" {
			floor := sc.sceneryOf(p)
			for i := range floor.bodies {
				if f := &floor.bodies[i].faces[0]; f.part == w.part {
					f.field = sdf.Place(f.field, sdf.At(sdf.V(0, 0, -0.4)))
				}
			}
		}
	}
	require.Equal(t, want, sc.Treads(p))
}

func TestTreadsUnderARailAreLeftOut(t *testing.T) {
	rail := &rail.Rail{Named: parts.Named{Name: "rail"}, Along: "stair", Flank: "both", Edge: "open", Height: 10, Spacing: 8, Post: 1.5, Handrail: 1,
		Infill: "balusters", Baluster: 1, Gap: 2, Rails: 1, Section: "round", Caps: "none", Inset: 4}
	s, st := flightSite(rail)
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	require.Equal(t, []int{0, 1, 2, 3, 4, 5}, holds(t, sc, p))
	posts := near(t, sc, p, "rail")
	for _, tr := range sc.Treads(p)[0].Treads {
		for _, at := range tr.At {
			require.Greater(t, posts(at, tr.Height+0.3), 0.15, "level %d", tr.Number)
		}
	}
	// With a panel in place of balusters, all along the middle, the line stays free.
	rail.Infill, rail.Inset = "panel", st.Width/2-2
	sc = assembled(t, s)
	p = sc.Pieces()[0]
	require.NotEmpty(t, holds(t, sc, p))
}

// near gives the distance to a part alone, in the piece's coordinates.
func near(t *testing.T, sc *Scene, p Piece, name string) func(at r2.Vec, z float64) float64 {
	for _, w := range sc.shares {
		if w.part.Label() == name {
			return func(at r2.Vec, z float64) float64 { return w.field.Value(p.Pose.Apply(sdf.V(at.X, at.Y, z))) }
		}
	}
	require.FailNow(t, "no share", name)
	return nil
}

func TestTreadsHitAreLeftOut(t *testing.T) {
	// A blow through the middle of the second and third tread, and a smaller one
	// over the whole width of the fourth.
	s, _ := flightSite(
		&testBlow{Named: parts.Named{Name: "blast"}, cut: sdf.BoxBetween(sdf.V(45, 36, 8), sdf.V(55, 45.5, 40))},
		&testBlow{Named: parts.Named{Name: "slot"}, cut: sdf.BoxBetween(sdf.V(20, 46, 15), sdf.V(80, 49.9, 40))})
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	require.Equal(t, []int{0, 1, 2, 3, 5}, holds(t, sc, p))
	for _, tr := range sc.Treads(p)[0].Treads {
		for _, at := range tr.At {
			x := p.Pose.Apply(sdf.V(at.X, at.Y, tr.Height)).X
			if tr.Number == 2 || tr.Number == 3 {
				require.True(t, x < 45-clearOfCuts+1e-9 || x > 55+clearOfCuts-1e-9, "level %d at x %v", tr.Number, x)
			}
		}
	}
}

func TestTreadsAcrossACrater(t *testing.T) {
	crater := &crater.Crater{Named: parts.Named{Name: "hit"}, At: r2.Vec{X: 44, Y: 43}, Diameter: 16, Slope: 37, Blanket: 2, Roughness: 0.6, Seed: 4}
	spill := &spill.Spill{Named: parts.Named{Name: "rubble"}, From: "hit", Exponent: 2.5, Sherds: 0.5, Repose: 35, Seed: 2}
	whole, _ := flightSite()
	s, _ := flightSite(crater, spill)
	sc, all := assembled(t, s), assembled(t, whole)
	p := sc.Pieces()[0]
	require.NotEmpty(t, holds(t, sc, p))
	const radius = 16 / 2
	within := func(sc *Scene) (n int) {
		for _, tr := range sc.Treads(sc.Pieces()[0])[0].Treads {
			for _, at := range tr.At {
				if q := p.Pose.Apply(sdf.V(at.X, at.Y, tr.Height)); math.Hypot(q.X-44, q.Y-43) < 0.8*radius {
					n++
				}
			}
		}
		return n
	}
	require.Zero(t, within(sc), "within the crater's ragged lip")
	require.Greater(t, within(all), 2, "where the whole flight is measured")
	// A larger hit leaves nothing to measure.
	crater.At, crater.Diameter = r2.Vec{X: 50, Y: 42}, 70
	bare, _ := flightSite(crater)
	sc = assembled(t, bare)
	require.Empty(t, sc.Treads(sc.Pieces()[0]))
}

// The nosing of a deck gives way: the last tread is measured at its back, like the others.
func TestTreadsUnderTheEdgeOfADeck(t *testing.T) {
	s, _ := flightSite()
	deck := s.Parts[2].(*deck.Deck)
	for _, kerb := range []float64{1.5, 8} { // 8 mm: two goings
		deck.Edge, deck.Kerb = "nosing", kerb
		sc := assembled(t, s)
		p := sc.Pieces()[0]
		require.Equal(t, []int{0, 1, 2, 3, 4, 5}, holds(t, sc, p))
		for _, tr := range sc.Treads(p)[0].Treads[1:5] {
			require.Len(t, tr.Over, overTread*len(overDepth), "tread %d", tr.Number)
		}
	}
}

// What lies over a tread by mistake hides none of its places; what was meant to stand
// there does.
func TestTreadsThatStructureCovers(t *testing.T) {
	whole, _ := flightSite()
	sc := assembled(t, whole)
	want := sc.Treads(sc.Pieces()[0])[0].Treads
	lid := fixtures.DeckAt(19.6, 30, 47, 40, 3)
	lid.Name = "lid"
	s, _ := flightSite(lid)
	sc = assembled(t, s)
	have := sc.Treads(sc.Pieces()[0])[0].Treads
	require.Equal(t, want[1:5], have[1:5])

	post := columnsAt(r2.Vec{X: 50, Y: 44}) // on the third tread
	post.Level, post.Height, post.Diameter, post.Broken, post.Base, post.Capital = parts.Level{Height: 16}, 12, 3, 0, "none", "none"
	s, _ = flightSite(post)
	sc = assembled(t, s)
	p := sc.Pieces()[0]
	shaft := near(t, sc, p, post.Name)
	for _, tr := range sc.Treads(p)[0].Treads[1:5] {
		for _, at := range tr.Over {
			require.Positive(t, shaft(at, tr.Height+0.5), "tread %d", tr.Number)
		}
	}
	require.Less(t, len(sc.Treads(p)[0].Treads[3].Over), overTread*len(overDepth))
}

func TestTreadsOffTheBase(t *testing.T) {
	s, _ := flightSite()
	b := s.Parts[5].(*base.Base)
	b.Round, b.At = new(20.0), &r2.Vec{X: 12, Y: 15}
	sc := assembled(t, s)
	require.Empty(t, sc.Treads(sc.Pieces()[0]), "the base is beside the stair")
	b.At = &r2.Vec{X: 50, Y: 30}
	sc = assembled(t, s)
	require.Equal(t, []int{0, 1}, holds(t, sc, sc.Pieces()[0]), "it reaches over the foot alone")
	require.Empty(t, sc.Treads(Piece{}))
}

// Stairs of all builds, over bases anywhere: whatever is given is true.
func TestTreadsAreTrue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, st := flightSite()
		st.Risers, st.Going = new(rapid.IntRange(1, 9).Draw(t, "risers")), new(rapid.Float64Range(0.9, 5).Draw(t, "going"))
		st.Width, st.Facing = rapid.Float64Range(6, 30).Draw(t, "width"), 90
		st.Wear = 0.05 * float64(rapid.IntRange(0, 20).Draw(t, "wear"))
		st.Flanks = rapid.SampledFrom([]string{"none", "string", "wall"}).Draw(t, "flanks")
		st.Side = rapid.SampledFrom([]string{"solid", "open"}).Draw(t, "side")
		st.Nosing = rapid.SampledFrom([]float64{0, 0.3, 1}).Draw(t, "nosing")
		deck := s.Parts[2].(*deck.Deck)
		deck.Edge = rapid.SampledFrom([]string{"plain", "kerb", "nosing"}).Draw(t, "edge")
		deck.Kerb = rapid.Float64Range(0.3, 3).Draw(t, "kerb")
		for _, i := range []int{3, 4} {
			f := s.Parts[i].(*paving.Paving)
			f.Bond = rapid.SampledFrom([]string{"stack", "running", "herringbone", "hexagonal", "random"}).Draw(t, "bond")
			f.Turn = rapid.SampledFrom([]float64{0, 45, 30}).Draw(t, "turn")
			f.Wear = rapid.Float64Range(0, 1).Draw(t, "wear of stones")
			f.Stone = &[2]float64{rapid.Float64Range(2, 8).Draw(t, "long"), rapid.Float64Range(1.5, 4).Draw(t, "short")}
		}
		b := s.Parts[5].(*base.Base)
		b.Round = new(rapid.Float64Range(15, 50).Draw(t, "round"))
		b.At = &r2.Vec{X: rapid.Float64Range(35, 65).Draw(t, "x"), Y: rapid.Float64Range(30, 50).Draw(t, "y")}
		sc, err := Assemble(s)
		require.NoError(t, err)
		holds(t, sc, sc.Pieces()[0])
	})
}

// columnsAt is a column at each place.
func columnsAt(at ...r2.Vec) *column.Column {
	return &column.Column{Named: parts.Named{Name: "columns"}, At: at, Level: parts.Level{Height: 3}, Height: 60, Diameter: 9,
		Taper: 0.84, Base: "moulded", Capital: "moulded", Flutes: 20, Seed: 5}
}
