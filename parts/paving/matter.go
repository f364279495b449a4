package paving

import (
	"socle/parts"
	"socle/sdf"
)

// flagThick is how thick a stone is over its width that breaks as a flag does; thicker ones
// come out whole or in halves, as bricks do. Common practice, no source.
const flagThick = 0.35

// Breaks gives the stones of the paving.
func (p *Paving) Breaks(s *parts.Site, at *parts.Patch) []parts.Matter {
	if at.Deep <= 0 || len(p.Area.Check(p.Name, "area")) > 0 {
		return nil
	}
	area := at.Cover(p.Area.Contains)
	if area == 0 {
		return nil
	}
	z := p.settled(s)
	m := parts.Matter{Form: parts.Flags, Volume: area * min(z.thickness, at.Deep),
		Unit: sdf.V(z.module.long-z.joint, z.module.short-z.joint, z.thickness)}
	if z.thickness > flagThick*z.module.short {
		m.Form = parts.Bricks
	}
	return []parts.Matter{m}
}
