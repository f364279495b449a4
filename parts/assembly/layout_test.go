package assembly_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/collapse"
	"socle/parts/crater"
	"socle/parts/planar"
	"socle/parts/pockmarks"
	"socle/parts/wall"
	"socle/scenes"
	"socle/sdf"
)

func quay(t require.TestingT) *scenes.Scene {
	text, err := scenes.Open("saltmere-quay")
	require.NoError(t, err)
	s, err := scenes.Read("quay", text, nil)
	require.NoError(t, err)
	return s
}

// Every layout reads, keeps all rules, and holds its sizes to the factors; and it is the
// same whatever the count.
func TestLayoutsKeepTheRulesAndTheirBounds(t *testing.T) {
	scene := quay(t)
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		n := rapid.IntRange(1, 2).Draw(t, "count")
		least := rapid.Float64Range(0.5, 1).Draw(t, "least")
		most := rapid.Float64Range(1, 1.5).Draw(t, "most")
		all, err := assembly.Layouts(scene.Site, assembly.LayoutOptions{Count: n, Seed: seed, Least: least, Most: most})
		require.NoError(t, err)
		require.Len(t, all, n)
		if n > 1 {
			first, err := assembly.Layouts(scene.Site, assembly.LayoutOptions{Count: 1, Seed: seed, Least: least, Most: most})
			require.NoError(t, err)
			require.Equal(t, all[0], first[0])
		}
		for _, l := range all {
			changed, err := scene.With(nil, l.Moves...)
			require.NoError(t, err)
			require.Empty(t, assembly.Check(changed.Site))
			hit := changed.Site.Find("hit").(*crater.Crater)
			for _, size := range [][2]float64{{hit.Diameter, 34}, {*hit.Depth, 6}, {changed.Site.Find("ricochet").(*crater.Gouge).Width, 3}} {
				require.GreaterOrEqual(t, size[0], least*size[1])
				require.LessOrEqual(t, size[0], most*size[1])
			}
			const walkerX, walkerY = 100 - 30, 84 - 22 // its stand
			require.GreaterOrEqual(t, math.Hypot(hit.At.X-walkerX, hit.At.Y-walkerY), hit.Diameter/2+12)
		}
	})
}

func TestLayoutsDiffer(t *testing.T) {
	scene := quay(t)
	var first []assembly.Layout
	for seed := range uint64(5) {
		all, err := assembly.Layouts(scene.Site, assembly.LayoutOptions{Count: 12, Seed: seed})
		require.NoError(t, err)
		seen := map[string]bool{}
		aimed := map[string]int{}
		for _, l := range all {
			seen[fmt.Sprint(l.Moves)] = true
			for _, a := range l.Aimed {
				aimed[a.Piece]++
			}
		}
		assert.Len(t, seen, 12)
		for _, name := range []string{"walker", "gun-crew", "signals", "patrol", "scout-1", "scout-2", "scout-3", "scout-4"} {
			assert.Positive(t, aimed[name], "%s has its turn within 36 hits of seed %d", name, seed)
		}
		first = append(first, all[0])
	}
	for i := range first[1:] {
		assert.NotEqual(t, first[i].Moves, first[i+1].Moves)
	}
}

// What is aimed at a piece takes something away from it: over the layouts, whatever has
// its turn is touched.
func TestLayoutsTouchWhatTheyAimAt(t *testing.T) {
	scene := quay(t)
	all, err := assembly.Layouts(scene.Site, assembly.LayoutOptions{Count: 2, Seed: 9})
	require.NoError(t, err)
	for _, l := range all {
		changed, err := scene.With(nil, l.Moves...)
		require.NoError(t, err)
		hit := slices.DeleteFunc(slices.Clone(changed.Site.Parts), func(p parts.Part) bool { return parts.StageOf(p) == parts.Spilling }) // it only adds
		whole, err := assembly.Assemble(changed.Site.With(hit))
		require.NoError(t, err)
		for _, p := range whole.Pieces() {
			if !slices.ContainsFunc(l.Aimed, func(a assembly.Aim) bool { return a.Piece == p.Name }) || p.Name == "walker" { // which is large, and struck all over
				continue
			}
			_, removed, err := sdf.VolumeBetween(t.Context(), whole.Undamaged(p), p.Field, p.Box, 1)
			require.NoError(t, err)
			assert.Greater(t, removed, 0.5, "%s of layout %d, mm3: %v", p.Name, l.Number, l.Moves)
		}
	}
}

