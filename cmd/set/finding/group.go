package finding

import (
	"cmp"
	"fmt"
	"slices"

	"socle/cmd/set/words"
	"socle/parts"
)

// Group is the findings of one check on one part over all the bases of a set, in
// the order of the bases: what is told together.
type Group []Finding

// Groups sorts findings by what they are about, the most severe first, in each
// severity those that do most harm, and of these those that are on most bases.
func Groups(all []Finding) (found []Group) {
	type subject struct{ severity, check, part, change string }
	place := map[subject]int{}
	for _, f := range all {
		about := subject{f.Severity, f.Check, f.Part, ""}
		if f.Severity != parts.SeverityNote {
			_, about.change = f.ToChange()
		}
		i, known := place[about]
		if !known {
			i = len(found)
			place[about] = i
			found = append(found, nil)
		}
		found[i] = append(found[i], f)
	}
	slices.SortStableFunc(found, func(a, b Group) int {
		worstA, worstB := a.worst(), b.worst()
		return cmp.Or(byHarm(&worstA, &worstB), cmp.Compare(len(b), len(a)))
	})
	return found
}

// worst is the finding of a group that does most harm, the first of equals.
func (g Group) worst() Finding {
	return slices.MinFunc(g, func(a, b Finding) int { return byHarm(&a, &b) })
}

// About names the part: " of parapet", or "".
func (f *Finding) About() string {
	if f.Part == "" {
		return ""
	}
	return ": " + f.Part
}

// Where gives the place, and how many more there are.
func (f *Finding) Where() string {
	var text string
	if f.At != nil {
		text = ", at " + words.Place(*f.At)
	}
	if f.Count > 1 {
		text += fmt.Sprintf("; %s more", words.Count(f.Count-1, "place", "places"))
	}
	return text
}

// Line tells a group on one line, by its worst place.
func (g Group) Line() string {
	f := g[0]
	places, bases := 0, map[string]bool{}
	for _, o := range g {
		places += o.Count
		bases[o.Base] = true
		if o.worseThan(&f) {
			f = o
		}
	}
	text := f.Check + f.About() + ", " + f.What
	if f.Base != "" {
		text += ", " + f.Base
	}
	if f.At != nil {
		text += " at " + words.Place(*f.At)
	}
	if places > 1 {
		text += fmt.Sprintf("; %s on %s in all", words.Count(places, "place", "places"), words.Count(len(bases), "base", "bases"))
	}
	return text
}
