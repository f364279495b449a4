package parts

import (
	"maps"
	"slices"
)

// Leveller is a part with level surfaces at heights of its own, beyond the
// scene's levels: a stair has its treads.
type Leveller interface {
	Part
	Heights(s *Site) []float64 // mm above the datum
}

// heights gathers the heights at which a scene has level surfaces, lowest
// first, each once: they are to come out exact.
func (s *Site) heights() []float64 {
	out := slices.Collect(maps.Values(s.Levels))
	for _, p := range s.Parts {
		if l, ok := p.(Leveller); ok {
			out = append(out, l.Heights(s)...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
