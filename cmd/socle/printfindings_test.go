package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/cmd/set/finding"
	"socle/parts"
)

// someFindings draws single findings, as one finding each gives them. Their places are
// all different.
func someFindings(t *rapid.T) (all []finding.Finding) {
	n := rapid.IntRange(0, 60).Draw(t, "n")
	for i := range n {
		f := finding.Finding{
			Severity: rapid.SampledFrom(finding.Severities).Draw(t, "severity"),
			Check:    rapid.SampledFrom([]string{"neck", "bridge", "hair"}).Draw(t, "check"),
			Base:     rapid.SampledFrom([]string{"", "scout-1", "walker"}).Draw(t, "base"),
			Part:     rapid.SampledFrom([]string{"", "quay"}).Draw(t, "part"),
			What:     fmt.Sprintf("finding %d", i),
			Value:    rapid.Float64Range(0.1, 10).Draw(t, "value"),
			Limit:    rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(t, "limit"),
			Harm:     float64(rapid.IntRange(0, 3).Draw(t, "harm")),
		}
		if rapid.IntRange(0, 9).Draw(t, "placed") > 0 {
			f.At = &[3]float64{float64(i), 0, 0}
		}
		all = append(all, f)
	}
	return all
}

// notesOf counts groups that are notes.
func notesOf(all []finding.Group) (n int) {
	for _, one := range all {
		if one[0].Severity == parts.SeverityNote {
			n++
		}
	}
	return n
}

// TestPrintedFindings: each stop and each warning on a line of its own, each note counted.
func TestPrintedFindings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := finding.Join(someFindings(t))
		found := finding.Groups(all)
		var text strings.Builder
		printConcerns(&text, all, true)
		for _, f := range all {
			if f.Severity != parts.SeverityNote {
				require.Contains(t, text.String(), f.What)
			}
		}
		require.Equal(t, notesOf(found), strings.Count(text.String(), "\nnote  "))
		text.Reset()
		printConcerns(&text, all, false)
		require.NotContains(t, text.String(), "\nnote  ")
	})
}
