package assembly

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/crater"
	"socle/parts/ground"
	"socle/parts/partstest"
	"socle/parts/partstest/fixtures"
	"socle/parts/planar"
	"socle/parts/wall"
	"socle/sdf/sdftest"
)

// What lies wholly off the ground, by sampling: a part is on it where any point of it is.
func TestOffGroundAgreesWithSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := &ground.Ground{Named: parts.Named{Name: "ground"}, Size: [2]float64{60, 40}}
		s := &parts.Site{Parts: []parts.Part{g}}
		at := func(what string) r2.Vec {
			return r2.Vec{X: rapid.Float64Range(-60, 120).Draw(t, what+" x"), Y: rapid.Float64Range(-60, 100).Draw(t, what+" y")}
		}
		line := []r2.Vec{at("a"), at("b")}
		wide := rapid.Float64Range(0, 20).Draw(t, "wide")
		w := &wall.Wall{Named: parts.Named{Name: "wall"}, Line: line, Thickness: 2 * wide}
		least := 1e9 // from the ground to the line
		const steps = 2000
		for i := range steps + 1 {
			p := r2.Add(line[0], r2.Scale(float64(i)/steps, r2.Sub(line[1], line[0])))
			least = min(least, max(0, planar.Polygon(sdftest.Corners(0, 0, 60, 0, 60, 40, 0, 40)).At(p)))
		}
		if d := least - wide; d > 0.1 || d < -0.1 {
			require.Equal(t, d > 0, len(offLand(s, w)) > 0, "%.3f mm from the ground, %.3f to each side", least, wide)
		}
	})
}

// Of a stair round a deck, at any turn: it is at fault where it comes up from within.
func TestBuriedFlights(t *testing.T) {
	for facing := 0.0; facing < 360; facing += 15 {
		s := partstest.Quarry(100, 1)
		d := fixtures.DeckAt(20, 20, 20, 60, 60)
		st := fixtures.FlightOf(0, 20)
		st.Foot, st.Head, st.Facing, st.Width = nil, &r2.Vec{X: 50, Y: 20}, facing, 6
		s.Parts = []parts.Part{d, st}
		found := st.CheckPlace(s)
		require.Equal(t, facing > 180, len(found) == 1, "facing %v", facing)
		for _, f := range found {
			require.Equal(t, "facing", f.Key)
		}
	}
	// Out of a pit, into its side and from above it.
	s := partstest.Quarry(100, 1)
	g := fixtures.FlatGround()
	g.Sunk = []ground.Terrace{{Area: parts.Area{Rect: []float64{10, 5, 40, 25}}, Level: parts.Level{Height: -2}, Bank: 90}}
	st := fixtures.FlightOf(-2, g.Level.Height)
	st.Foot, st.Head, st.Width = nil, &r2.Vec{X: 40, Y: 30}, 6
	s.Parts = []parts.Part{g, st}
	require.Empty(t, st.CheckPlace(s))
	st.Facing = 270
	require.Len(t, st.CheckPlace(s.With(s.Parts)), 1)
}

func TestNotesOfWhatIsIdle(t *testing.T) {
	notes := func(more ...parts.Part) map[string]string {
		s, _ := flightSite(more...)
		sc, err := Assemble(s)
		require.NoError(t, err)
		told := map[string]string{}
		for _, n := range sc.Notes() {
			told[n.Part] += n.Text
		}
		return told
	}
	wall := func(name string, x float64) *wall.Wall {
		return &wall.Wall{Named: parts.Named{Name: name}, Line: []r2.Vec{{X: x, Y: 30}, {X: x, Y: 40}},
			From: parts.Level{Height: 10}, Height: new(8.0), Thickness: 2, Coursing: "plain"}
	}
	crater := func(name string, x float64) *crater.Crater {
		return &crater.Crater{Named: parts.Named{Name: name}, At: r2.Vec{X: x, Y: 40}, Diameter: 8, Slope: 37, Seed: 4}
	}
	ladder := fixtures.FlightOf(10, 16)
	ladder.Name, ladder.Foot, ladder.Width = "ladder", &r2.Vec{X: 10, Y: 30}, 6
	told := notes(wall("near", 40), wall("far", 5), crater("hit", 60), crater("miss", 95), ladder)
	require.Contains(t, told["far"], "reaches no base")
	require.Contains(t, told["miss"], "reaches no base")
	require.NotContains(t, told["near"], "reaches no base")
	require.NotContains(t, told["hit"], "reaches no base")
	require.Contains(t, told["ladder"], "leads to nothing")
	require.NotContains(t, told["stair"], "leads to nothing")
}
