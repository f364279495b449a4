package scenes

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func differencesOf(t *testing.T, a, b string, setsOfB ...string) []Difference {
	was, err := Read("a.toml", []byte(a), nil)
	require.NoError(t, err)
	now, err := Read("b.toml", []byte(b), setsOfB)
	require.NoError(t, err)
	found := Differences(was, now)
	back := Differences(now, was)
	require.Len(t, back, len(found), "there and back")
	for _, d := range found {
		require.Contains(t, back, Difference{d.Path, d.Now, d.Was, d.Removed, d.Added})
	}
	return found
}

func TestDifferences(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		want           []Difference
	}{
		{"a length", `to = "mole"`, "to = \"mole\"\nwidth = \"3 m\"", []Difference{{Path: "stair.water-stair.width", Now: `"3 m"`}}},
		{"a level", `mole = "3.1 m"`, `mole = "3 m"`, []Difference{{Path: "levels.mole", Was: `"3.1 m"`, Now: `"3 m"`}}},
		{"a level more", "quay = 3\n", "quay = 3\nroof = 9 # high\n", []Difference{{Path: "levels.roof", Now: "9"}}},
		{"the title", `title = "Quay"`, `title = "Old Quay"`, []Difference{{Path: "title", Was: `"Quay"`, Now: `"Old Quay"`}}},
		{"a table more", "[ground]", "[printer]\nlayer = 0.03\n[ground]", []Difference{{Path: "printer.layer", Now: "0.03"}}},
		{"a table in a table", "rect = [0, 95, 220, 65]", "round = [110, 120, 50]", []Difference{
			{Path: "deck.mole.area.round", Now: "[110, 120, 50]"}, {Path: "deck.mole.area.rect", Was: "[0, 95, 220, 65]"}}},
		{"one of a list of tables", "disc = [3, 1]", "disc = [4, 1]", []Difference{{Path: "base.base-1.magnet[1].disc", Was: "[3, 1]", Now: "[4, 1]"}}},
		{"fewer of a list of tables", ", { disc = [3, 1], at = [[20,   0]] }", "", []Difference{
			{Path: "base.base-1.magnet[1]", Was: "{ disc = [3, 1], at = [[20, 0]] }", Removed: true}}},
		{"a part more", "[[base]]", "[[crater]]\nname = \"hit\"\nat = [20, 20]\ndiameter = 10\n[[base]]", []Difference{{Path: "crater.hit", Added: true}}},
		{"another name", `"water-stair"`, `"wet-stair"`, []Difference{{Path: "stair.wet-stair", Added: true}, {Path: "stair.water-stair", Removed: true}}},
		{"numbers alike", "quay = 3\n", "quay = 3.0\n", nil},
		{"lengths alike", `"3.1 m"`, `"310cm"`, nil},
		{"feet alike", `"3.1 m"`, `"3100 mm"`, nil},
		{"a name that is made", "[[base]]\n", "[[base]]\nname = \"base-1\"\n", nil},
		{"comments and blanks", "[60, 40]", "[ 60,\n  40.0 ] # here", nil},
		{"a variant", "[[base]]", "[[variant]]\nname = \"x\"\nset = { seed = 2 }\n[[base]]", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(quay, "[[20, 0]]", "[[20,   0]]", 1)
			changed := strings.Replace(text, c.old, c.new, 1)
			require.NotEqual(t, text, changed)
			require.Equal(t, c.want, differencesOf(t, text, changed))
		})
	}
}

// TestDifferencesKeepTheOrderOfTheText, of the second one's.
func TestDifferencesKeepTheOrderOfTheText(t *testing.T) {
	cut := strings.Index(quay, "[[deck]]")
	deck, rest := quay[cut:strings.Index(quay, "[[stair]]")], quay[strings.Index(quay, "[[stair]]"):]
	require.Empty(t, differencesOf(t, quay, quay[:cut]+rest+deck), "parts may stand anywhere")
	moved := strings.NewReplacer("facing = \"north\"", "width = 9\nfacing = \"north\"", "at = [60, 40]", "at = [70, 40]", "level = \"mole\"", "level = 14").
		Replace(quay[:cut] + rest + deck)
	var paths []string
	for _, d := range differencesOf(t, quay+"turn = 3\n", moved, "seed=3", "printer.layer=0.04", "base.base-1.lift=1") {
		paths = append(paths, d.Path)
	}
	require.Equal(t, []string{"seed", "stair.water-stair.width", "base.base-1.at", "base.base-1.lift", "base.base-1.turn", "deck.mole.level", "printer.layer"}, paths)
}

// TestDifferencesUnderHeaders: tables with headers of their own are the same as those
// in braces.
func TestDifferencesUnderHeaders(t *testing.T) {
	const magnets = "magnet = [{ disc = [5, 1] }, { disc = [3, 1], at = [[20, 0]] }]\n"
	headed := strings.Replace(quay, magnets, "[[base.magnet]]\ndisc = [5, 1]\n[[base.magnet]]\ndisc = [3, 1]\nat = [[20, 0]]\n", 1)
	require.Empty(t, differencesOf(t, quay, headed))
	more := headed + "[[base.magnet]]\ndisc = [2, 1]\nat = [[0, 9]]\n"
	require.Equal(t, []Difference{{Path: "base.base-1.magnet[2]", Now: "{ disc = [2, 1], at = [[0, 9]] }", Added: true}}, differencesOf(t, quay, more))
}

// TestDifferencesAreWhatSetsSay: a variant differs from its scene in what it changes,
// and what is different, put back as --set texts, makes the one of the other.
func TestDifferencesAreWhatSetsSay(t *testing.T) {
	s, err := Read("quay.toml", []byte(quayVariants), nil)
	require.NoError(t, err)
	for _, v := range s.Variants {
		changed, err := s.Variant(v.Name)
		require.NoError(t, err)
		with, err := changed.With([]string{"title=Another", "stair.water-stair.facing=north", `levels.quay = 3.0`, "scale.ratio=285.5"})
		require.NoError(t, err)
		var sets []string
		found := Differences(s, with)
		require.NotEmpty(t, found)
		for _, d := range found {
			require.NotContains(t, []string{"stair.water-stair.facing", "levels.quay"}, d.Path, "the same value")
			sets = append(sets, d.Path+"="+d.Now)
		}
		again, err := s.With(sets)
		require.NoError(t, err)
		require.Equal(t, with.Site, again.Site)
		require.Empty(t, Differences(with, again))
	}
	require.Empty(t, Differences(s, s))
}
