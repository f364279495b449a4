package parts

import (
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
)

// onBase is where a base's piece carries a point of the scene.
func onBase(p Piece, x, y, z float64) r3.Vec { return p.Pose.Invert(sdf.V(x, y, z)) }

// blameSite is ground with a block, a blow through both, a trim and a spill.
func blameSite() *Site {
	return GroundWith(
		block("post", sdf.V(46, 36, 5), sdf.V(54, 44, 20)),
		&testBlow{Named: Named{"blast"}, cut: sdf.BoxBetween(sdf.V(50, 20, 8), sdf.V(80, 40, 40)),
			throw: sdf.BoxBetween(sdf.V(40, 46, 9), sdf.V(46, 50, 12))},
		&testSpill{Named{"dust"}, sdf.BoxBetween(sdf.V(38, 36, 9), sdf.V(44, 42, 12))},
		&testTrim{Named{"cut"}, sdf.HalfSpace(sdf.V(0, 0, 1), 18)},
		BaseAt("b", func(b *Base) {
			b.Round, b.Turn = new(40.0), new(30.0)
			m := MagnetOf(5, 2)
			b.Magnets = []Magnet{m}
			b.Stands = []Stand{{At: r2.Vec{X: -12, Y: 6}, Round: 4, Height: new(1.0), Clear: 10}}
		}))
}

func TestNearest(t *testing.T) {
	s := blameSite()
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	name := func(at r3.Vec) string {
		part := sc.Nearest(p, at)
		require.NotNil(t, part)
		return part.Label()
	}
	for _, c := range []struct {
		at   r3.Vec
		want string
		why  string
	}{
		{onBase(p, 60, 50, 10), "ground", "its top"},
		{onBase(p, 46, 42, 15), "post", "its side"},
		{onBase(p, 47.5, 40, 16), "post", "inside, nearest to its side"},
		{onBase(p, 52, 40, 15), "blast", "the face that the blow left of the post"},
		{onBase(p, 60, 30, 8), "blast", "the floor of the hole in the ground"},
		{onBase(p, 43, 48, 12), "blast", "the top of what it threw up"},
		{onBase(p, 41, 39, 10.5), "dust", "the top of the spill"},
		{onBase(p, 48, 42, 18), "cut", "the post's top is the trim's"},
		{sdf.V(20, 0, 0.4), "b", "the side"},
		{sdf.V(5, 5, 0), "b", "the underside"},
		{sdf.V(0, 0, 2.15), "b", "the roof of a pocket"},
		{sdf.V(-12, 6, 5), "b", "a pad"},
		{sdf.V(-10, 6, 4.5), "b", "the side of a pad"},
	} {
		require.Equal(t, c.want, name(c.at), c.why)
	}
	// Where the blow's own face lies in the open it is nobody's surface.
	require.Equal(t, "ground", name(onBase(p, 50, 45, 10.3)))
}

func TestNearestOfNothing(t *testing.T) {
	sc := assembled(t, blameSite())
	require.Nil(t, sc.Nearest(Piece{}, r3.Vec{}), "a piece of no scene")
	require.Nil(t, sc.Nearest(sc.Pieces()[0], sdf.V(math.NaN(), 0, 0)))
	require.NotNil(t, sc.Nearest(sc.Pieces()[0], sdf.V(1e6, 0, 0)))
}

// Taken apart, a piece is the same solid: inside where one of its bodies is, and
// its surface is somebody's.
func TestSceneryIsThePiece(t *testing.T) {
	for _, rim := range []string{"bitten", "whole"} {
		s := blameSite()
		b := s.Parts[len(s.Parts)-1].(*Base)
		b.Rim, b.Underside = rim, "hollow"
		sc := assembled(t, s)
		p := sc.Pieces()[0]
		all := sc.sceneryOf(p)
		rapid.Check(t, func(t *rapid.T) {
			q := sdf.V(rapid.Float64Range(-22, 22).Draw(t, "x"), rapid.Float64Range(-22, 22).Draw(t, "y"), rapid.Float64Range(-1, 16).Draw(t, "z"))
			want, least := p.Field.Value(q), math.Inf(1)
			for i := range all.bodies {
				v, _ := all.bodies[i].nearest(q)
				least = math.Min(least, v)
			}
			if math.Abs(want) > 1e-9 {
				require.Equal(t, want < 0, least < 0, "%v: the piece %v, its bodies %v", q, want, least)
			}
		})
	}
}

// The answer hangs on the place alone: not on what was asked before, nor on the
// order of the file.
func TestNearestIsDeterministic(t *testing.T) {
	one := assembled(t, blameSite())
	s := blameSite()
	s.Parts[1], s.Parts[3] = s.Parts[3], s.Parts[1]
	two := assembled(t, s)
	p, q := one.Pieces()[0], two.Pieces()[0]
	rng := one.site.Rand("test", 0, "places")
	var places []r3.Vec
	for range 300 {
		places = append(places, sdf.V(44*rng.Float64()-22, 44*rng.Float64()-22, 16*rng.Float64()))
	}
	var first []string
	for _, at := range places {
		first = append(first, one.Nearest(p, at).Label())
	}
	second := make([]string, len(places))
	var all sync.WaitGroup
	for k := range 4 {
		all.Go(func() {
			for i := len(places) - 1 - k; i >= 0; i -= 4 {
				second[i] = two.Nearest(q, places[i]).Label()
			}
		})
	}
	all.Wait()
	require.Equal(t, first, second)
}

// The parts of real kinds, each at a place where its surface is for certain.
func TestNearestOfRealParts(t *testing.T) {
	paving := &Paving{Named: Named{"flags"}, Level: Level{Height: 10}, Area: Area{Rect: []float64{0, 0, 100, 80}}, Bond: "stack", Stone: &[2]float64{10, 10}, Seed: 1}
	rail := &Rail{Named: Named{"rail"}, Line: []r2.Vec{{X: 35, Y: 30}, {X: 65, Y: 30}}, Level: &Level{Height: 10}, Flank: "both", Edge: "open",
		Height: 12, Spacing: 15, Post: 1.5, Handrail: 1, Infill: "none", Rails: 1, Section: "round", Caps: "none", Inset: 1}
	crater := &Crater{Named: Named{"hit"}, At: r2.Vec{X: 55, Y: 52}, Diameter: 14, Slope: 37, Blanket: 2, Roughness: 0, Cracks: new(0), Spall: new(0), Seed: 1}
	s := GroundWith(paving, rail, crater, BaseAt("b", func(b *Base) { b.Round, b.Height, b.Floor = new(50.0), 6, 1.2 }))
	sc := assembled(t, s)
	p := sc.Pieces()[0]
	label := func(x, y, z float64) string { return sc.Nearest(p, onBase(p, x, y, z)).Label() }
	require.Equal(t, "flags", label(45, 35, 10), "the middle of a stone")
	require.Equal(t, "rail", label(42, 30, 22), "the top of the handrail")
	require.Equal(t, "rail", label(50, 30.75, 15), "the side of a post")
	floor := dropOnto(t, p.Field, 5, 12, 10)
	require.Equal(t, "hit", sc.Nearest(p, sdf.V(5, 12, floor)).Label(), "the floor of the crater")
}
