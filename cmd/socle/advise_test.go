package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
)

// struckHarbour is the README's first scene with its crater and the spill.
func struckHarbour(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	r := runIn(t, dir, "new", "harbour")
	require.Equal(t, exitDone, r.code, r.err)
	path := filepath.Join(dir, "harbour.toml")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	_, struck, found := strings.Cut(string(readme), "[[crater]]\n")
	require.True(t, found)
	struck, _, _ = strings.Cut(struck, "```")
	require.NoError(t, os.WriteFile(path, append(text, "\n[[crater]]\n"+struck...), 0o600))
	return dir
}

// graveOf lists the stops and warnings of a document, without their places.
func graveOf(doc *report) (all []string) {
	for _, c := range doc.Concerns {
		if c.Severity != parts.SeverityNote {
			all = append(all, strings.Join([]string{c.Severity, c.Check, c.Part, c.Base, c.Measure}, " "))
		}
	}
	return all
}

// TestAdviceLeadsToTheEnd follows what is printed for the README's harbour with its
// crater, round by round, on a draft: every change that is told to clear a finding
// clears it, when made alone and with nothing as grave in its place; all of them
// together come to what was told; and the rounds end with no warning, or with a plain
// word that none was found. What was printed before anything was tried gave 2, 2, 4, 1,
// 2, 1, 2 and 0 warnings in eight rounds.
func TestAdviceLeadsToTheEnd(t *testing.T) {
	if testing.Short() {
		t.Skip("makes some twenty pieces")
	}
	dir := struckHarbour(t)
	t.Setenv("SOCLE_CACHE", t.TempDir())
	check := func(sets []string, more ...string) *report {
		args := append([]string{"check", "harbour.toml", "--setting", "draft", "--base", "captain", "--json"}, more...)
		r := runIn(t, dir, append(args, set(sets...)...)...)
		require.Equal(t, exitDone, r.code, r.err)
		var doc report
		require.NoError(t, json.Unmarshal([]byte(r.out), &doc))
		return &doc
	}
	var sets []string
	warned := -1
	for round := 1; ; round++ {
		require.LessOrEqual(t, round, 4)
		doc := check(sets, "--advise")
		grave := graveOf(doc)
		t.Logf("round %d: %s %q", round, doc.Tally, grave)
		if warned >= 0 {
			require.Less(t, doc.Tally.Warns, warned, "every round comes nearer")
		}
		warned = doc.Tally.Warns
		cleared := 0
		for _, c := range doc.Concerns {
			if c.Severity == parts.SeverityNote {
				require.Nil(t, c.Advice)
				continue
			}
			require.NotNil(t, c.Advice, "%s %s", c.Check, c.Part)
			require.Positive(t, c.Advice.Tried)
			for _, way := range c.Advice.Clears {
				t.Logf("  %s of %s: %s clears it, of %d", c.Check, c.Part, way, c.Advice.Tried)
				after := graveOf(check(append(slices.Clone(sets), way...)))
				require.NotContains(t, after, strings.Join([]string{c.Severity, c.Check, c.Part, c.Base, c.Measure}, " "))
				require.Subset(t, grave, after, "nothing as grave has come")
				cleared++
			}
		}
		if cleared == 0 {
			require.Nil(t, doc.Advised)
			break
		}
		sets = append(sets, doc.Advised.Set...)
		require.NotNil(t, doc.Advised.Tally)
		require.Equal(t, *doc.Advised.Tally, check(sets).Tally, "as told of all together")
	}
	if len(sets) > 0 {
		text := runIn(t, dir, "check", "harbour.toml", "--setting", "draft", "--base", "captain", "--advise")
		require.Contains(t, text.out, " clears it, as tried")
		require.Contains(t, text.out, "with the changes that clear what can be cleared: 0 stops, ")
		require.Contains(t, text.out, "--set ")
	}
}
