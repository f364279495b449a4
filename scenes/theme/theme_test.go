package theme

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/scenes"
)

// drawList draws a list of bases.
func drawList(t *rapid.T) string {
	all := shapes()
	var words []string
	left := rapid.SampledFrom([]int{3, 12, 12, MostBases}).Draw(t, "in all")
	for range rapid.IntRange(1, 5).Draw(t, "entries") {
		if left == 0 {
			break
		}
		s := rapid.SampledFrom(all).Draw(t, "shape")
		most := rapid.SampledFrom([]float64{35, 60, 120, s.most}).Draw(t, "at most")
		size := func() float64 { return math.Round(10*rapid.Float64Range(s.least, most).Draw(t, "size")) / 10 }
		count := rapid.IntRange(1, min(left, 14)).Draw(t, "count")
		left -= count
		text := s.word
		if a := size(); s.two {
			b := size()
			text += fmt.Sprintf("%gx%gx%d", math.Max(a, b), math.Min(a, b), count)
		} else {
			text += fmt.Sprintf("%gx%d", a, count)
		}
		words = append(words, text)
	}
	return strings.Join(words, ",")
}

// read reads what was made; it must be without fault.
func read(t require.TestingT, m *Made) *scenes.Scene {
	s, err := scenes.Read("made.toml", []byte(m.Text), nil)
	require.NoError(t, err, m.Text)
	return s
}

// TestEveryListGetsItsSet: any theme, list and seed gives a scene without fault
// that holds every base of the list with its own footprint, within the ground,
// each at least 1 mm from the next, with something to show and no rail cut.
func TestEveryListGetsItsSet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ask := Ask{
			Theme: rapid.SampledFrom(Names()).Draw(t, "theme"),
			Bases: drawList(t),
			Seed:  rapid.Uint64Range(0, 1<<40).Draw(t, "seed"),
			Scale: float64(rapid.SampledFrom([]int{0, 0, 20, 35, 56, 72, 100, 160, 285, 600}).Draw(t, "scale")),
		}
		m, err := Scene(ask)
		require.NoError(t, err)
		s := read(t, m)

		list, err := readList(ask.Bases)
		require.NoError(t, err)
		want, have := map[foot]int{}, map[foot]int{}
		total := 0
		for _, e := range list {
			want[e.foot] += e.count
			total += e.count
		}
		require.Equal(t, total, m.Bases)
		ground := parts.AllOf[*parts.Ground](s.Site)[0]
		require.Equal(t, m.Ground, ground.Size)
		for _, b := range parts.AllOf[*parts.Base](s.Site) {
			have[footOf(b)]++
			l := layOf(b)
			for _, p := range l.outline {
				require.True(t, p.X >= leastGap && p.Y >= leastGap && p.X <= ground.Size[0]-leastGap && p.Y <= ground.Size[1]-leastGap, "%s: %v", b.Name, p)
			}
		}
		require.Equal(t, want, have)
		require.Empty(t, Check(s))

	})
}

// TestSameArgumentsSameBytes: the text depends on the arguments alone, and another
// seed makes another place: not only another number at its head.
func TestSameArgumentsSameBytes(t *testing.T) {
	for _, name := range Names() {
		ask := Ask{Theme: name, Bases: "oval80x50,round40x3,round28x2", Seed: 7}
		first, err := Scene(ask)
		require.NoError(t, err)
		again, err := Scene(ask)
		require.NoError(t, err)
		require.Equal(t, first, again)
		places := func(m *Made) (out []r2.Vec) {
			for _, b := range parts.AllOf[*parts.Base](read(t, m).Site) {
				out = append(out, *b.At)
			}
			return out
		}
		ask.Seed++
		other, err := Scene(ask)
		require.NoError(t, err)
		require.NotEqual(t, places(first), places(other), name)
	}
}

// TestVariantsAreSound: every variant that is written reads without a fault and
// cuts no rail.
func TestVariantsAreSound(t *testing.T) {
	for _, name := range Names() {
		for seed := range uint64(4) {
			m, err := Scene(Ask{Theme: name, Seed: seed})
			require.NoError(t, err)
			s := read(t, m)
			require.NotEmpty(t, s.Variants)
			for _, v := range s.Variants {
				changed, err := s.Variant(v.Name)
				require.NoError(t, err, "%s %d %s", name, seed, v.Name)
				require.Empty(t, Check(changed), "%s %d %s", name, seed, v.Name)
			}
		}
	}
}

var _ = r2.Vec{}
var _ = r3.Vec{}
