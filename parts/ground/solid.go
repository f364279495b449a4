package ground

import (
	"socle/parts"
	"socle/sdf"
)

// Solid is the ground with its terraces, lowered under the finishes laid on it.
func (g *Ground) Solid(s *parts.Site) sdf.Field {
	z := g.settled(s)
	level, low := g.Level.Height, z.low
	plot := sdf.BoxBetween(sdf.V(0, 0, low), sdf.V(g.Size[0], g.Size[1], level))
	if z.dip > 0 {
		rng := s.Rand(g.Name, g.Seed, "surface")
		plot = sdf.Intersection(plot, newDips(level, z.dip, sdf.NewNoise(rng.Uint64(), g.Wavelength, 2)))
	}
	land := parts.LowerUnderFinishes(s, plot, level)
	for i := range g.Raised {
		t := &g.Raised[i]
		within := sdf.BoxBetween(sdf.V(0, 0, low), sdf.V(g.Size[0], g.Size[1], t.Level.Height+1))
		mound := sdf.Intersection(newMound(&t.Area, t.Level.Height, low, t.Bank), within)
		land = sdf.Union(land, parts.LowerUnderFinishes(s, mound, t.Level.Height))
	}
	if len(z.hollows) > 0 {
		land = sdf.Difference(land, z.hollows...)
		for i := range g.Sunk {
			land = parts.LowerUnderFinishes(s, land, g.Sunk[i].Level.Height)
		}
	}
	return land
}
