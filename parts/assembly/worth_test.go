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
	"socle/parts/ground"
	"socle/parts/partstest/fixtures"
	"socle/parts/wall"
)

// fence is a wall along a line.
func fence(name string, line ...r2.Vec) *wall.Wall {
	return &wall.Wall{Named: parts.Named{Name: name}, Line: line, Thickness: 1.5, From: parts.Level{Height: 10}, Height: new(8.0)}
}

// judged judges a round spot of 30 mm on ground with parts.
func judged(at r2.Vec, all ...parts.Part) worth {
	d := 30.0
	b := &base.Base{Round: &d}
	return newSpotJudge(fixtures.GroundWith(all...), 1, true).judge(b, base.NewSpot(b.Footprints()[0], at, 0))
}

// Of the places of a base by a fence, the worst are those where it runs along the rim or
// shows as a sliver, and one where there is nothing is worse than one with a fence across.
func TestWhatASpotIsWorth(t *testing.T) {
	across := fence("fence", r2.Vec{X: 50, Y: -10}, r2.Vec{X: 50, Y: 90})
	at := func(off float64) worth { return judged(r2.Vec{X: 50 + off, Y: 40}, across) }
	require.Greater(t, at(7).points, at(40).points, "a fence against bare ground")
	require.Equal(t, "bare ground", at(40).plain)
	require.Empty(t, at(7).plain)
	require.Equal(t, []string{"fence"}, at(7).shown)
	require.Greater(t, at(7).points, at(13).points, "a sliver of it at the rim")
	require.Greater(t, at(7).points, at(14.6).points, "along the rim")

	along := fence("arc") // round the rim itself, so that all of it is sliced
	along.Line = append(along.Line, parts.Ring(r2.Vec{X: 50, Y: 40}, 14.8, 72)...)
	require.Greater(t, rimCost(rimOf(spotAt(50)), nearAll(along)), rimCost(rimOf(spotAt(50)), nearAll(across))+costSliced/2)

	full := make([]parts.Part, 0, 9) // no room for a foot
	for x := 36.0; x <= 64; x += 3 {
		full = append(full, fence("row"+string(rune('a'+int(x-36)/3)), r2.Vec{X: x, Y: 0}, r2.Vec{X: x, Y: 80}))
	}
	require.Nil(t, judged(r2.Vec{X: 50, Y: 40}, full...).foot)
	free := at(0)
	require.NotNil(t, free.foot)
	require.GreaterOrEqual(t, math.Abs(free.foot.X), 5+0.75-0.1, "clear of the fence by half the foot")
}

func spotAt(x float64) *base.Spot {
	d := 30.0
	return base.NewSpot((&base.Base{Round: &d}).Footprints()[0], r2.Vec{X: x, Y: 40}, 0)
}

func nearAll(p ...parts.Part) (near []*feature) {
	all := features(fixtures.GroundWith(p...), true)
	for i := range all {
		near = append(near, &all[i])
	}
	return near
}

// A lone base is laid where the only thing to see is, with room for a foot, and several
// of one name show what there is between them; each is told with its place.
func TestBasesAreLaidWhereThereIsSomethingToSee(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64Range(1, 1e6).Draw(t, "seed")
		s := fixtures.GroundWith(
			fence("north", r2.Vec{X: 10, Y: 110}, r2.Vec{X: 130, Y: 110}), fence("east", r2.Vec{X: 120, Y: 20}, r2.Vec{X: 120, Y: 80}),
			fence("west", r2.Vec{X: 20, Y: 20}, r2.Vec{X: 20, Y: 80}),
			freeBase("scout", func(b *base.Base) { b.Round, b.Count, b.Seed = new(25.0), 3, seed }))
		s.Parts[0].(*ground.Ground).Size = [2]float64{140, 130}
		laid, faults := lay(s)
		require.Empty(t, faults)
		seen := map[string]bool{}
		for _, l := range laid {
			require.NotEmpty(t, l.worth.shown, "%s", l.name)
			require.NotNil(t, l.worth.foot)
			for _, name := range l.worth.shown {
				seen[name] = true
			}
		}
		require.GreaterOrEqual(t, len(seen), 2, "not all of them show the same")
		sc, err := Assemble(s)
		require.NoError(t, err)
		told := 0
		for _, n := range sc.Notes() {
			if strings.Contains(n.Text, " is placed at (") && n.Part == "scout" {
				require.Contains(t, n.Text, " to show ")
				told++
			}
		}
		require.Equal(t, 3, told)
	})
}

// Where there is nothing to see, the maker is told.
func TestABareSpotIsTold(t *testing.T) {
	sc := assembled(t, fixtures.GroundWith(freeBase("lone", func(b *base.Base) { b.Round = new(25.0) })))
	n := sc.Notes()
	require.Len(t, n, 1)
	require.Contains(t, n[0].Text, "a bare spot, with nothing but bare ground")
	require.Equal(t, []string{"lone", "at"}, []string{n[0].Part, n[0].Key})
	for _, n := range assembled(t, fixtures.GroundWith(fixtures.BaseAt("fixed", func(b *base.Base) { b.Round = new(25.0) }))).Notes() {
		require.NotContains(t, n.Text, "spot", "its place was given")
	}
}

// So much that judging every spot would take long is laid as far apart as it goes.
func TestPlacementOfVeryMuchIsNotJudged(t *testing.T) {
	long := fence("long")
	for i := range mostJudged + 1 {
		long.Line = append(long.Line, r2.Vec{X: 50 + 40*math.Cos(float64(i)), Y: 40 + 30*math.Sin(float64(i))})
	}
	laid, faults := lay(fixtures.GroundWith(long, freeBase("lone", func(b *base.Base) { b.Round = new(25.0) })))
	require.Empty(t, faults)
	require.Nil(t, laid[0].worth)
}
