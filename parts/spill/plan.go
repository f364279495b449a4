package spill

import (
	"socle/parts"
	"socle/parts/planar"
)

// Plan is how far the debris may lie.
func (p *Spill) Plan(s *parts.Site) []parts.Stroke {
	w := p.settled(s)
	switch {
	case !w.lies:
		return nil
	case w.area != nil:
		return []parts.Stroke{{Line: parts.LineDebris, Path: w.area.Path(), Closed: true}}
	}
	return []parts.Stroke{{Line: parts.LineDebris, Path: planar.Alongside(w.middle, w.radius*w.reach), Closed: true}}
}
