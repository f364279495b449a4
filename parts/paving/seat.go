package paving

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Seat is the stones under a figure's foot.
func (p *Paving) Seat(s *parts.Site, at r2.Vec, round float64) sdf.Field {
	z := p.settled(s)
	foot := p.Level.Height - z.thickness
	bevel := min(s.SeatJoint()/2, z.joint/2)
	far := r2.Vec{X: round / 2, Y: round / 2}
	place := r2.Box{Min: r2.Sub(at, far), Max: r2.Add(at, far)}
	var stones []sdf.Field
	for _, l := range p.laying(s).stones {
		if l.box.Min.X > place.Max.X || l.box.Max.X < place.Min.X || l.box.Min.Y > place.Max.Y || l.box.Max.Y < place.Min.Y {
			continue
		}
		plan := l.plan
		if l.outline != nil {
			plan = planar.NewConvex(l.outline)
		}
		if plan.At(at) >= round/2 {
			continue
		}
		stone := sdf.Intersection(
			planar.Prism(plan, l.box, foot, p.Level.Height),
			&planar.Bank{Shape: plan, Box: l.box, At: p.Level.Height - bevel, Lo: foot, Hi: p.Level.Height, Sin: math.Sqrt2 / 2, Cos: math.Sqrt2 / 2},
		)
		stones = append(stones, l.dressed(s, stone, z))
	}
	if len(stones) == 0 {
		return nil
	}
	all := sdf.Union(stones...)
	if land := s.Land(); land != nil && land.Plot.At(p.Level.Height) {
		all = sdf.Difference(all, land.Hollows()...)
	}
	return all
}

// dressed cuts the texture of the paving into a stone that lies true, no deeper than a seat
// may have it.
func (l *laid) dressed(s *parts.Site, stone sdf.Field, z *pavingSizes) sdf.Field {
	pose := l.frame()
	p := surface.Piece{Seed: l.lot.seed, Half: l.half, Most: s.SeatGrain()}
	if l.outline != nil {
		p.Outline = planar.NewConvex(inFrame(l.outline, pose))
	}
	return relief.Carve(stone, relief.Place(p.True(s, z.surface), pose))
}
