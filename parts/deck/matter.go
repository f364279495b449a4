package deck

import (
	"math"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
)

// Breaks gives what its material breaks into: lumps of the slab, those of concrete with
// their bars, ends of boards, torn plate; stones where it is solid down to the ground.
func (d *Deck) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	if p.Deep <= 0 || len(d.Area.Check(d.Name, "area")) > 0 {
		return nil
	}
	area := p.Cover(d.Area.Contains)
	if area == 0 {
		return nil
	}
	z := d.settled(s)
	form, unit, bar := parts.Slabs, sdf.V(0, 0, z.thickness), 0.0
	switch {
	case d.Material == "timber":
		form, unit = parts.Boards, sdf.V(0, surface.BoardWidth(s), math.Min(z.thickness, surface.BoardWidth(s)/2))
	case d.Material == "plate":
		form, unit = parts.Plates, sdf.V(0, 0, s.Print.Wall)
	case d.On == "solid":
		form, unit = parts.Stones, sdf.V(0, 0, 0)
	case d.Material == "concrete":
		bar = s.OnPrint(parts.NominalBar(s.FullHeight(z.thickness)))
	}
	deep := math.Min(z.thickness, p.Deep)
	if d.On == "solid" {
		deep = p.Deep
	}
	return []parts.Matter{{Form: form, Volume: area * deep, Unit: unit, Bar: bar}}
}
