package theme

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestListsAreRead(t *testing.T) {
	for _, c := range []struct {
		text string
		want []entry
	}{
		{"round32x10,round60x2,oval120x92", []entry{{foot{"round", 32, 32}, 10}, {foot{"round", 60, 60}, 2}, {foot{"oval", 120, 92}, 1}}},
		{" oval120x92x3 , hexagon40", []entry{{foot{"oval", 120, 92}, 3}, {foot{"hexagon", 40, 40}, 1}}},
		{"stadium75x42,rectangle60x35x2,square40x5", []entry{{foot{"stadium", 75, 42}, 1}, {foot{"rectangle", 60, 35}, 2}, {foot{"square", 40, 40}, 5}}},
		{"Round28.5", []entry{{foot{"round", 28.5, 28.5}, 1}}},
		{"round32x2,round25,round32x3", []entry{{foot{"round", 32, 32}, 5}, {foot{"round", 25, 25}, 1}}},
	} {
		list, err := readList(c.text)
		require.NoError(t, err, c.text)
		require.Equal(t, c.want, list, c.text)
	}
}

func TestFaultyListsSayWhatIsAllowed(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"", "the list of bases is empty"},
		{"round32,", "entry 2 of the bases, \"\": nothing between two commas"},
		{"ovl60x35", `no footprint is called "ovl"; did you mean "oval"? allowed: round, oval, rectangle, square, hexagon, stadium`},
		{"32x10", `no footprint is called ""; allowed: round`},
		{"oval60", "oval needs two sizes in mm and, if you like, how many; allowed: oval75x42 or oval75x42x5 for five"},
		{"round", "round needs one size in mm"},
		{"round32x10x2", "round needs one size in mm"},
		{"oval60x35x2x2", "oval needs two sizes"},
		{"oval35x60", "35 mm long and 60 mm short; allowed: the long size first, as oval60x35"},
		{"round9.9", "a size of 9.9 mm; allowed: 10 to 300 mm"},
		{"round301", "allowed: 10 to 300 mm"},
		{"round1e2", `"1e2" is not a size in mm`},
		{"round-32", `"-32" is not a size in mm`},
		{"roundNaN", `no footprint is called "roundnan"`},
		{"round3_2", `"3_2" is not a size in mm`},
		{"round32x0", `"0" is not a number of bases; allowed: 1 to 60`},
		{"round32x1.5", `"1.5" is not a number`},
		{"round32x99999999999999999999", "is not a number"},
		{"round32x", `"" is not a number`},
		{"round32x30,oval60x35x31", "entry 2 of the bases, \"oval60x35x31\": makes 61 bases in all; allowed: at most 60"},
		{strings.Repeat("round32,", 600), "allowed: at most 4000"},
	} {
		_, err := readList(c.text)
		require.ErrorContains(t, err, c.says, c.text)
	}
}

// TestAnyListIsReadOrRefused: no text makes the reader panic, and what it takes is
// within the limits.
func TestAnyListIsReadOrRefused(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.StringMatching(`((round|oval|square|stadum)[0-9.x]{0,12},?){0,5}`)).Draw(t, "text")
		list, err := readList(text)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		total := 0
		for _, e := range list {
			total += e.count
			require.True(t, e.foot.short >= 10 && e.foot.long <= 300 && e.foot.short <= 300 && e.foot.long >= 10)
		}
		require.True(t, total >= 1 && total <= MostBases)
	})
}

// TestWhatIsAskedIsChecked: every word of what is asked, before any work.
func TestWhatIsAskedIsChecked(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		ask  Ask
		says string
	}{
		{Ask{Theme: "templ"}, `no theme is called "templ"; did you mean "temple"? allowed: ` + strings.Join(Names(), ", ")},
		{Ask{Theme: "quay", Seed: 1 << 63}, "a seed of 9223372036854775808; allowed: 0 to 9223372036854775807"},
		{Ask{Theme: "quay", Scale: 19}, "a scale of 1:19; allowed for a theme: 20 to 600"},
		{Ask{Theme: "quay", Title: strings.Repeat("a", 101)}, "at most 100"},
		{Ask{Theme: "quay", Title: "two\nlines"}, "one line of text"},
		{Ask{Theme: "quay", Bases: "oval300x300x60"}, ""},
	} {
		_, err := Scene(c.ask)
		if c.says == "" {
			require.NoError(t, err, fmt.Sprint(c.ask))
			continue
		}
		require.ErrorContains(t, err, c.says)
	}
}

// TestNamesRunOut: a list of more kinds of bases than a theme has names for still
// gives each a name of its own.
func TestNamesRunOut(t *testing.T) {
	t.Parallel()
	var words []string
	for i := range 9 {
		words = append(words, fmt.Sprintf("round%dx2", 24+i), fmt.Sprintf("oval%dx%d.5", 60+i, 34), fmt.Sprintf("square%d", 70+i))
	}
	for _, name := range Names() {
		m, err := Scene(Ask{Theme: name, Bases: strings.Join(words, ","), Seed: 2})
		require.NoError(t, err) // the reader takes no two parts of one name
		require.Equal(t, 36, m.Bases)
		require.Contains(t, m.Text, `name = "square-7`)
	}
}
