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
	"socle/parts/deck"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/partstest/fixtures"
	"socle/sdf"
)

// everyStage is a scene with work at every stage.
func everyStage() []parts.Part {
	return []parts.Part{
		partstest.Block("north", sdf.V(40, 50, 5), sdf.V(60, 60, 22)),
		partstest.Block("south", sdf.V(40, 20, 5), sdf.V(60, 30, 18)),
		&testBlow{Named: parts.Named{Name: "blast"}, cut: sdf.BoxBetween(sdf.V(45, 0, 8), sdf.V(50, 80, 40)),
			throw: sdf.BoxBetween(sdf.V(44, 35, 9), sdf.V(52, 45, 12))},
		&testBlow{Named: parts.Named{Name: "nick"}, cut: sdf.BoxBetween(sdf.V(55, 0, 15), sdf.V(57, 80, 40)), only: []string{"north"}},
		&testSpill{parts.Named{Name: "dust"}, sdf.BoxBetween(sdf.V(40, 30, 5), sdf.V(60, 50, 30))},
		&testTrim{parts.Named{Name: "cut"}, sdf.HalfSpace(sdf.V(1, 0, 0), 90)},
		fixtures.BaseAt("walker", func(b *base.Base) { b.Oval = &[2]float64{60, 40} }),
		freeBase("scout", func(b *base.Base) { b.Round, b.Count = new(14.0), 3 }),
	}
}

// The order of the file is nothing: the same bits, gradients included.
func TestOrderOfTheFileIsNothing(t *testing.T) {
	want := assembled(t, fixtures.GroundWith(everyStage()...)).Pieces()
	labels := func(s *parts.Site) (out []string) {
		for _, p := range inOrder(s) {
			out = append(out, p.Label())
		}
		return out
	}
	order := []string{"ground", "north", "south", "blast", "nick", "dust", "cut", "scout", "walker"}
	rapid.Check(t, func(t *rapid.T) {
		s := fixtures.GroundWith()
		s.Parts = rapid.Permutation(append(s.Parts, everyStage()...)).Draw(t, "order")
		require.Equal(t, order, labels(s))
		sc, err := Assemble(s)
		require.NoError(t, err)
		got := sc.Pieces()
		require.Len(t, got, len(want))
		for i := range want {
			require.Equal(t, want[i].Name, got[i].Name)
			require.Equal(t, want[i].Pose, got[i].Pose)
			require.Equal(t, want[i].Box, got[i].Box)
			rng := s.Rand("test", 0, want[i].Name)
			for range 50 {
				p := sdf.V(70*rng.Float64()-35, 50*rng.Float64()-25, 21*rng.Float64()-1)
				d, g := want[i].Field.Gradient(p)
				e, h := got[i].Field.Gradient(p)
				require.Equal(t, d, e)
				require.Equal(t, g, h)
			}
		}
	})
}

func TestOrderOfWork(t *testing.T) {
	sc := assembled(t, fixtures.GroundWith(everyStage()...))
	solid := func(x, y, z float64) bool { return sc.Field.Value(sdf.V(x, y, z)) < 0 }
	require.False(t, solid(47, 25, 15), "the blast cuts a block")
	require.False(t, solid(47, 40, 9), "and the ground")
	require.False(t, solid(47, 40, 11), "and what it threw up itself")
	require.True(t, solid(51, 40, 11), "but not beside the cut")
	require.False(t, solid(56, 55, 18), "the nick cuts what it is only for")
	require.True(t, solid(56, 25, 16), "and nothing else")
	require.True(t, solid(47, 40, 8.4), "spill rests in the pit, on the damaged scene")
	require.False(t, solid(47, 40, 8.6))
	require.True(t, solid(42, 40, 10.4), "and on the ground beside it")
	require.False(t, solid(91, 40, 9), "the trim cuts all")
}

func TestSparesAndBases(t *testing.T) {
	pit := func(only, spares []string) *testBlow {
		return &testBlow{Named: parts.Named{Name: "pit"}, cut: sdf.BoxBetween(sdf.V(40, 30, 0), sdf.V(60, 50, 40)), only: only, spares: spares}
	}
	post := func() parts.Part { return partstest.Block("post", sdf.V(48, 38, 5), sdf.V(52, 42, 20)) }
	open := func(b *testBlow, x, y, z float64) bool {
		p := onePiece(t, fixtures.GroundWith(b, post(), fixtures.BaseAt("b", func(b *base.Base) { b.Round = new(32.0) })))
		return p.Field.Value(sdf.V(x, y, z)) >= 0
	}
	require.True(t, open(pit(nil, nil), 5, 5, 3))
	require.False(t, open(pit(nil, []string{"ground"}), 5, 5, 3), "the rim goes by the ground's name")
	require.False(t, open(pit([]string{"post"}, nil), 5, 5, 3))
	require.True(t, open(pit([]string{"post"}, nil), 0, 0, 8))
	require.False(t, open(pit(nil, []string{"post"}), 0, 0, 8))
	require.True(t, open(pit(nil, []string{"post"}), 5, 5, 3))
}

