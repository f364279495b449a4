package main

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
	"socle/cmd/set/report"
	"socle/cmd/set/words"
	"socle/parts"
)

// printConcerns tells what the inspection found: stops and warnings each with what
// they mean, what to change and where; notes on a line each, where they are asked
// for, and else counted.
func printConcerns(w io.Writer, all []finding.Finding, notes bool) {
	const width = 96
	noted := false
	for _, t := range finding.Groups(all) {
		f := t[0]
		if f.Severity == parts.SeverityNote {
			if notes && !noted {
				noted = true
				fmt.Fprintln(w)
			}
			if notes {
				printWrapped(w, "note  ", t.Line(), width)
			}
			continue
		}
		fmt.Fprintf(w, "\n%s  %s%s\n", f.Severity, f.Check, f.About())
		printWrapped(w, "      ", words.Sentence(f.Meaning), width)
		if lead, words := f.ToChange(); words != "" {
			printWrapped(w, "      "+lead, words, width)
		}
		longest := 0
		for _, f := range t {
			longest = max(longest, utf8.RuneCountInString(f.Base))
		}
		for _, f := range t {
			pad := strings.Repeat(" ", longest-utf8.RuneCountInString(f.Base))
			fmt.Fprintf(w, "        %s\n", strings.TrimLeft(f.Base+pad+"  "+f.What+f.Where(), " "))
		}
	}
	if noted {
		fmt.Fprintln(w, "(--json explains each note and what to change)")
	}
}

// printWrapped prints text behind a lead, in lines that are no wider than width,
// the next ones indented a little further than the first.
func printWrapped(w io.Writer, lead, text string, width int) {
	const hang = 8
	line, used := lead, utf8.RuneCountInString(strings.TrimLeft(lead, "\n"))
	first := true // on its line
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if !first && used+1+n > width {
			fmt.Fprintln(w, line)
			line, used, first = strings.Repeat(" ", hang), hang, true
		}
		if !first {
			line += " "
			used++
		}
		line += word
		used += n
		first = false
	}
	fmt.Fprintln(w, line)
}

// printTooLarge tells, before work begins, of bases that the printer cannot hold.
func printTooLarge(w io.Writer, s *set.Set) {
	if found := inspection.TooLarge(s, s.Pieces); len(found) > 0 {
		fmt.Fprintln(w, "before the work starts:")
		printConcerns(w, found, true)
		fmt.Fprintln(w)
	}
}

// printAdvised tells what the changes come to together, or how to have them tried.
func printAdvised(w io.Writer, r *report.Report, tried bool) {
	switch {
	case r.Advised != nil:
		fmt.Fprintf(w, "with all the changes that clear something: %s\n", r.Advised.Tally)
		flags := make([]string, len(r.Advised.Set))
		for i, set := range r.Advised.Set {
			flags[i] = "--set " + words.ShellQuoted(set)
		}
		printWrapped(w, "  ", strings.Join(flags, " "), 96)
	case r.Tally.Stops+r.Tally.Warns > 0 && !tried:
		fmt.Fprintln(w, `this build did not look for changes that clear them: "socle check" does; for a draft, add --advise`)
	}
}
