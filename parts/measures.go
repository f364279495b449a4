package parts

// Measures is the scale table of a site: for each stair its riser, going, step
// length and pitch; for each rail its height, opening and post spacing; for each
// paving its stone and joint; for each coursed wall its course and joint. The
// order is that of the work. A part that breaks a rule of its own is left out:
// Check tells of it.
func Measures(s *Site) []Measure {
	var out []Measure
	for _, p := range inOrder(s) {
		if c, ok := p.(Checker); ok && len(c.Check(s)) > 0 {
			continue
		}
		measured, ok := p.(Measured)
		if !ok {
			continue
		}
		for _, m := range measured.Measures(s) {
			m.Part, m.Kind = p.Label(), WordOf(p)
			m.judge()
			out = append(out, m)
		}
	}
	return out
}
