package scenes_test

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/column"
	"socle/parts/planar"
	"socle/scenes"
	"socle/scenes/scenestest"
)

const yard = `
[scale]
ratio = 56
[levels]
floor = 0
[ground]
size = [400, 400]
level = "floor"
[[base]]
name = "b"
round = 40
at = [40, 40]
`

func read(t *testing.T, text string, sets ...string) *scenes.Scene {
	t.Helper()
	s, err := scenes.Read("groups.toml", []byte(text), sets)
	require.NoError(t, err, "%s", text)
	return s
}

// TestGroupsAreWhatIsWrittenOut: the parts of two places, of which one lies in another
// group and is mirrored, are those of a scene that has them written out.
func TestGroupsAreWhatIsWrittenOut(t *testing.T) {
	grouped := read(t, yard+`
[[group]]
name = "bay"
with = { high = "3 m", of = "floor" }
[[group.deck]]
name = "dais"
level = "$of + 6"
area = { rect = [0, -4, 20, 12] }
[[group.rail]]
along = "dais"
edge = "south"
[[group.barrel]]
name = "stock"
at = [[-6, 3], [-6, -5]]
height = "$high"

[[group]]
name = "hall"
[[group.place]]
group = "bay"
name = "left"
at = [[10, 20]]
mirror = true
set = { high = 9 }

[[place]]
group = "bay"
at = [[100, 50]]
[[place]]
group = "hall"
name = "west"
at = [[200, 200], [300, 200]]
turn = 90
`)
	written := read(t, yard+`
[[deck]]
name = "bay-1-dais"
level = 6
area = { rect = [100, 46, 20, 12] }
[[deck]]
name = "west-1-left-dais"
level = 6
area = { rect = [172, 214, 20, 12], turn = 90 }
[[deck]]
name = "west-2-left-dais"
level = 6
area = { rect = [272, 214, 20, 12], turn = 90 }
[[rail]]
name = "bay-1-rail-1"
along = "bay-1-dais"
edge = "south"
[[rail]]
name = "west-1-left-rail-1"
along = "west-1-left-dais"
edge = "west"
[[rail]]
name = "west-2-left-rail-1"
along = "west-2-left-dais"
edge = "west"
[[barrel]]
name = "bay-1-stock"
at = [[94, 53], [94, 45]]
height = "3 m"
[[barrel]]
name = "west-1-left-stock"
at = [[183, 204], [175, 204]]
height = 9
turn = 90
[[barrel]]
name = "west-2-left-stock"
at = [[283, 204], [275, 204]]
height = 9
turn = 90
`)
	require.Len(t, grouped.Site.Parts, len(written.Site.Parts))
	for _, want := range written.Site.Parts {
		got := grouped.Site.Find(want.Label())
		require.NotNil(t, got, want.Label())
		require.Equal(t, plainText(want), plainText(got))
	}
}

// plainText is a part as text, its numbers to a millionth.
func plainText(p parts.Part) string {
	text, err := json.Marshal(p)
	if err != nil {
		panic(err)
	}
	number := regexp.MustCompile(`-?\d+\.?\d*(e-?\d+)?`)
	return fmt.Sprintf("%T ", p) + number.ReplaceAllStringFunc(string(text), func(s string) string {
		v, _ := strconv.ParseFloat(s, 64)
		return fmt.Sprintf("%.6f", math.Round(v*1e6)/1e6+0)
	})
}

