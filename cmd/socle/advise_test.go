package main

import (
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
)

// struckHarbour is the README's first scene with a hit that leaves one base no flat place
// and a thin edge, both of which are warnings.
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
func graveOf(doc *report) (all []string) {
	for _, c := range doc.Concerns {
		if c.Severity != parts.SeverityNote {
			all = append(all, strings.Join([]string{c.Severity, c.Check, c.Part, c.Base, c.Measure}, " "))
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
	check := func(sets []string, more ...string) *report {
		args := append([]string{"check", "harbour.toml", "--setting", "draft", "--cell", "0.4", "--json"}, more...)
		cmd := exec.CommandContext(t.Context(), socle, append(args, set(sets...)...)...) // longer than the other tests give it
		r := runCmd(t, cmd, dir)
		require.Equal(t, exitDone, r.code, r.err)
		var doc report
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
		require.Equal(t, doc.Advised.Tally, check(sets).Tally, "as told of all together")
	}
	require.NotEmpty(t, sets)
	text := runIn(t, dir, "check", "harbour.toml", "--setting", "draft", "--cell", "0.4", "--advise")
	require.Contains(t, text.out, " clears it, as tried")
	require.Contains(t, text.out, "with the changes that clear what can be cleared: 0 stops, ")
	require.Contains(t, text.out, "--set ")
}

// TestAdviceIsTried on a base that has no flat place: it is told where a stand clears
// that, in the text as in the document, the same with one processor as with more and
// out of the cache; a draft is not tried unless that is asked for.
func TestAdviceIsTried(t *testing.T) {
	t.Parallel()
	dir := testScene(t, "advise-pit.toml")
	args := []string{"check", "advise-pit.toml", "--setting", "draft", "--cell", "0.4", "--json"}
	var docs []*report
	for i, env := range []string{"GOMAXPROCS=1", "GOMAXPROCS=2", ""} {
		cmd := command(t, socle, append(slices.Clone(args), "--advise")...)
		cmd.Env = append(cmd.Environ(), "SOCLE_CACHE="+filepath.Join(dir, "cache", env), env)
		if i == 2 {
			cmd.Env = append(cmd.Env, "SOCLE_CACHE="+filepath.Join(dir, "cache", "GOMAXPROCS=2"))
		}
		r := runCmd(t, cmd, dir)
		require.Equal(t, exitDone, r.code, r.err)
		var doc report
		require.NoError(t, json.Unmarshal([]byte(r.out), &doc))
		docs = append(docs, doc.filed("."))
	}
	require.Equal(t, docs[0], docs[1])
	require.Equal(t, docs[0], docs[2], "out of the cache")

	found := of(docs[0].Concerns, "rough-stand")
	require.Len(t, found, 1)
	require.NotNil(t, found[0].Advice)
	require.NotEmpty(t, found[0].Advice.Clears)
	require.Contains(t, found[0].Advice.Clears[0].String(), "base.pit.stand=[{ at = [")
	require.NotNil(t, docs[0].Advised)

	r := runIn(t, dir, append([]string{"check", "advise-pit.toml", "--cell", "0.4", "--json"}, set(docs[0].Advised.Set...)...)...)
	require.Equal(t, exitDone, r.code, r.err)
	var after report
	require.NoError(t, json.Unmarshal([]byte(r.out), &after))
	require.Empty(t, of(after.Concerns, "rough-stand"))
	require.Equal(t, docs[0].Advised.Tally, after.Tally)
	for _, c := range after.Concerns {
		require.Nil(t, c.Advice, "a draft is not tried")
	}
}

// TestWhatAChangeClears: a finding is cleared where it is gone, and nothing as grave is
// new on any base, nor at more places.
func TestWhatAChangeClears(t *testing.T) {
	told := func(severity, check, base, part string, count int) concern {
		return concern{Severity: severity, Check: check, Base: base, Part: part, Count: count}
	}
	was := []concern{
		told("stop", "stand", "a", "hit", 1),
		told("warn", "thin-wall", "a", "hit", 2),
		told("warn", "thin-wall", "b", "hit", 1),
		told("note", "overhang", "b", "wall", 1),
	}
	a := &adviser{concerns: was}
	for _, c := range []struct {
		why    string
		now    []concern
		clears []int
	}{
		{"all is gone", nil, []int{0, 1, 2, 3}},
		{"one of two places is left", []concern{told("warn", "thin-wall", "a", "hit", 1)}, []int{0, 2, 3}},
		{"it is put down to another part", []concern{told("warn", "thin-wall", "a", "flags", 1)}, []int{0}},
		{"a warning for a stop is a gain", []concern{told("warn", "neck", "b", "hit", 1)}, []int{0}},
		{"a stop for a stop is none", []concern{told("stop", "stand", "b", "hit", 1)}, nil},
		{"the same finding is graver", []concern{told("stop", "thin-wall", "b", "hit", 1)}, nil},
		{"it is a note now", []concern{told("note", "thin-wall", "a", "hit", 2)}, []int{0, 1, 2, 3}},
		{"more places on another base", []concern{told("warn", "thin-wall", "b", "hit", 2)}, []int{0}},
	} {
		t.Run(c.why, func(t *testing.T) {
			made := &attempt{whole: &outcome{concerns: c.now}}
			var clears []int
			for i := range was {
				if a.clears(made, i) {
					clears = append(clears, i)
				}
			}
			require.Equal(t, c.clears, clears)
		})
	}
	require.False(t, a.clears(&attempt{}, 0), "what was not made clears nothing")
}

// TestClearedAtAPlace: of one check there is less, and of none as grave is there more.
func TestClearedAtAPlace(t *testing.T) {
	all := func(severity string, checks ...string) (out []concern) {
		for _, c := range checks {
			out = append(out, concern{Severity: severity, Check: c})
		}
		return out
	}
	warn := severityRank(parts.SeverityWarn)
	before := all("warn", "thin-wall", "neck")
	require.True(t, clearedAt(before, all("warn", "neck"), "thin-wall", warn))
	require.True(t, clearedAt(before, all("note", "thin-wall", "overhang"), "thin-wall", warn))
	require.False(t, clearedAt(before, before, "thin-wall", warn))
	require.False(t, clearedAt(before, all("warn", "neck", "neck"), "thin-wall", warn))
	require.False(t, clearedAt(before, all("stop", "stand"), "thin-wall", warn))
}

// TestValuesInTurn: the first of each remedy, then the second.
func TestValuesInTurn(t *testing.T) {
	remedy := func(keys ...string) (r parts.Remedy) {
		for _, k := range keys {
			r.Tries = append(r.Tries, []parts.Move{{Key: k}})
		}
		return r
	}
	var order []string
	for _, moves := range inTurn([]parts.Remedy{remedy("a1", "a2", "a3"), {Words: "only words"}, remedy("b1"), remedy("c1", "c2")}) {
		order = append(order, moves[0].Key)
	}
	require.Equal(t, []string{"a1", "b1", "c1", "a2", "c2", "a3"}, order)
	require.Empty(t, inTurn(nil))
}

// TestAdviceEnds with its context.
func TestAdviceEnds(t *testing.T) {
	t.Parallel()
	s, p := sceneOf(t, "advise-pit.toml", "pit")
	s.resolution = resolution{cell: 0.4, tolerance: 0.01}
	s.pieces = []parts.Piece{*p}
	at := [3]float64{3, 1.5, 4.6}
	found := []concern{{Severity: "warn", Check: "rough-stand", Base: "pit", Part: "pit", At: &at, Count: 1}}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := advise(ctx, s, &Options{}, found, noProgress{})
	require.ErrorIs(t, err, context.Canceled)
}

// TestToChange says on what ground.
func TestToChange(t *testing.T) {
	for _, c := range []struct {
		advice     *advice
		lead, says string
	}{
		{nil, "May help, not tried: ", "less depth"},
		{&advice{Tried: 14}, "To change: ", "none found: 14 changes were tried, and none clears it. May help: less depth"},
		{&advice{Tried: 3, Clears: []change{{"crater.hit.depth=3.2"}}}, "To change: ", "crater.hit.depth=3.2 clears it, as tried"},
		{&advice{Tried: 3, Clears: []change{{"a=1", "b=2"}, {"crater.hit.seed=4"}}}, "To change: ", "a=1 with b=2 clears it, as tried; crater.hit.seed=4 as well"},
	} {
		lead, says := (&concern{Change: "less depth", Advice: c.advice}).toChange()
		require.Equal(t, c.lead, lead)
		require.Equal(t, c.says, says)
	}
}