func TestThrowIsCutByItsOwnBlow(t *testing.T) {
	blow := &testBlow{Named: parts.Named{Name: "blast"}, spares: []string{"ground"},
		cut: sdf.BoxBetween(sdf.V(45, 30, 8), sdf.V(50, 50, 40)), throw: sdf.BoxBetween(sdf.V(44, 35, 9), sdf.V(52, 45, 12))}
	sc := assembled(t, fixtures.GroundWith(blow, partstest.Block("post", sdf.V(88, 78, 5), sdf.V(92, 82, 20))))
	require.Less(t, sc.Field.Value(sdf.V(47, 40, 9.5)), 0.0, "the ground is spared")
	require.GreaterOrEqual(t, sc.Field.Value(sdf.V(47, 40, 11)), 0.0, "what it throws is not")
	require.Less(t, sc.Field.Value(sdf.V(51, 40, 11)), 0.0)
}

func TestNarrowNamesMustExist(t *testing.T) {
	b := &testBlow{Named: parts.Named{Name: "pit"}, cut: sdf.Nothing(), only: []string{"ground", "nowhere"}, spares: []string{"pit"}}
	faults := Check(fixtures.GroundWith(b))
	require.Len(t, faults, 2)
	require.Equal(t, "only[1]", faults[0].Key)
	require.Contains(t, faults[0].Text, `"nowhere"`)
	require.Equal(t, "spares[0]", faults[1].Key)
	require.Contains(t, faults[1].Text, "test-blow")
}

// A damage that may touch nothing of all there is would be drawn and not be seen.
func TestDamageThatMayTouchNothing(t *testing.T) {
	post := partstest.Block("post", sdf.V(48, 38, 5), sdf.V(52, 42, 20))
	for _, c := range []struct {
		only, spares []string
		key          string // of the fault; "" for none
	}{
		{[]string{"post"}, []string{"post"}, "only"}, {[]string{"post", "ground"}, []string{"ground", "post"}, "only"},
		{nil, []string{"ground", "post", "b"}, "spares"}, {nil, []string{"ground", "post"}, "spares"},
		{[]string{"post", "ground"}, []string{"post"}, ""}, {nil, []string{"ground", "b"}, ""}, {nil, []string{"post", "b"}, ""}, {[]string{"b"}, nil, ""},
	} {
		b := &testBlow{Named: parts.Named{Name: "pit"}, cut: sdf.Nothing(), only: c.only, spares: c.spares}
		faults := Check(fixtures.GroundWith(b, post, fixtures.BaseAt("b", func(b *base.Base) { b.Round = new(32.0) })))
		if c.key == "" {
			require.Empty(t, faults, "%v", c)
			continue
		}
		require.Len(t, faults, 1, "%v", c)
		require.Equal(t, c.key, faults[0].Key)
		require.Contains(t, faults[0].Text, "leaves nothing that it may touch")
	}
}

// crowd is a part of absurdly many pieces; making it would fail the test.
type crowd struct {
	parts.Named
	t      *testing.T
	pieces int
}

func (c *crowd) Pieces(*parts.Site) int { return c.pieces }
func (c *crowd) Solid(*parts.Site) sdf.Field {
	c.t.Fatal("made before the pieces were counted")
	return nil
}

func TestTooManyPiecesBeforeAnyWork(t *testing.T) {
	s := fixtures.GroundWith(&crowd{parts.Named{Name: "a"}, t, parts.MaxPieces / 2},
		&crowd{parts.Named{Name: "b"}, t, 1 << 62}, &crowd{parts.Named{Name: "c"}, t, 1 << 62})
	_, err := Assemble(s)
	require.EqualError(t, err, "b: gives this scene too many pieces (200000 in all: fewer or larger ones)")
}