// TestGroupsMoveAsOne takes all parts of random scenes but the ground and the bases as a
// group: wherever that is placed, what its parts cover on the plan moves with it.
func TestGroupsMoveAsOne(t *testing.T) {
	t.Parallel()
	header := regexp.MustCompile(`(?m)^\[\[([a-z-]+)\]\]`)
	rows := regexp.MustCompile(`(?m)^area = \{ polygon`)
	seen := map[string]bool{}
	for seed := uint64(1); seed <= 8; seed++ {
		d := scenestest.Draw(seed)
		words := []string{"base", "variant", "trim"} // a trim is as wide as the scene
		text := d.Without(words...)
		body := text[strings.Index(text, "[ground]"):]
		body = body[strings.Index(body, "\n[[")+1:]
		for strings.HasPrefix(body, "[[ground.") {
			body = body[strings.Index(body[1:], "\n[[")+2:]
		}
		body = header.ReplaceAllString(body, "[[group.$1]]")
		body = regexp.MustCompile(`edge = "(north|east|south|west)"`).ReplaceAllString(body, `edge = "all"`)
		scene := func(place string) (*scenes.Scene, error) {
			head := text[:strings.Index(text, "[ground]")] + "[ground]\nsize = [600, 600]\nlevel = \"low\"\n[[base]]\nname = \"b\"\nround = 40\nat = [40, 40]\n"
			return scenes.Read("random.toml", []byte(head+"[[group]]\nname = \"all\"\n"+body+"[[place]]\nname = \"p\"\ngroup = \"all\"\n"+place), nil)
		}
		still, err := scene("at = [[250, 250]]\n")
		if err != nil {
			continue // on another ground it breaks a rule
		}
		for _, m := range []parts.Motion{{Turn: 37.5, At: r2.Vec{X: 300, Y: 280}}, {Mirror: true, Turn: -90, At: r2.Vec{X: 260, Y: 310}}} {
			moved, err := scene(fmt.Sprintf("at = [[%g, %g]]\nturn = %g\nmirror = %v\n", m.At.X, m.At.Y, m.Turn, m.Mirror))
			require.NoError(t, err, "seed %d\n%s", seed, text)
			for _, p := range still.Site.Parts {
				placed, ok := p.(parts.Placed)
				if _, damage := p.(parts.Damager); !ok || damage || slices.Contains([]string{"base", "ground"}, parts.WordOf(p)) {
					continue
				}
				other := moved.Site.Find(p.Label()).(parts.Placed)
				was, now := placed.Extents(still.Site), other.Extents(moved.Site)
				if rows.MatchString(blockOf(body, p.Label())) && len(now) != len(was) {
					continue // a corner of the polygon lies on a row: in or out by the last digit
				}
				require.Len(t, now, len(was), "seed %d, %s\n%s", seed, p.Label(), body)
				seen[parts.WordOf(p)] = true
				for _, e := range was {
					for _, q := range e.Points {
						q = m.Point(r2.Sub(q, r2.Vec{X: 250, Y: 250}))
						far := math.Inf(1)
						for _, f := range now {
							for i, r := range f.Points { // corners of circles lie anywhere on them
								far = math.Min(far, planar.SegmentDistance(q, r, f.Points[(i+1)%len(f.Points)]))
							}
						}
						require.Less(t, far, 0.02, "seed %d, %s at %v\n%s", seed, p.Label(), q, body)
					}
				}
			}
		}
	}
	for _, word := range []string{"deck", "wall", "column", "paving", "barrel", "fence", "kerb", "sandbags"} {
		require.True(t, seen[word], "no %s was moved: %v", word, seen)
	}
}

// blockOf is the text of one part of a group that is placed as "p".
func blockOf(body, label string) string {
	at := strings.Index(body, "name = \""+strings.TrimPrefix(label, "p-")+"\"")
	text, _, _ := strings.Cut(body[at:], "[[group.")
	return text
}

const shed = yard + `
[[group]]
name = "bay"
with = { high = 20 }
[[group.column]]
name = "pier"
at = [[0, 0]]
level = "floor"
height = "$high"
diameter = 4
[[group.crater]]
name = "hit"
at = [12, 0]
diameter = 10
[[place]]
group = "bay"
name = "east"
at = [[60, 40], [60, 80]]
turn = 90
[[variant]]
name = "v"
set = { "place.east.at" = [[60, 40], [60, 80], [60, 120]], "column.east-3-pier.height" = 33 }
`

