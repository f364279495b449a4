package scenes

import (
	"slices"
)

// Change is one value that a variant changes, as the scene's text has it.
type Change struct {
	Path  string // "crater.hit.depth"
	Value string // as it is written: "5", "\"2.6 m\"", "[170, 60]"
	Was   string // in the scene itself; "" where that leaves the key out
	From  string // the variant that it is written in: this one, or one that it extends
	Line  int    // where it is written, from 1
}

// Changes lists what a variant of the scene changes: first what it takes over from
// the one that it extends and does not change again, then its own, each in the
// order of the text.
func (s *Scene) Changes(v Variant) []Change {
	all := make([]Change, 0, len(v.changes))
	for _, c := range v.changes {
		change := Change{Path: c.path, Value: c.value.at.written(), From: s.writer(c, v)}
		change.Line, _, _ = c.at.src.line(c.at.start)
		if steps, wrong := target(s.root, c.path); wrong == nil {
			if n := follow(s.root, steps); n != nil {
				change.Was = n.at.written()
			}
		}
		all = append(all, change)
	}
	return all
}

// writer is the name of the variant that a change is written in.
func (s *Scene) writer(c override, v Variant) string {
	for _, other := range s.Variants {
		if slices.Contains(other.own, c) {
			return other.Name
		}
	}
	return v.Name
}

// Text is the scene's own text, as it was read.
func (s *Scene) Text() string { return s.src.text }
