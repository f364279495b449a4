package paving

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Solid is the bed and the stones in it.
func (p *Paving) Solid(s *parts.Site) sdf.Field {
	z := p.settled(s)
	level := p.Level.Height
	foot := level - z.thickness
	bottom := foot - parts.Keyed - s.Roughness(level)

	work := p.laying(s)
	stones := make([]sdf.Field, 0, len(work.stones)+1)
	var pits []sdf.Field
	for _, l := range work.stones {
		if l.missing {
			pits = append(pits, l.pit(level, foot, z))
		} else {
			stones = append(stones, l.stone(s, level, foot, z))
		}
	}
	for _, f := range work.fills {
		stones = append(stones, f.mortar(level, foot, z))
	}
	bed := sdf.Difference(p.bed(s, bottom, z), pits...)
	return p.clearOfSunk(s, sdf.Union(append(stones, bed)...))
}

// clearOfSunk leaves out what would lie over what is sunk into the land.
func (p *Paving) clearOfSunk(s *parts.Site, f sdf.Field) sdf.Field {
	if land := s.Land(); land != nil && land.Plot.At(p.Level.Height) {
		return sdf.Difference(f, land.Openings(p.Level.Height-f.Bounds().Min.Z)...)
	}
	return f
}

// mortar is the solid of a fill.
func (l *laid) mortar(level, foot float64, z *pavingSizes) sdf.Field {
	return newStone(stoneShape{outline: l.outline, plan: l.plan, box: l.box, level: level - z.recess/3, foot: foot})
}

// bed is what the stones lie in: full in one place, washed out in another.
func (p *Paving) bed(s *parts.Site, bottom float64, z *pavingSizes) sdf.Field {
	level := p.Level.Height
	if z.surface == surface.Plain {
		return p.Area.Prism(bottom, level-z.recess)
	}
	full, empty := 0.95*z.recess, min(1.4*z.recess, z.recess+0.15)
	fill := relief.NewFacets(s.Rand(p.Name, p.Seed, "joints").Uint64(), 2.2, empty-full, 0.15)
	return sdf.Intersection(p.Area.Prism(bottom, level-full), relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), level-full), fill))
}

// evenStone is one that lies flat and at the level, with its texture.
type evenStone struct {
	laid
	face relief.Relief
}

// EvenAt says whether a place of the plan lies well within a stone that is flat and at
// the level.
func (p *Paving) EvenAt(s *parts.Site, at r2.Vec) bool {
	z := p.settled(s)
	stones := parts.Settled(s, p, func() (stones []evenStone) {
		for _, l := range p.laying(s).stones {
			if l.even && !l.missing && l.outline != nil {
				stones = append(stones, evenStone{l, l.face(s, z)})
			}
		}
		return stones
	})
	in := min(z.wear.arris, z.joint/2) + parts.FlatStone
	for i := range stones {
		if b := stones[i].box; at.X < b.Min.X || at.Y < b.Min.Y || at.X > b.Max.X || at.Y > b.Max.Y {
			continue
		}
		if planar.NewConvex(stones[i].outline).At(at) < -in && (stones[i].face == nil || stones[i].face.Value(sdf.V(at.X, at.Y, 0)) == 0) {
			return true
		}
	}
	return false
}
