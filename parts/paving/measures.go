package paving

import (
	"socle/parts"
)

// Measures of a paving: its stone against the one that the scene gives, else the
// bond's usual one; its joint against a full-size one.
func (p *Paving) Measures(s *parts.Site) []parts.Measure {
	z := p.settled(s)
	life, than := z.bond.stone[0], "the bond's usual stone"
	if p.Stone != nil {
		life, than = s.FullSize(max(p.Stone[0], p.Stone[1])), "the stone asked for"
	}
	return []parts.Measure{
		s.Unit("stone", "stone", z.module.long, s.FullSize(z.module.long), life, than),
		s.Unit("joint", "joint", z.joint, s.FullSize(z.joint), parts.FullJoint, "a joint of 10 mm"),
	}
}
