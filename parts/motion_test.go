package parts_test

import (
	"math"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts"
)

func motions() *rapid.Generator[parts.Motion] {
	return rapid.Custom(func(t *rapid.T) parts.Motion {
		return parts.Motion{
			Mirror: rapid.Bool().Draw(t, "mirror"),
			Turn:   rapid.Float64Range(-360, 360).Draw(t, "turn"),
			At:     points().Draw(t, "at"),
		}
	})
}

func points() *rapid.Generator[r2.Vec] {
	return rapid.Custom(func(t *rapid.T) r2.Vec {
		return r2.Vec{X: rapid.Float64Range(-300, 300).Draw(t, "x"), Y: rapid.Float64Range(-300, 300).Draw(t, "y")}
	})
}

// TestMotionsAreRigid: distances stay, the hand of three points turns with the mirror
// alone, a heading goes with the points that it is told by, and one motion after another
// is one.
func TestMotionsAreRigid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, n := motions().Draw(t, "m"), motions().Draw(t, "n")
		a, b, c := points().Draw(t, "a"), points().Draw(t, "b"), points().Draw(t, "c")
		ma, mb, mc := m.Point(a), m.Point(b), m.Point(c)
		require.InDelta(t, r2.Norm(r2.Sub(a, b)), r2.Norm(r2.Sub(ma, mb)), 1e-9)

		hand := r2.Cross(r2.Sub(b, a), r2.Sub(c, a))
		if m.Mirror {
			hand = -hand
		}
		require.InDelta(t, hand, r2.Cross(r2.Sub(mb, ma), r2.Sub(mc, ma)), 1e-7)

		if d := r2.Sub(b, a); r2.Norm(d) > 1 {
			e := r2.Sub(mb, ma)
			heading := m.Heading(math.Atan2(d.Y, d.X)*180/math.Pi) * math.Pi / 180
			require.InDelta(t, 1, (math.Cos(heading)*e.X+math.Sin(heading)*e.Y)/r2.Norm(e), 1e-9)
		}

		p, q := n.Point(m.Point(a)), m.Then(n).Point(a)
		require.InDelta(t, 0, r2.Norm(r2.Sub(p, q)), 1e-9)
	})
}

// carried is a part with a value of every sort that moves.
type carried struct {
	parts.Named
	At     r2.Vec      `key:"at" type:"point" doc:"x"`
	Line   []r2.Vec    `key:"line" type:"points" doc:"x"`
	Sided  []r2.Vec    `key:"sided" type:"points" plan:"left" doc:"x"`
	Own    r2.Vec      `key:"own" type:"point" plan:"own" doc:"x"`
	Area   parts.Area  `key:"area" type:"table" doc:"x"`
	Other  *parts.Area `key:"other" type:"table" doc:"x"`
	Facing float64     `key:"facing" type:"facing" doc:"x"`
	Turn   *float64    `key:"turn" type:"angle" plan:"turn" doc:"x"`
	Aside  float64     `key:"aside" type:"angle" plan:"aside" doc:"x"`
	Slope  float64     `key:"slope" type:"angle" doc:"x"`
	Flank  string      `key:"flank" type:"word" plan:"flank" words:"left,right,both" doc:"x"`
	Edge   string      `key:"edge" type:"word" plan:"side" words:"north,east,south,west,all" doc:"x"`
	Kept   r2.Vec      `key:"kept" type:"point" doc:"x"`
}

// TestCarried works one motion out by hand: mirrored about x, turned by a quarter, set at
// (100, 50): (x, y) comes to (100 + y, 50 + x).
func TestCarried(t *testing.T) {
	m := parts.Motion{Mirror: true, Turn: 90, At: r2.Vec{X: 100, Y: 50}}
	p := &carried{
		At: r2.Vec{X: 3, Y: 4}, Line: []r2.Vec{{X: 1}, {X: 2}}, Sided: []r2.Vec{{X: 1}, {X: 2}}, Own: r2.Vec{X: 3, Y: 4},
		Area: parts.Area{Rect: []float64{10, 20, 6, 2}}, Other: &parts.Area{Polygon: []r2.Vec{{}, {X: 3}, {Y: 3}}, Turn: 10},
		Facing: 0, Aside: 20, Slope: 30, Flank: "left", Edge: "north", Kept: r2.Vec{X: 7, Y: 8},
	}
	require.Empty(t, m.Carry(p, parts.KeysOf(reflect.TypeFor[carried]()), func(word string) bool { return word == "kept" }))
	near := func(want, got r2.Vec) {
		t.Helper()
		require.InDelta(t, 0, r2.Norm(r2.Sub(want, got)), 1e-9, "%v", got)
	}
	near(r2.Vec{X: 104, Y: 53}, p.At)
	near(r2.Vec{X: 100, Y: 51}, p.Line[0])
	near(r2.Vec{X: 100, Y: 52}, p.Sided[0])
	near(r2.Vec{X: 3, Y: -4}, p.Own)
	near(r2.Vec{X: 7, Y: 8}, p.Kept)
	near(r2.Vec{X: 121, Y: 63}, p.Area.Centre()) // of (13, 21)
	require.Equal(t, []float64{6, 2}, p.Area.Rect[2:])
	require.InDelta(t, 90, p.Area.Turn, 1e-9)
	near(r2.Vec{X: 101, Y: 51}, p.Other.Centre()) // of (1, 1)
	require.InDelta(t, 80, p.Other.Turn, 1e-9)
	require.InDelta(t, 90, p.Facing, 1e-9)
	require.NotNil(t, p.Turn)
	require.InDelta(t, 90, *p.Turn, 1e-9)
	require.InDelta(t, -20, p.Aside, 1e-9)
	require.InDelta(t, 30, p.Slope, 1e-9)
	require.Equal(t, "right", p.Flank)
	require.Equal(t, "east", p.Edge) // north, mirrored to south, turned to east

	faults := parts.Motion{Turn: 30}.Carry(p, parts.KeysOf(reflect.TypeFor[carried]()), func(string) bool { return false })
	require.Len(t, faults, 1)
	require.Equal(t, "edge", faults[0].Key)
}

// TestCarriedAreas: the outline of an area that is carried is the outline, carried.
func TestCarriedAreas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := motions().Draw(t, "m")
		c, turn := points().Draw(t, "c"), rapid.Float64Range(-180, 180).Draw(t, "turn")
		area := rapid.SampledFrom([]parts.Area{
			{Rect: []float64{c.X, c.Y, 30, 12}, Turn: turn}, {Round: []float64{c.X, c.Y, 12}, Turn: turn}, {Oval: []float64{c.X, c.Y, 30, 12}, Turn: turn},
			{Polygon: []r2.Vec{c, {X: c.X + 20, Y: c.Y + 3}, {X: c.X + 8, Y: c.Y + 9}, {X: c.X + 2, Y: c.Y + 30}}, Turn: turn},
		}).Draw(t, "area")
		p := &carried{Area: area}
		m.Carry(p, parts.KeysOf(reflect.TypeFor[carried]()), func(word string) bool { return word == "edge" })
		for range 20 {
			at := r2.Add(c, r2.Vec{X: rapid.Float64Range(-40, 40).Draw(t, "x"), Y: rapid.Float64Range(-40, 40).Draw(t, "y")})
			require.InDelta(t, area.Distance(at), p.Area.Distance(m.Point(at)), 1e-6)
		}
	})
}
