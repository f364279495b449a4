package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/assembly"
)

// advice is what came of trying to clear a concern.
type advice struct {
	Tried  int      `json:"tried"`  // changes that were looked at for the concerns of its part
	Clears []change `json:"clears"` // those that clear it and bring nothing as grave anywhere, the first to be taken; none: none was found
}

// change is values to put in place of others, as --set takes them.
type change []string

func (c change) String() string { return strings.Join(c, " with ") }

// suggesting gives a maker that says of what is found which keys may clear it. That
// depends on more of the scene than the solid does, and is never kept.
func (s *scene) suggesting(do maker) maker {
	return func(ctx context.Context, p *assembly.Piece, progress func(float64)) meshed {
		m := do(ctx, p, progress)
		if m.err == nil && m.inspection != nil {
			s.suggest(p, m.inspection.concerns)
		}
		return m
	}
}

// suggest says of each concern of a piece, or of the scene where p is nil, which keys
// may clear it.
func (s *scene) suggest(p *assembly.Piece, all []concern) {
	for i := range all {
		c := &all[i]
		c.Key, c.Change = "", ""
		if c.Settled {
			continue
		}
		remedies, label := s.remediesOf(p, c), c.Part
		if part := s.site.Called(c.Part); part != nil {
			label = part.Label()
		}
		c.Change = assembly.Hint(c.Check, label, remedies)
		for _, r := range remedies {
			if r.Part == label && r.Key != "" {
				c.Key = r.Key
				break
			}
		}
	}
}

// remediesOf lists what may clear a concern.
func (s *scene) remediesOf(p *assembly.Piece, c *concern) []parts.Remedy {
	var at *r3.Vec
	if c.At != nil {
		v := vec(*c.At)
		at = &v
	}
	return s.whole.Remedies(c.Check, s.site.Called(c.Part), p, at)
}

// toChange says what to change, and on what ground: a lead and the words.
func (c *concern) toChange() (lead, words string) {
	switch {
	case c.Advice == nil:
		return "May help, not tried: ", c.Change
	case len(c.Advice.Clears) == 0:
		return "To change: ", fmt.Sprintf("none found: %s tried, and none clears it. May help: %s",
			plural(c.Advice.Tried, "change was", "changes were"), c.Change)
	case len(c.Advice.Clears) == 1:
		return "To change: ", c.Advice.Clears[0].String() + " clears it, as tried"
	}
	return "To change: ", fmt.Sprintf("%s clears it, as tried; %s as well", c.Advice.Clears[0], c.Advice.Clears[1])
}

// printAdvised tells what the changes come to together, or how to have them tried.
func (b *build) printAdvised(w io.Writer) {
	switch r := b.report; {
	case r.Advised != nil:
		fmt.Fprintf(w, "with the changes that clear what can be cleared: %s\n", r.Advised.Tally)
		words := make([]string, len(r.Advised.Set))
		for i, set := range r.Advised.Set {
			words[i] = "--set " + shellQuoted(set)
		}
		printWrapped(w, "  ", strings.Join(words, " "), 96)
	case r.Tally.Stops+r.Tally.Warns > 0 && !b.advises:
		fmt.Fprintln(w, `which changes clear them was not tried: "socle check" tries, of a draft with --advise`)
	}
}
