package finding

import (
	"cmp"
	"fmt"
	"slices"

	"socle/cmd/set/words"
	"socle/parts"
)

// Group is the concerns of one check on one part over all the bases of a set, in
// the order of the bases: what is told together.
type Group []Finding

// Groups sorts concerns by what they are about, the most severe first, in each
// severity those that do most harm, and of these those that are on most bases.
func Groups(all []Finding) (found []Group) {
	type subject struct{ severity, check, part, change string }
	place := map[subject]int{}
	for _, c := range all {
		about := subject{c.Severity, c.Check, c.Part, ""}
		if c.Severity != parts.SeverityNote {
			_, about.change = c.ToChange()
		}
		i, known := place[about]
		if !known {
			i = len(found)
			place[about] = i
			found = append(found, nil)
		}
		found[i] = append(found[i], c)
	}
	slices.SortStableFunc(found, func(a, b Group) int {
		worstA, worstB := a.worst(), b.worst()
		return cmp.Or(byHarm(&worstA, &worstB), cmp.Compare(len(b), len(a)))
	})
	return found
}

// worst is the concern of a topic that does most harm, the first of equals.
func (t Group) worst() Finding {
	return slices.MinFunc(t, func(a, b Finding) int { return byHarm(&a, &b) })
}

// About names the part: " of parapet", or "".
func (c *Finding) About() string {
	if c.Part == "" {
		return ""
	}
	return ": " + c.Part
}

// Where gives the place, and how many more there are.
func (c *Finding) Where() string {
	var text string
	if c.At != nil {
		text = ", at " + words.Place(*c.At)
	}
	if c.Count > 1 {
		text += fmt.Sprintf("; %s more", words.Count(c.Count-1, "place", "places"))
	}
	return text
}

// Line tells a topic on one line, by its worst place.
func (t Group) Line() string {
	c := t[0]
	places, bases := 0, map[string]bool{}
	for _, o := range t {
		places += o.Count
		bases[o.Base] = true
		if o.worse(&c) {
			c = o
		}
	}
	text := c.Check + c.About() + ", " + c.What
	if c.Base != "" {
		text += ", " + c.Base
	}
	if c.At != nil {
		text += " at " + words.Place(*c.At)
	}
	if places > 1 {
		text += fmt.Sprintf("; %s on %s in all", words.Count(places, "place", "places"), words.Count(len(bases), "base", "bases"))
	}
	return text
}
