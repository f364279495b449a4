package paving

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
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
			stones = append(stones, l.stone(level, foot, z))
		}
	}
	for _, f := range work.fills {
		stones = append(stones, f.mortar(level, foot, z))
	}
	bed := sdf.Difference(p.Area.Prism(bottom, level-z.recess), pits...)
	return p.clearOfSunk(s, sdf.Union(append(stones, bed)...))
}

// clearOfSunk leaves out what would lie over what is sunk into the land.
func (p *Paving) clearOfSunk(s *parts.Site, f sdf.Field) sdf.Field {
	if land := s.Land(); land != nil && land.Plot.At(p.Level.Height) {
		return sdf.Difference(f, land.Hollows()...)
	}
	return f
}

// mortar is the solid of a fill.
func (l *laid) mortar(level, foot float64, z *pavingSizes) sdf.Field {
	return newStone(stoneShape{outline: l.outline, plan: l.plan, box: l.box, level: level - z.recess/3, foot: foot})
}

// evenStones are the stones that lie flat and at the level.
type evenStones []laid

// EvenAt says whether a place of the plan lies well within a stone that is flat and at
// the level.
func (p *Paving) EvenAt(s *parts.Site, at r2.Vec) bool {
	z := p.settled(s)
	stones := parts.Settled(s, p, func() (stones evenStones) {
		for _, l := range p.laying(s).stones {
			if l.even && !l.missing && l.outline != nil {
				stones = append(stones, l)
			}
		}
		return stones
	})
	in := math.Min(z.wear.arris, z.joint/2) + parts.FlatStone
	for i := range stones {
		if b := stones[i].box; at.X < b.Min.X || at.Y < b.Min.Y || at.X > b.Max.X || at.Y > b.Max.Y {
			continue
		}
		if planar.NewConvex(stones[i].outline).At(at) < -in {
			return true
		}
	}
	return false
}
