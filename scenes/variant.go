package scenes

import (
	"fmt"

	"socle/parts"
)

// Variant is the same scene with some values changed.
type Variant struct {
	Name    string
	Extends string // the variant whose changes apply before its own; "" where there is none

	own       []override // as they are written in it
	changes   []override // with the inherited ones, in the order that they apply
	extendsAt span
	told      int // of its changes, those that do not fit too
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
			if err := faults.found(); err != nil {
				return nil, err
			}
			return changed, nil
		}
		names = append(names, v.Name)
	}
	if near := nearest(name, names); near != "" {
		return nil, fmt.Errorf("%s has no variant %s; did you mean %q?", s.src.name, quote(name), near)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s has no variant %s, nor any other", s.src.name, quote(name))
	}
	return nil, fmt.Errorf("%s has no variant %s; it has: %s", s.src.name, quote(name), listed(names))
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
	changed := &Scene{src: s.src, root: s.root.clone(), variant: s.variant, sets: s.sets}
	apply(changed.root, overrides, faults)
	changed.decode(changed.root, faults, false)
	if changed.Site.Title == "" {
		changed.Site.Title = s.Site.Title
	}
	return changed
}
