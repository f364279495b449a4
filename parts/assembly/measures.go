package assembly

import "socle/parts"

// Measures is the scale table of a site: the sizes of each part that measures itself,
// in the order of work. A part that breaks a rule of its own is left out: Check tells
// of it.
func Measures(s *parts.Site) []parts.Measure {
	var out []parts.Measure
	for _, p := range inOrder(s) {
		if c, ok := p.(parts.Checker); ok && len(c.Check(s)) > 0 {
			continue
		}
		measured, ok := p.(parts.Measured)
		if !ok {
			continue
		}
		for _, m := range measured.Measures(s) {
			m.Part, m.Kind = p.Label(), parts.WordOf(p)
			m.Judge()
			out = append(out, m)
		}
	}
	return out
}
