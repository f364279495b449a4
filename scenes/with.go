package scenes

import (
	"slices"
	"strings"

	"socle/parts"
)

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
	if err := faults.found(); err != nil {
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
