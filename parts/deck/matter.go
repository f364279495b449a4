package deck

import (
	"math"

	"socle/parts"
	"socle/sdf"
)

// Breaks gives lumps of the slab: with bars in them where it spans, plain stone where it is
// solid down to the ground.
func (d *Deck) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	if p.Deep <= 0 || len(d.Area.Check(d.Name, "area")) > 0 {
		return nil
	}
	area := p.Cover(d.Area.Contains)
	if area == 0 {
		return nil
	}
	z := d.settled(s)
	if d.On == "solid" {
		return []parts.Matter{{Form: parts.Stones, Volume: area * p.Deep}}
	}
	bar := s.OnPrint(parts.NominalBar(s.FullHeight(z.thickness)))
	return []parts.Matter{{Form: parts.Slabs, Volume: area * math.Min(z.thickness, p.Deep), Unit: sdf.V(0, 0, z.thickness), Bar: bar}}
}
