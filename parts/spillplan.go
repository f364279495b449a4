package parts

// Plan is how far the debris may lie.
func (p *Spill) Plan(s *Site) []Stroke {
	w, ok := p.strewing(s)
	switch {
	case !ok:
		return nil
	case w.area != nil:
		return []Stroke{{Line: LineDebris, Path: w.area.path(), Closed: true}}
	}
	return []Stroke{{Line: LineDebris, Path: alongside(w.middle, w.radius*w.reach), Closed: true}}
}
