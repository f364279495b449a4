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
	for i := range g.Sunk {
		t, c := &g.Sunk[i], z.sunk[i]
		hollow := newHollow(&t.Area, level, t.Level.Height, t.Bank)
		if c.top == nil {
			land = sdf.Difference(land, hollow)
			continue
		}
		beside := relief.Carve(sdf.Complement(slope(hollow, z.low-beyond, level+beyond)), c.side)
		if parts.StructureUnder(s, level, t.Area.Outline()) < t.Level.Height { // a finish lower than this floor ends beside it
			land = sdf.Union(land, sdf.Intersection(plot, slope(hollow, z.low-beyond, level+beyond)))
		}
		land = sdf.Intersection(land, sdf.Union(beside, c.below(t.Level.Height)))
	}
	for i := range g.Sunk {
		land = parts.LowerUnderFinishes(s, land, g.Sunk[i].Level.Height)
	}
	return land
}