// TestGroupsTakeValues: values are put over a group, over a place, and over one part of
// one place; those of a part are told in the scene's plan.
func TestGroupsTakeValues(t *testing.T) {
	height := func(s *scenes.Scene, n int) float64 {
		return s.Site.Find(fmt.Sprintf("east-%d-pier", n)).(*column.Column).Height
	}
	require.Equal(t, 20.0, height(read(t, shed), 1))
	require.Equal(t, 25.0, height(read(t, shed, "group.bay.with.high=25"), 2))
	require.Equal(t, 26.0, height(read(t, shed, "place.east.set.high=26"), 1))
	s := read(t, shed, "column.east-2-pier.height=27", "place.east.turn=0", "group.bay.crater.hit.diameter=9")
	require.Equal(t, 20.0, height(s, 1))
	require.Equal(t, 27.0, height(s, 2))

	at := func(s *scenes.Scene, name string) r2.Vec {
		return s.Site.Find(name).(parts.Placed).Extents(s.Site)[0].Points[0]
	}
	require.InDelta(t, 0, r2.Norm(r2.Sub(at(s, "east-1-hit"), r2.Vec{X: 72, Y: 40})), 1e-9)
	s = read(t, shed)
	require.InDelta(t, 0, r2.Norm(r2.Sub(at(s, "east-2-hit"), r2.Vec{X: 60, Y: 92})), 1e-9)
	s, err := s.With([]string{"crater.east-2-hit.at=[70, 100]"})
	require.NoError(t, err)
	require.Equal(t, r2.Vec{X: 70, Y: 100}, at(s, "east-2-hit"))
	s, err = s.With([]string{"group.bay.crater.hit.at=[15, 0]"}) // the hole that was moved by hand stays
	require.NoError(t, err)
	require.Equal(t, r2.Vec{X: 70, Y: 100}, at(s, "east-2-hit"))
	require.InDelta(t, 0, r2.Norm(r2.Sub(at(s, "east-1-hit"), r2.Vec{X: 60, Y: 55})), 1e-9)

	v, err := read(t, shed).Variant("v")
	require.NoError(t, err)
	require.Equal(t, 33.0, height(v, 3))

	for _, set := range []string{"place.west.at=[[1, 2]]", "place.east.set.wide=3", "group.bay.with.wide=3", "group.bay.column.post.height=3", "column.east-3-pier.height=3"} {
		_, err := scenes.Read("shed.toml", []byte(shed), []string{set})
		require.Error(t, err, set)
		require.Contains(t, err.Error(), "allowed: ", set)
	}
}

// TestOneAreaIsToldAtOnce: a part of an area cannot be changed while its group tells the rest.
func TestOneAreaIsToldAtOnce(t *testing.T) {
	const dais = yard + `
[[group]]
name = "stage"
[[group.deck]]
name = "dais"
level = 6
area = { rect = [0, 0, 20, 12] }
[[place]]
group = "stage"
name = "s"
at = [[60, 40]]
turn = 30
`
	_, err := scenes.Read("dais.toml", []byte(dais), []string{"deck.s-dais.area.turn=10"})
	require.ErrorContains(t, err, "the rest of its area is told by its group")
	read(t, dais, "deck.s-dais.area={ rect = [80, 80, 20, 12] }")
}

// TestKeptValuesOfGroups: a variant that changes a place is kept in the file.
func TestKeptValuesOfGroups(t *testing.T) {
	text, err := scenes.Keep([]byte(shed), "low", "", []string{"place.east.set.high=5", "column.east-1-pier.height=7"})
	require.NoError(t, err)
	s, err := read(t, string(text)).Variant("low")
	require.NoError(t, err)
	require.Equal(t, 5.0, s.Site.Find("east-2-pier").(*column.Column).Height)
	require.Equal(t, 7.0, s.Site.Find("east-1-pier").(*column.Column).Height)
}

// TestOneMorePlaceMovesNoOther: parts of the places that were there stay as they are.
func TestOneMorePlaceMovesNoOther(t *testing.T) {
	few, more := read(t, shed), read(t, shed, "place.east.at=[[60, 40], [60, 80], [160, 40]]")
	for _, p := range few.Site.Parts {
		require.Equal(t, plainText(p), plainText(more.Site.Find(p.Label())))
	}
	require.Len(t, slices.DeleteFunc(slices.Clone(more.Site.Parts), func(p parts.Part) bool { return few.Site.Find(p.Label()) != nil }), 2)
}

// TestKeysSayHowTheyMove: a key that tells sides or turns says how a group takes it along.
func TestKeysSayHowTheyMove(t *testing.T) {
	for _, kind := range parts.Kinds() {
		if kind.Once {
			continue
		}
		sided := slices.ContainsFunc(kind.Keys(), func(k parts.Key) bool { return k.Plan == "left" })
		var walk func(path string, keys []parts.Key)
		walk = func(path string, keys []parts.Key) {
			for _, k := range keys {
				at := path + "." + k.Word
				if slices.Contains(k.Words, "left") && k.Type == parts.Word && !sided {
					require.Equal(t, "flank", k.Plan, at)
				}
				if slices.Contains(k.Words, "north") && k.Type == parts.Word {
					require.Equal(t, "side", k.Plan, at)
				}
				if k.Type == parts.Angle && k.Word == "turn" {
					require.Contains(t, []string{"turn", "aside"}, k.Plan, at)
				}
				require.Contains(t, []string{"", "turn", "aside", "own", "left", "side", "flank"}, k.Plan, at)
				walk(at, k.Sub)
			}
		}
		walk(kind.Word, kind.Keys())
	}
}
