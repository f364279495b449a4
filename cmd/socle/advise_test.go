package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/report"
	"socle/parts"
)

// struckHarbour is the README's first scene with a hit that leaves one base no flat place,
// which is a warning.
func struckHarbour(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	r := runIn(t, dir, "new", "harbour")
	require.Equal(t, exitDone, r.code, r.err)
	path := filepath.Join(dir, "harbour.toml")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	laid, _, found := strings.Cut(string(text), "[[base]]")
	require.True(t, found)
	struck, err := os.ReadFile(filepath.Join("testdata", "advise-struck.toml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, append([]byte(laid), struck...), 0o600))
	return dir
}

// graveOf lists the stops and warnings of a document, without their places.
func graveOf(doc *report.Report) (all []string) {
	for _, f := range doc.Findings {
		if f.Severity != parts.SeverityNote {
			all = append(all, strings.Join([]string{f.Severity, f.Check, f.Part, f.Base, f.Measure}, " "))
		}
	}
	return all
}

// TestAdviceLeadsToTheEnd follows what is printed for the README's harbour with a hit,
// round by round, on a coarse draft: every change that is told to clear a finding clears
// it, when made alone and with nothing as grave in its place; all of them together come
// to what was told; and the rounds end with no warning, or with a plain word that none
// was found.
func TestAdviceLeadsToTheEnd(t *testing.T) {
	if testing.Short() {
		t.Skip("makes some twenty pieces")
	}
	dir := struckHarbour(t)
	t.Setenv("SOCLE_CACHE", t.TempDir())
	check := func(sets []string, more ...string) *report.Report {
		args := append([]string{"check", "harbour.toml", "--setting", "draft", "--cell", "0.4", "--json"}, more...)
		cmd := exec.CommandContext(t.Context(), socle, append(args, withSets(sets...)...)...) // longer than the other tests give it
		r := runCmd(t, cmd, dir)
		require.Equal(t, exitDone, r.code, r.err)
		var doc report.Report
		require.NoError(t, json.Unmarshal([]byte(r.out), &doc))
		return &doc
	}
	var sets []string
	warned := 0
	for round := 1; ; round++ {
		require.LessOrEqual(t, round, 4)
		doc := check(sets, "--advise")
		grave := graveOf(doc)
		t.Logf("round %d: %s %q", round, doc.Tally, grave)
		if round == 1 {
			require.Positive(t, doc.Tally.Warns, "else there is nothing to follow")
		} else {
			require.Less(t, doc.Tally.Warns, warned, "every round comes nearer")
		}
		warned = doc.Tally.Warns
		cleared := 0
		for _, f := range doc.Findings {
			if f.Severity == parts.SeverityNote {
				require.Nil(t, f.Advice)
				continue
			}
			require.NotNil(t, f.Advice, "%s %s", f.Check, f.Part)
			require.Positive(t, f.Advice.Tried)
			for _, way := range f.Advice.Clears {
				t.Logf("  %s of %s: %s clears it, of %d", f.Check, f.Part, way, f.Advice.Tried)
				after := graveOf(check(append(slices.Clone(sets), way...)))
				require.NotContains(t, after, strings.Join([]string{f.Severity, f.Check, f.Part, f.Base, f.Measure}, " "))
				require.Subset(t, grave, after, "nothing as grave has come")
				cleared++
			}
		}
		if cleared == 0 {
			require.Nil(t, doc.Advised)
			break
		}
		sets = append(sets, doc.Advised.Set...)
		require.Equal(t, doc.Advised.Tally, check(sets).Tally, "as told of all together")
	}
	require.NotEmpty(t, sets)
	text := runIn(t, dir, "check", "harbour.toml", "--setting", "draft", "--cell", "0.4", "--advise")
	require.Contains(t, text.out, " clears it (tested)")
	require.Contains(t, text.out, "with all the changes that clear something: 0 stops, ")
	require.Contains(t, text.out, "--set ")
}

// TestAdviceIsTried on a base that has no flat place: it is told where a stand clears
// that, in the text as in the document, the same with one processor as with more and
// out of the cache; a draft is not tried unless that is asked for.
func TestAdviceIsTried(t *testing.T) {
	t.Parallel()
	dir := testScene(t, "advise-pit.toml")
	args := []string{"check", "advise-pit.toml", "--setting", "draft", "--cell", "0.4", "--json"}
	var docs []*report.Report
	for i, env := range []string{"GOMAXPROCS=1", "GOMAXPROCS=2", ""} {
		cmd := command(t, socle, append(slices.Clone(args), "--advise")...)
		cmd.Env = append(cmd.Environ(), "SOCLE_CACHE="+filepath.Join(dir, "cache", env), env)
		if i == 2 {
			cmd.Env = append(cmd.Env, "SOCLE_CACHE="+filepath.Join(dir, "cache", "GOMAXPROCS=2"))
		}
		r := runCmd(t, cmd, dir)
		require.Equal(t, exitDone, r.code, r.err)
		var doc report.Report
		require.NoError(t, json.Unmarshal([]byte(r.out), &doc))
		docs = append(docs, doc.Filed("."))
	}
	require.Equal(t, docs[0], docs[1])
	require.Equal(t, docs[0], docs[2], "out of the cache")

	found := of(docs[0].Findings, "rough-stand")
	require.Len(t, found, 1)
	require.NotNil(t, found[0].Advice)
	require.NotEmpty(t, found[0].Advice.Clears)
	require.Contains(t, found[0].Advice.Clears[0].String(), "base.pit.stand=[{ at = [")
	require.NotNil(t, docs[0].Advised)

	r := runIn(t, dir, append([]string{"check", "advise-pit.toml", "--cell", "0.4", "--json"}, withSets(docs[0].Advised.Set...)...)...)
	require.Equal(t, exitDone, r.code, r.err)
	var after report.Report
	require.NoError(t, json.Unmarshal([]byte(r.out), &after))
	require.Empty(t, of(after.Findings, "rough-stand"))
	require.Equal(t, docs[0].Advised.Tally, after.Tally)
	for _, f := range after.Findings {
		require.Nil(t, f.Advice, "a draft is not tried")
	}
}
