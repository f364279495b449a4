package ground

import (
	"socle/parts"
	"socle/sdf"
	"socle/sdf/relief"
)

// beyond is how far the sides of a terrace go on past its floor or its top, mm, so that
// only their own relief is cut into them.
const beyond = 5

// Solid is the ground with its terraces, lowered under the finishes laid on it.
func (g *Ground) Solid(s *parts.Site) sdf.Field {
	z := g.settled(s)
	level, low := g.Level.Height, z.low
	high := level
	if z.plot.top != nil {
		high += beyond // so that its relief alone ends it
	}
	plot := sdf.BoxBetween(sdf.V(0, 0, low), sdf.V(g.Size[0], g.Size[1], high))
	if z.plot.top != nil {
		plot = sdf.Intersection(plot, z.plot.below(level))
	}
	land := parts.LowerUnderFinishes(s, plot, level)
	for i := range g.Raised {
		t, c := &g.Raised[i], z.raised[i]
		top := t.Level.Height
		within := sdf.BoxBetween(sdf.V(0, 0, low), sdf.V(g.Size[0], g.Size[1], top+1))
		mound := newMound(&t.Area, top, low, t.Bank)
		solid := sdf.Field(mound)
		if c.top != nil {
			solid = sdf.Intersection(relief.Carve(slope(mound, low-beyond, top+beyond), c.side), c.below(top))
		}
		land = sdf.Union(land, parts.LowerUnderFinishes(s, sdf.Intersection(solid, within), top))
	}
	for _, p := range z.sunk {
		c := p.cover
		if c.top == nil && c.side == nil {
			land = sdf.Difference(land, p.hollow)
			continue
		}
		beside := relief.Carve(sdf.Complement(slope(p.hollow, z.low-beyond, p.over)), c.side)
		if parts.StructureUnder(s, level, p.Area.Outline()) < p.Level { // a finish lower than this floor ends beside it
			land = sdf.Union(land, sdf.Intersection(plot, slope(p.hollow, z.low-beyond, p.over)))
		}
		land = sdf.Intersection(land, sdf.Union(beside, c.below(p.Level)))
	}
	for _, p := range z.sunk {
		land = parts.LowerUnderFinishes(s, land, p.Level)
	}
	return land
}