func TestLayoutsKeepToTheFocusAndSpare(t *testing.T) {
	scene := quay(t)
	all, err := assembly.Layouts(scene.Site, assembly.LayoutOptions{Count: 4, Seed: 2, Focus: []string{"walker"}, Spared: []string{"patrol"}})
	require.NoError(t, err)
	for _, l := range all {
		for _, a := range l.Aimed {
			want := "walker"
			if a.Part == "shot-hole" { // the only wall is not on it
				want = ""
			}
			assert.Equal(t, want, a.Piece, a.Part)
		}
		for _, m := range l.Moves {
			assert.NotEqual(t, "shot-hole", m.Part)
		}
		changed, err := scene.With(nil, l.Moves...)
		require.NoError(t, err)
		for _, c := range parts.AllOf[*crater.Crater](changed.Site) { // the box of patrol is 60 x 35 about (205, 142)
			gap := math.Hypot(max(0, math.Abs(c.At.X-205)-30), max(0, math.Abs(c.At.Y-142)-17.5))
			assert.GreaterOrEqual(t, gap, c.Diameter/2*c.Blanket-3*0.42-1, c.Name) // its corners are rounded
		}
	}
	_, err = assembly.Layouts(scene.Site, assembly.LayoutOptions{Count: 1, Focus: []string{"walkr"}})
	assert.ErrorContains(t, err, `no base "walkr"; it has: `)
	_, err = assembly.Layouts(scene.Site, assembly.LayoutOptions{Count: 1, Focus: []string{"walker"}, Spared: []string{"walker"}})
	assert.ErrorContains(t, err, "one of both")
	_, err = assembly.Layouts(scene.Site, assembly.LayoutOptions{Count: assembly.MostLayouts + 1})
	assert.ErrorContains(t, err, "1 to 64")
}

func TestLayoutsWantDamage(t *testing.T) {
	s, err := scenes.Read("flat", []byte("[scale]\nratio = 56\n[levels]\nq = 3\n[ground]\nsize=[60,60]\nlevel=\"q\"\n[[base]]\nname=\"a\"\nround=25\n"), nil)
	require.NoError(t, err)
	_, err = assembly.Layouts(s.Site, assembly.LayoutOptions{Count: 1})
	assert.ErrorContains(t, err, "no damage to lay out")
	assert.False(t, slices.ContainsFunc(s.Site.Parts, func(p parts.Part) bool { _, is := p.(parts.Movable); return is }))
}

// A breach is laid in whichever wall is near, within it, on the piece that it is aimed at.
func TestLayoutsMoveBreaches(t *testing.T) {
	const text = `[scale]
ratio = 56
[levels]
yard = 3
[ground]
size = [160, 80]
level = "yard"
[[wall]]
name = "north"
line = [[10, 60], [80, 60], [80, 75]]
from = "yard"
height = 24
[[wall]]
name = "south"
line = [[90, 20], [150, 20]]
from = "yard"
height = 16
[[breach]]
name = "hole"
wall = "north"
at = 30
width = 12
height = 10
[[base]]
name = "left"
round = 50
at = [40, 50]
[[base]]
name = "right"
round = 40
at = [120, 30]
`
	s, err := scenes.Read("walls", []byte(text), nil)
	require.NoError(t, err)
	aimed, walls := map[string]int{}, map[string]int{}
	for seed := range uint64(4) {
		all, err := assembly.Layouts(s.Site, assembly.LayoutOptions{Count: 6, Seed: seed})
		require.NoError(t, err)
		for _, l := range all {
			changed, err := s.With(nil, l.Moves...)
			require.NoError(t, err, "%v", l.Moves)
			require.Empty(t, assembly.Check(changed.Site))
			b := changed.Site.Find("hole").(*wall.Breach)
			require.GreaterOrEqual(t, b.Width, 0.7*12)
			require.LessOrEqual(t, b.Width, 1.4*12)
			aimed[l.Aimed[0].Piece]++
			walls[b.Wall]++
			require.Equal(t, b.Wall == "south", l.Aimed[0].Piece == "right")
		}
	}
	require.Greater(t, aimed["left"], 6, "%v", aimed)
	require.Greater(t, aimed["right"], 6, "%v", aimed)

	only, err := s.With([]string{`breach.hole.only=["north"]`})
	require.NoError(t, err)
	all, err := assembly.Layouts(only.Site, assembly.LayoutOptions{Count: 6})
	require.NoError(t, err)
	for _, l := range all {
		require.Equal(t, []assembly.Aim{{Part: "hole", Piece: "left"}}, l.Aimed, "it stays in the wall that it may touch")
	}
}

