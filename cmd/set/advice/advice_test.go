package advice

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/parts"
)

// TestWhatAChangeClears: a finding is cleared where it is gone, and nothing as grave is
// new on any base, nor at more places.
func TestWhatAChangeClears(t *testing.T) {
	told := func(severity, check, base, part string, count int) finding.Finding {
		return finding.Finding{Severity: severity, Check: check, Base: base, Part: part, Count: count}
	}
	was := []finding.Finding{
		told("stop", "stand", "a", "hit", 1),
		told("warn", "thin-wall", "a", "hit", 2),
		told("warn", "thin-wall", "b", "hit", 1),
		told("note", "overhang", "b", "wall", 1),
	}
	a := &adviser{findings: was}
	for _, c := range []struct {
		why    string
		now    []finding.Finding
		clears []int
	}{
		{"all is gone", nil, []int{0, 1, 2, 3}},
		{"one of two places is left", []finding.Finding{told("warn", "thin-wall", "a", "hit", 1)}, []int{0, 2, 3}},
		{"it is put down to another part", []finding.Finding{told("warn", "thin-wall", "a", "flags", 1)}, []int{0}},
		{"a warning for a stop is a gain", []finding.Finding{told("warn", "neck", "b", "hit", 1)}, []int{0}},
		{"a stop for a stop is none", []finding.Finding{told("stop", "stand", "b", "hit", 1)}, nil},
		{"the same finding is graver", []finding.Finding{told("stop", "thin-wall", "b", "hit", 1)}, nil},
		{"it is a note now", []finding.Finding{told("note", "thin-wall", "a", "hit", 2)}, []int{0, 1, 2, 3}},
		{"more places on another base", []finding.Finding{told("warn", "thin-wall", "b", "hit", 2)}, []int{0}},
	} {
		t.Run(c.why, func(t *testing.T) {
			made := &attempt{whole: &outcome{findings: c.now}}
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
	opened, err := set.Open(t.Context(), nil, "../../socle/testdata/advise-pit.toml", set.Selection{})
	require.NoError(t, err)
	s, err := opened.Cut([]string{"pit"})
	require.NoError(t, err)
	s.Resolution = set.Resolution{Cell: 0.4, Tolerance: 0.01}
	at := [3]float64{3, 1.5, 4.6}
	found := []finding.Finding{{Severity: "warn", Check: "rough-stand", Base: "pit", Part: "pit", At: &at, Count: 1}}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = Find(ctx, s, &set.Options{}, found, silent{})
	require.ErrorIs(t, err, context.Canceled)
}

// silent shows nothing.
type silent struct{}

func (silent) Heading(string)         {}
func (silent) Start(set.Task) set.Bar { return silent{} }
func (silent) At(int, float64)        {}
func (silent) Made(int, bool, error)  {}
func (silent) Done(int, string)       {}
func (silent) Tell(string)            {}
func (silent) Finish()                {}
