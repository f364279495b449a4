package scenes

import "strings"

// With gives the scene, or a variant of it, with more values in place of others:
// sets are --set texts, path=value, which go over all that it has. What it gives
// has no variants; without sets it is the scene itself. The error is a *Faults,
// which points into the texts.
func (s *Scene) With(sets []string) (*Scene, error) {
	if len(sets) == 0 {
		return s, nil
	}
	faults := &Faults{}
	overrides := readSets(sets, faults)
	changed := s.changed(overrides, faults)
	if err := faults.found(); err != nil {
		return nil, err
	}
	changed.sets = append(append([]string(nil), s.sets...), sets...)
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