// rows are two walls with a base at each, for damage that is set on walls.
const rows = `[scale]
ratio = 56
[levels]
yard = 3
[ground]
size = [160, 80]
level = "yard"
[[wall]]
name = "north"
line = [[10, 60], [80, 60], [80, 75]]
from = "yard"
height = 24
thickness = 6
[[wall]]
name = "south"
line = [[90, 20], [150, 20]]
from = "yard"
height = 16
thickness = 6
[[base]]
name = "left"
round = 50
at = [40, 50]
[[base]]
name = "right"
round = 40
at = [120, 30]
`

// A collapse comes down in whichever wall is near, and marks lie on that or about a burst on
// the piece: within their rules, of sizes within the factors, and each piece has its turn.
func TestLayoutsMoveCollapsesAndPockmarks(t *testing.T) {
	for name, damage := range map[string]string{
		"collapse": `[[collapse]]
name = "it"
of = "north"
from = 20
to = 34
stump = 6
`,
		"on a wall": `[[pockmarks]]
name = "it"
on = "north"
at = [40, 45]
from = 20
to = 50
count = 12
`,
		"on a floor": `[[pockmarks]]
name = "it"
at = [40, 40]
count = 12
`,
	} {
		t.Run(name, func(t *testing.T) {
			s, err := scenes.Read("rows", []byte(rows+damage), nil)
			require.NoError(t, err)
			require.Empty(t, assembly.Check(s.Site))
			aimed, seen := map[string]int{}, map[string]bool{}
			for seed := range uint64(2) {
				all, err := assembly.Layouts(s.Site, assembly.LayoutOptions{Count: 5, Seed: seed})
				require.NoError(t, err)
				for n, l := range all {
					changed, err := s.With(nil, l.Moves...)
					require.NoError(t, err, "%v", l.Moves)
					require.Empty(t, assembly.Check(changed.Site), "%v", l.Moves)
					aimed[l.Aimed[0].Piece]++
					seen[fmt.Sprint(l.Moves)] = true
					on := map[string]string{"left": "north", "right": "south"}[l.Aimed[0].Piece]
					switch d := changed.Site.Find("it").(type) {
					case *collapse.Collapse:
						require.Equal(t, on, d.Of)
						run := *d.To - *d.From
						require.True(t, run >= 0.7*14-0.1 && run <= 1.4*14+0.1, "%v", run)
						require.True(t, d.Stump >= 0.7*6 && d.Stump <= 1.4*6, "%v", d.Stump)
					case *pockmarks.Pockmarks:
						if name == "on a wall" {
							require.Equal(t, on, d.On)
							require.InDelta(t, 30, *d.To-*d.From, 1e-9)
							line := changed.Site.Find(d.On).(*wall.Wall).Line
							_, off := planar.NearestAlong(line, *d.At)
							require.InDelta(t, 15, off, 0.75, "as far from the wall as it was, on a lattice of half a mm")
						}
						require.NotEqual(t, uint64(1), d.Seed)
					}
					if n > 1 {
						continue
					}
					whole, err := assembly.Assemble(changed.Site)
					require.NoError(t, err)
					for _, p := range whole.Pieces() {
						if p.Name == l.Aimed[0].Piece {
							_, removed, err := sdf.VolumeBetween(t.Context(), whole.Undamaged(p), p.Field, p.Box, 0.5)
							require.NoError(t, err)
							require.Greater(t, removed, 0.05, "mm3 of what it is aimed at: %v", l.Moves)
						}
					}
				}
			}
			require.Len(t, seen, 10, "each lies elsewhere")
			require.Greater(t, aimed["left"], 2, "%v", aimed)
			require.Greater(t, aimed["right"], 2, "%v", aimed)
		})
	}
}

// Damage that can lie nowhere else stays, on a stand too, and moves nothing.
func TestLayoutsLeaveWhatCannotMove(t *testing.T) {
	s, err := scenes.Read("rows", []byte(rows+`[[pockmarks]]
name = "it"
area = { rect = [131, 54, 20, 15] }
[[base]]
name = "manned"
round = 30
at = [141, 62]
[[base.stand]]
round = 10
`), nil)
	require.NoError(t, err)
	all, err := assembly.Layouts(s.Site, assembly.LayoutOptions{Count: 2})
	require.NoError(t, err)
	for _, l := range all {
		require.Equal(t, []assembly.Aim{{Part: "it"}}, l.Aimed)
		require.Empty(t, l.Moves)
	}
}
