package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"socle/parts"
)

// topic is the concerns of one check on one part over all the bases of a set, in
// the order of the bases: what is told together.
type topic []concern

// topics sorts concerns by what they are about, the most severe first, in each
// severity those that do most harm, and of these those that are on most bases.
func topics(all []concern) (found []topic) {
	type subject struct{ severity, check, part, change string }
	place := map[subject]int{}
	for _, c := range all {
		about := subject{c.Severity, c.Check, c.Part, ""}
		if c.Severity != parts.SeverityNote {
			_, about.change = c.toChange()
		}
		i, known := place[about]
		if !known {
			i = len(found)
			place[about] = i
			found = append(found, nil)
		}
		found[i] = append(found[i], c)
	}
	slices.SortStableFunc(found, func(a, b topic) int {
		worstA, worstB := a.worst(), b.worst()
		return cmp.Or(byHarm(&worstA, &worstB), cmp.Compare(len(b), len(a)))
	})
	return found
}

// worst is the concern of a topic that does most harm, the first of equals.
func (t topic) worst() concern {
	return slices.MinFunc(t, func(a, b concern) int { return byHarm(&a, &b) })
}

// printConcerns tells what the inspection found: stops and warnings each with what
// they mean, what to change and where; notes on a line each, where they are asked
// for, and else counted.
func printConcerns(w io.Writer, all []concern, notes bool) {
	const width = 96
	noted := false
	for _, t := range topics(all) {
		c := t[0]
		if c.Severity == parts.SeverityNote {
			if notes && !noted {
				noted = true
				fmt.Fprintln(w)
			}
			if notes {
				printWrapped(w, "note  ", t.line(), width)
			}
			continue
		}
		fmt.Fprintf(w, "\n%s  %s%s\n", c.Severity, c.Check, c.about())
		printWrapped(w, "      ", sentence(c.Meaning), width)
		if lead, words := c.toChange(); words != "" {
			printWrapped(w, "      "+lead, words, width)
		}
		longest := 0
		for _, c := range t {
			longest = max(longest, utf8.RuneCountInString(c.Base))
		}
		for _, c := range t {
			pad := strings.Repeat(" ", longest-utf8.RuneCountInString(c.Base))
			fmt.Fprintf(w, "        %s\n", strings.TrimLeft(c.Base+pad+"  "+c.What+c.where(), " "))
		}
	}
	if noted {
		fmt.Fprintln(w, "(what a note means, and what to change: --json)")
	}
}

// about names the part: " of parapet", or "".
func (c *concern) about() string {
	if c.Part == "" {
		return ""
	}
	return ": " + c.Part
}

// where gives the place, and how many more there are.
func (c *concern) where() string {
	var text string
	if c.At != nil {
		text = ", at " + placed(*c.At)
	}
	if c.Count > 1 {
		text += fmt.Sprintf("; %s more", plural(c.Count-1, "place", "places"))
	}
	return text
}

// line tells a topic on one line, by its worst place.
func (t topic) line() string {
	c := t[0]
	places, bases := 0, map[string]bool{}
	for _, o := range t {
		places += o.Count
		bases[o.Base] = true
		if o.worse(&c) {
			c = o
		}
	}
	text := c.Check + c.about() + ", " + c.What
	if c.Base != "" {
		text += ", " + c.Base
	}
	if c.At != nil {
		text += " at " + placed(*c.At)
	}
	if places > 1 {
		text += fmt.Sprintf("; %s on %s in all", plural(places, "place", "places"), plural(len(bases), "base", "bases"))
	}
	return text
}

// placed gives a place to a tenth of a mm, with no minus before a zero.
func placed(at [3]float64) string {
	for i, v := range at {
		at[i] = math.Round(10*v)/10 + 0 // -0 + 0 is 0
	}
	return fmt.Sprintf("(%.1f, %.1f, %.1f)", at[0], at[1], at[2])
}

// sentence makes a sentence of words.
func sentence(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:] + "."
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
