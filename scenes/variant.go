package scenes

import (
	"fmt"
	"slices"
	"strings"

	"socle/parts"
	"socle/scenes/syntax"
)

// Variant is the same scene with some values changed.
type Variant struct {
	Name    string
	Extends string // the variant whose changes apply before its own; "" where there is none

	own       []override // as they are written in it
	changes   []override // with the inherited ones, in the order that they apply
	extendsAt syntax.Span
	count     int // of its changes, those that do not fit too
}

// maxVariants is the most variants of one scene.
const maxVariants = 64

// variantKeys are the keys of a variant.
var variantKeys = []parts.Key{
	{Word: nameWord, Type: parts.Name, Required: true, Doc: "what the variant and its files are called; " + variantAllowed},
	{Word: extendsWord, Type: parts.Ref, Words: []string{variantWord}, Doc: "another variant, whose changes apply first"},
	{Word: setWord, Type: parts.Table, Required: true, Doc: `the values to change, by path: { "crater.hit.depth" = 5 }`},
}

const (
	setWord     = "set"
	extendsWord = "extends"
)

// Variant gives a variant of the scene. The error is a *Faults where the scene's
// rules do not hold for it.
func (s *Scene) Variant(name string) (*Scene, error) {
	var names []string
	for _, v := range s.Variants {
		if v.Name == name {
			faults := &Faults{}
			changed := s.vary(v, faults)
			if err := faults.Err(); err != nil {
				return nil, err
			}
			return changed, nil
		}
		names = append(names, v.Name)
	}
	if near := syntax.Nearest(name, names); near != "" {
		return nil, fmt.Errorf("%s has no variant %s; did you mean %q?", s.src.Name, syntax.Quote(name), near)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s has no variant %s, nor any other", s.src.Name, syntax.Quote(name))
	}
	return nil, fmt.Errorf("%s has no variant %s; it has: %s", s.src.Name, syntax.Quote(name), syntax.Listed(names))
}

// vary decodes the scene with a variant's changes.
func (s *Scene) vary(v Variant, faults *Faults) *Scene {
	changed := s.changed(v.changes, faults)
	changed.variant = v.Name
	return changed
}

// changed decodes the scene with some values put in place of others. What it gives
// has no variants.
func (s *Scene) changed(overrides []override, faults *Faults) *Scene {
	changed := &Scene{src: s.src, raw: s.raw, variant: s.variant, sets: s.sets}
	changed.lay(laidOver(s.laid, overrides), faults)
	changed.decode(changed.root, faults, false)
	if changed.Site.Title == "" {
		changed.Site.Title = s.Site.Title
	}
	return changed
}

// With gives the scene, or a variant of it, with more values in place of others:
// sets are --set texts, path=value, and moves are values that a part would have; they
// go over all that it has, in this order. What it gives has no variants; without either
// it is the scene itself. The error is a *Faults, which points into the texts: a move
// has its MoveText.
func (s *Scene) With(sets []string, moves ...parts.Move) (*Scene, error) {
	if len(sets)+len(moves) == 0 {
		return s, nil
	}
	faults := &Faults{}
	overrides := readSets(sets, moves, faults)
	changed := s.changed(overrides, faults)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	changed.sets = slices.Concat(s.sets, sets)
	for _, m := range moves {
		changed.sets = append(changed.sets, MoveText(m))
	}
	return changed, nil
}

// Described says which of the scene's shapes this is, for a heading: "as it is",
// "high-water", "high-water, crater.hit.depth=5".
func (s *Scene) Described() string {
	var all []string
	if s.variant != "" {
		all = append(all, s.variant)
	}
	for _, set := range s.sets {
		all = append(all, strings.Join(strings.Fields(set), " "))
	}
	if len(all) == 0 {
		return "as it is"
	}
	return strings.Join(all, ", ")
}

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
		change := Change{Path: c.path, Value: c.value.At.Written(), From: s.writer(c, v)}
		change.Line, _, _ = c.at.Src.Line(c.at.Start)
		if steps, wrong := target(s.root, c.path); wrong == nil {
			if n := follow(s.root, steps); n != nil {
				change.Was = n.At.Written()
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
func (s *Scene) Text() string { return s.src.Text }
