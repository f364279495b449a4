package main

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"socle/cmd/set/compare"
	"socle/cmd/set/finding"
	"socle/cmd/set/words"
)

// printSettings says what is compared, and how finely it is made.
func printSettings(w io.Writer, c *compare.Comparison) {
	for i, side := range c.Sides {
		fmt.Fprintf(w, "%s  %s\n", [2]string{"A", "B"}[i], side.InWords())
	}
	if a, b := c.Sides[0].Resolution, c.Sides[1].Resolution; a == b {
		fmt.Fprintln(w, a)
	} else {
		fmt.Fprintf(w, "A  %s\nB  %s\n", strings.ReplaceAll(a.String(), "\n", "\n   "), strings.ReplaceAll(b.String(), "\n", "\n   "))
	}
}

// mostKeys is how many changed values are listed; the document has them all.
const mostKeys = 40

// printComparison tells a comparison as text.
func printComparison(w io.Writer, r *compare.Report) {
	if len(r.Keys) > 0 {
		fmt.Fprintf(w, "%s of the scene, A -> B\n", words.Count(len(r.Keys), "change", "changes"))
		wide := 0
		for _, k := range r.Keys[:min(len(r.Keys), mostKeys)] {
			wide = max(wide, utf8.RuneCountInString(k.Path))
		}
		for _, k := range r.Keys[:min(len(r.Keys), mostKeys)] {
			fmt.Fprintf(w, "  %s%s  %s\n", k.Path, strings.Repeat(" ", wide-utf8.RuneCountInString(k.Path)), k.Words())
		}
		if more := len(r.Keys) - mostKeys; more > 0 {
			fmt.Fprintf(w, "  and %d more: --json has them all\n", more)
		}
		fmt.Fprintln(w)
	}
	wide := 0
	for i := range r.Bases {
		wide = max(wide, utf8.RuneCountInString(r.Bases[i].Name))
	}
	for i := range r.Bases {
		b := &r.Bases[i]
		indent := strings.Repeat(" ", wide+2)
		fmt.Fprintf(w, "%s%s  %s\n", b.Name, strings.Repeat(" ", wide-utf8.RuneCountInString(b.Name)), b.Words())
		for _, line := range b.Lines() {
			fmt.Fprintf(w, "%s%s\n", indent, line)
		}
	}
	gained, lost := r.Changed()
	printChanged(w, "B has what A has not", gained)
	printChanged(w, "A has what B has not", lost)
	fmt.Fprintln(w)
	left := ""
	if r.Unmade > 0 {
		left = fmt.Sprintf(" (of the bases that had to be built; the other %d are as they were)", r.Unmade)
		if r.Unmade == 1 {
			left = " (of the bases that had to be built; the other one is as it was)"
		}
	}
	if r.Unmade < len(r.Bases) {
		fmt.Fprintf(w, "inspection of A: %s; of B: %s%s\n", r.A.Tally, r.B.Tally, left)
	}
	fmt.Fprintln(w, r.Verdict())
}

// printChanged tells what stops and what warns, a line each, and counts the notes.
func printChanged(w io.Writer, head string, all []compare.ChangedFinding) {
	t := compare.Tallied(all)
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s: %s\n", head, t)
	for _, severity := range finding.Severities[:2] {
		for i := range all {
			if f := &all[i]; f.Severity == severity {
				fmt.Fprintf(w, "  %s  %s\n", severity, f.Line())
			}
		}
	}
	if t.Notes > 0 && t.Stops+t.Warns == 0 {
		fmt.Fprintln(w, "  (--json has the notes)")
	}
}
