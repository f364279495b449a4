package page_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/out/page"
)

func comparison(t require.TestingT, c *page.Comparison) string {
	var w bytes.Buffer
	require.NoError(t, page.WriteComparison(&w, c))
	return w.String()
}

func TestComparisonPage(t *testing.T) {
	drawn := snapshot(t, "", 80, 40, 1)
	text := comparison(t, &page.Comparison{
		Title: "Cutler's Stair", Verdict: "1 base differs, 1 is only in B.",
		Sides:   []page.Fact{{Name: "A", Value: "stair.toml@HEAD~1"}, {Name: "B", Value: "stair.toml"}},
		Changed: page.Table{Caption: "Values", Head: []string{"what", "in A", "in B"}, Rows: [][]string{{"crater.hit.depth", "6", "4"}}},
		Table:   page.Table{Caption: "Bases", Head: []string{"base", "result"}, Rows: [][]string{{"gun-crew", "differs"}, {"scout", "same"}}},
		Bases: []page.ComparedBase{{
			Name: "gun-crew", Result: "differs", Picture: &drawn,
			Gained: []page.Finding{{Severity: "stop", Check: "neck", Part: "hit", What: "0.3 mm"}},
			Lost:   []page.Finding{{Severity: "warn", Check: "hair"}, {Severity: "note", Check: "gap"}},
		}},
	})
	l := requireSound(t, text)
	require.Empty(t, l.all["script"])
	require.Contains(t, text, "script-src &#39;none&#39;")
	var heads []string
	for _, h := range append(l.all["h2"], l.all["h3"]...) {
		heads = append(heads, words(h))
	}
	require.Equal(t, []string{"≠ 1 base differs, 1 is only in B.", "What changed in the scene", "The bases", "gun-crew differs", "New in B"}, heads)
	require.Contains(t, l.links, "#base-1", "the table leads to the base that is shown")
	require.Equal(t, "2 no longer in B", words(l.all["summary"][0]))
	require.Contains(t, words(l.all["li"][0]), "Stop neck of hit")
	require.Equal(t, "✓ The same: 2 bases.", words(requireSound(t, comparison(t, &page.Comparison{Same: true, Verdict: "The same: 2 bases."})).all["h2"][0]))
	requireSound(t, comparison(t, nil))

	// The page of a set has not changed for it.
	require.NotContains(t, written(t, specimen(t)), "New in B")
	require.Error(t, page.WriteComparison(failing{}, &page.Comparison{}))
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("full") }

// Whatever a comparison says, it is only said.
func TestComparisonOfAnything(t *testing.T) {
	said := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{
		"", "<script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, "</style></title>", "\x00\u202e", "{{.Title}}", "comparison", "base-1", strings.Repeat("long.", 60),
	}))
	rapid.Check(t, func(t *rapid.T) {
		findings := func(label string) (all []page.Finding) {
			for range rapid.IntRange(0, 3).Draw(t, label) {
				all = append(all, page.Finding{
					Severity: said.Draw(t, "severity"), Check: said.Draw(t, "check"), Part: said.Draw(t, "part"),
					What: said.Draw(t, "what"), Place: said.Draw(t, "place"),
				})
			}
			return all
		}
		c := &page.Comparison{
			Title: said.Draw(t, "title"), Verdict: said.Draw(t, "verdict"), Same: rapid.Bool().Draw(t, "same"),
			Sides:  []page.Fact{{Name: said.Draw(t, "name"), Value: said.Draw(t, "value")}},
			Table:  page.Table{Caption: said.Draw(t, "caption"), Head: []string{said.Draw(t, "head")}, Rows: [][]string{{said.Draw(t, "cell")}}},
			Gained: findings("gained"), Lost: findings("lost"),
		}
		for range rapid.IntRange(0, 3).Draw(t, "bases") {
			c.Bases = append(c.Bases, page.ComparedBase{
				Name: said.Draw(t, "base"), Result: said.Draw(t, "result"), Picture: &page.Picture{Alt: said.Draw(t, "alt"), JPEG: []byte(said.Draw(t, "jpeg"))},
				Gained: findings("base gained"), Lost: findings("base lost"),
			})
		}
		text := comparison(t, c)
		l := requireSound(t, text)
		require.Empty(t, l.all["script"])
		require.Equal(t, text, comparison(t, c))
	})
}