// A piece is the scene, seen from its base: inside the column and above the rim
// both say the same, whatever was pruned and however the base is turned.
func TestPieceIsTheScene(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn := rapid.Float64Range(-180, 180).Draw(t, "turn")
		at := r2.Vec{X: rapid.Float64Range(20, 70).Draw(t, "at x"), Y: rapid.Float64Range(20, 60).Draw(t, "at y")}
		lift := rapid.SampledFrom([]float64{0, 3}).Draw(t, "lift")
		parts := everyStage()[:6]
		parts = append(parts, fixtures.BaseAt("b", func(b *base.Base) {
			b.Rectangle, b.At, b.Turn, b.Lift = &[2]float64{30, 20}, &at, &turn, lift
		}))
		sc, err := Assemble(fixtures.GroundWith(parts...))
		require.NoError(t, err)
		p := sc.Pieces()[0]
		for range 100 {
			q := sdf.V(rapid.Float64Range(-13.9, 13.9).Draw(t, "x"), rapid.Float64Range(-8.9, 8.9).Draw(t, "y"), rapid.Float64Range(4, 20).Draw(t, "z"))
			if d := sc.Field.Value(p.Pose.Apply(q)); math.Abs(d) > 1e-9 { // rounding decides on the surface itself
				require.Equal(t, d < 0, p.Field.Value(q) < 0)
			}
		}
		for range 100 { // nothing outside its own foot
			q := sdf.V(rapid.Float64Range(-40, 40).Draw(t, "ox"), rapid.Float64Range(-40, 40).Draw(t, "oy"), rapid.Float64Range(-9, 40).Draw(t, "oz"))
			if q.X < -15 || q.X > 15 || q.Y < -10 || q.Y > 10 || q.Z < 0 {
				require.GreaterOrEqual(t, p.Field.Value(q), 0.0)
			}
		}
	})
}

// Each piece keeps the promise of a field (sdf package comment): no
// overestimates, exact pruning, nothing outside its box.
func TestPieceFieldKeepsItsPromise(t *testing.T) {
	parts := append(everyStage()[:6], fixtures.BaseAt("b", func(b *base.Base) {
		b.Oval, b.Underside, b.Rim = &[2]float64{60, 40}, "hollow", "whole"
		m := fixtures.MagnetOf(5, 2)
		m.Count = 2
		b.Magnets = []base.Magnet{m}
		b.Stands = []base.Stand{{At: r2.Vec{X: 8}, Round: 10, Clear: 30}}
	}))
	f := onePiece(t, fixtures.GroundWith(parts...)).Field
	point := func(t *rapid.T, label string) r3.Vec {
		return sdf.V(rapid.Float64Range(-35, 35).Draw(t, label+"x"), rapid.Float64Range(-25, 25).Draw(t, label+"y"), rapid.Float64Range(-4, 20).Draw(t, label+"z"))
	}
	rapid.Check(t, func(t *rapid.T) {
		p, q := point(t, "p"), point(t, "q")
		d, g := f.Gradient(p)
		require.Equal(t, d, f.Value(p))
		require.LessOrEqual(t, r3.Norm(g), 1+1e-9)
		require.LessOrEqual(t, d-f.Value(q), r3.Norm(r3.Sub(p, q))+1e-9)
		ball := sdf.Ball{C: p, R: rapid.Float64Range(0.01, 8).Draw(t, "r")}
		pruned := f.Prune(ball)
		require.LessOrEqual(t, pruned.Cost(), f.Cost())
		v := r3.Sub(q, p)
		if n := r3.Norm(v); n > ball.R {
			q = r3.Add(p, r3.Scale(ball.R*0.999/n, v))
		}
		require.Equal(t, f.Value(q), pruned.Value(q))
		if b := f.Bounds(); d < 0 {
			require.True(t, p.X >= b.Min.X && p.Y >= b.Min.Y && p.Z >= b.Min.Z && p.X <= b.Max.X && p.Y <= b.Max.Y && p.Z <= b.Max.Z)
		}
	})
}

func init() {
	parts.Register(parts.Kind{Word: "test-crowd", Stage: parts.Structure, Doc: "for tests", New: func() parts.Part { return &crowd{} }})
}

// A base that lies wholly on a deck or in a pit takes its height from there, so
// that it is no taller than its neighbours; one across an edge, from the ground.
func TestDatumFollowsWhatCarriesTheBase(t *testing.T) {
	s := &parts.Site{Parts: []parts.Part{
		&ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{100, 60}, Level: parts.Level{Height: 3},
			Sunk: []ground.Terrace{{Area: parts.Area{Rect: []float64{60, 0, 40, 60}}, Level: parts.Level{Height: 1}}}},
		&deck.Deck{Named: parts.Named{Name: "deck"}, Level: parts.Level{Height: 9}, Area: parts.Area{Rect: []float64{0, 30, 50, 30}}},
	}}
	square := func(x, y, half float64) []r2.Vec {
		return []r2.Vec{{X: x - half, Y: y - half}, {X: x + half, Y: y - half}, {X: x + half, Y: y + half}, {X: x - half, Y: y + half}}
	}
	b := &base.Base{}
	require.Equal(t, 9.0, b.Datum(s, square(20, 45, 10)))
	require.Equal(t, 3.0, b.Datum(s, square(20, 30, 10)))
	require.Equal(t, 3.0, b.Datum(s, square(20, 12, 10)))
	require.Equal(t, 1.0, b.Datum(s, square(80, 30, 10)))
	require.Equal(t, 3.0, b.Datum(s, square(62, 30, 10)))
	b.Level = &parts.Level{Height: 5}
	require.Equal(t, 5.0, b.Datum(s, square(80, 30, 10)))
}
