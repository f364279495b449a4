package parts

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// sightSite is a court with a stair, a crater and a base over both, with a stand.
// A person is 5 mm tall.
func sightSite(set func(b *Base), more ...Part) *Site {
	hit := &Crater{Named: Named{"hit"}, At: r2.Vec{X: 62, Y: 30}, Diameter: 12, Slope: 37, Blanket: 1.2, Roughness: 0.2, Cracks: new(0), Spall: new(0), Seed: 4}
	s, _ := flightSite(append([]Part{hit}, more...)...)
	s.Scale = Scale{Ratio: 350, Person: 1.75, Exaggerate: 1}
	for _, p := range s.Parts {
		if b, ok := p.(*Base); ok {
			b.Round = new(60.0)
			b.Stands = []Stand{{At: r2.Vec{X: -18, Y: -8}, Round: 10, Clear: 20}}
			if set != nil {
				set(b)
			}
		}
	}
	return s
}

func TestSights(t *testing.T) {
	s := sightSite(nil)
	sc, p, got := sightsOf(t, s)
	var names []string
	for _, g := range sc.Sights(p) {
		names = append(names, g.Name)
	}
	require.Equal(t, []string{"stand-1", "stair-stair", "crater-hit"}, names, "always in this order")

	for name, g := range got {
		require.True(t, strings.HasPrefix(name, g.Kind+"-"))
		size := r3.Sub(g.Box.Max, g.Box.Min)
		require.Greater(t, math.Min(size.X, math.Min(size.Y, size.Z)), 2.0, name)
		require.True(t, inBox(r3.Box{Min: r3.Sub(p.Box.Min, sdf.V(1, 1, 0)), Max: r3.Add(p.Box.Max, sdf.V(1, 1, 7))}, g.Box.Min), name)
		require.True(t, inBox(r3.Box{Min: r3.Sub(p.Box.Min, sdf.V(1, 1, 0)), Max: r3.Add(p.Box.Max, sdf.V(1, 1, 7))}, g.Box.Max), name)

		// The figure stands on the surface, in the picture, and has room.
		require.NotNil(t, g.Figure, name)
		foot := *g.Figure
		require.True(t, inBox(g.Box, foot) && inBox(g.Box, r3.Add(foot, sdf.V(0, 0, 5))), name)
		require.InDelta(t, 0, p.Field.Value(foot), 0.02, name)
		require.Less(t, p.Field.Value(r3.Sub(foot, sdf.V(0, 0, 0.1))), 0.0, name)
		for up := 0.5; up <= 5; up += 0.5 {
			require.Greater(t, p.Field.Value(r3.Add(foot, sdf.V(0, 0, up))), 0.0, "%s at %v", name, up)
		}
		require.False(t, math.Abs(g.From) > 180 || math.IsNaN(g.From), name)
	}

	stand := got["stand-1"]
	require.Same(t, p.Base, stand.Part)
	require.InDelta(t, 22, stand.Box.Max.X-stand.Box.Min.X, 1e-9)
	require.InDelta(t, -18, stand.Figure.X, 1e-9)
	require.InDelta(t, -8, stand.Figure.Y, 1e-9)
	require.InDelta(t, -62, stand.From, 1e-9, "nothing stands before it")

	// The whole flight, from the foot and a little aside.
	flight := got["stair-stair"]
	l := flight.Part.(Climber).Flight(sc.site)
	for _, x := range []float64{-10, 0, 10} {
		require.True(t, inBox(flight.Box, p.Pose.Invert(l.Place(x, 0, l.From))), "its foot")
		require.True(t, inBox(flight.Box, p.Pose.Invert(l.Place(x, l.Run(), l.To))), "its head")
	}
	down := r3.Sub(p.Pose.Invert(l.Place(0, -1, 0)), p.Pose.Invert(l.Place(0, 0, 0)))
	require.InDelta(t, 35.0, math.Abs(math.Remainder(flight.From-math.Atan2(down.Y, down.X)*180/math.Pi, 360)), 1e-6)
	require.Equal(t, flight.Part, sc.Nearest(p, *flight.Figure))

	crater := got["crater-hit"]
	for _, q := range Ring(r2.Vec{X: 62, Y: 30}, 6, 12) {
		require.True(t, inBox(crater.Box, p.Pose.Invert(sdf.V(q.X, q.Y, 10))), "its lip")
	}
	require.True(t, inBox(crater.Box, p.Pose.Invert(sdf.V(62, 30, 8))), "its floor")
	away := r2.Norm(r2.Sub(r2.Vec{X: crater.Figure.X, Y: crater.Figure.Y}, flat(p.Pose.Invert(sdf.V(62, 30, 10)))))
	require.Greater(t, away, 6.0)
	require.Less(t, away, 9.0)
}

