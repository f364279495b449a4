package paving

import (
	"math"
	"socle/parts"
)

// Measures of a paving: its stone against the one asked for, its joint against
// life.
func (p *Paving) Measures(s *parts.Site) []parts.Measure {
	z, _ := p.sizes(s)
	asked, than := bondOf(p.Bond).stone[0], "the bond's usual stone"
	if p.Stone != nil {
		asked, than = s.FullSize(math.Max(p.Stone[0], p.Stone[1])), "the stone asked for"
	}
	return []parts.Measure{
		s.Unit("stone", "stone", z.module.long, s.FullSize(z.module.long), asked, than),
		s.Unit("joint", "joint", z.joint, s.FullSize(z.joint), parts.FullJoint, "a joint of 10 mm"),
	}
}