func flat(v r3.Vec) r2.Vec { return r2.Vec{X: v.X, Y: v.Y} }

// What is not on the piece is no sight of it.
func TestNoSights(t *testing.T) {
	require.Empty(t, assembled(t, sightSite(nil)).Sights(Piece{}), "a piece of no scene")

	_, _, got := sightsOf(t, sightSite(func(b *Base) { b.At, b.Round, b.Stands = &r2.Vec{X: 15, Y: 15}, new(25.0), nil }))
	require.Empty(t, got)

	// A base that takes in a tenth of the crater, and no more than a tread.
	_, _, got = sightsOf(t, sightSite(func(b *Base) { b.At, b.Round, b.Stands = &r2.Vec{X: 75, Y: 30}, new(17.0), nil }))
	require.Empty(t, got)

	// A crater that cuts nothing there is.
	s := sightSite(nil)
	for _, p := range s.Parts {
		if c, ok := p.(*Crater); ok {
			c.Only, c.Rim = []string{"stair"}, new(0.0)
		}
	}
	_, _, got = sightsOf(t, s)
	require.NotContains(t, got, "crater-hit")
	require.Contains(t, got, "stair-stair")
}

// A wall before a stand is looked past.
func TestSightsLookPastWhatStandsBefore(t *testing.T) {
	set := func(b *Base) { b.Turn = new(0.0) }
	_, p, got := sightsOf(t, sightSite(set))
	require.InDelta(t, -62, got["stand-1"].From, 1e-9)
	sin, cos := math.Sincos(-62 * math.Pi / 180)
	foot := p.Pose.Apply(sdf.V(-18+7*cos, -8+7*sin, 0))
	wall := block("slab", sdf.V(foot.X-8, foot.Y-0.5, 5), sdf.V(foot.X+8, foot.Y+0.5, 22))
	sc, p, got := sightsOf(t, sightSite(set, wall))
	stand := got["stand-1"]
	require.Greater(t, math.Abs(math.Remainder(stand.From+62, 360)), 20.0)
	l := newLookout(sc, p)
	sin, cos = math.Sincos(stand.From * math.Pi / 180)
	require.True(t, l.seen(sdf.V(-18, -8, p.Base.padsOn(sc.site, p.berth.spot)[0].top), r3.Unit(sdf.V(cos, sin, math.Tan(35*math.Pi/180)))))
}

// Nobody stands where there is no room, no floor or no level floor.
func TestStanding(t *testing.T) {
	roof := block("roof", sdf.V(20, 18, 12), sdf.V(50, 30, 14))
	sc, p, _ := sightsOf(t, sightSite(func(b *Base) { b.Stands = nil }, roof))
	l := newLookout(sc, p)
	at := func(x, y, z, level float64) *r3.Vec {
		q := p.Pose.Invert(sdf.V(x, y, z))
		return l.Standing(flat(q), q.Z, level > 0)
	}
	require.NotNil(t, at(40, 25, 14, 1), "on the roof")
	require.Nil(t, at(40, 25, 10, 1), "under it")
	require.Nil(t, at(50.2, 25, 14, 1), "off its edge")
	require.Nil(t, at(49.8, 25, 14, 1), "on its edge")
	require.NotNil(t, at(49.8, 25, 14, 0), "on its edge, where that may be")
	require.Nil(t, at(40, 25, 20, 1), "in the air")
	require.Nil(t, at(500, 25, 14, 1), "off the piece")
}
