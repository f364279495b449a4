package paving

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/relief"
)

// How the stones under a figure's foot are dressed, mm: common practice, no source.
const (
	chiselWide  = 0.45 // the lines of the chisel
	chiselPitch = 2.4  // from one to the next, over their width
	chiselSlant = 84   // degrees from the length of the stone
	draftWide   = 0.7  // the plain margin round them
	seatFacet   = 0.9  // about how wide the facets of a stone are that has no room for these
	seatWhole   = 0.3  // share of the corners of facets that lie at the level, and bear
)

// Seat is the stones under a figure's foot.
func (p *Paving) Seat(s *parts.Site, at r2.Vec, round float64) sdf.Field {
	z := p.settled(s)
	foot := p.Level.Height - z.thickness
	bevel := math.Min(s.SeatJoint()/2, z.joint/2)
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
		stones = append(stones, l.dressed(s, stone, p.Level.Height))
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

// dressed cuts the dressing into a stone that lies true: lines of a chisel within a plain
// margin, or facets where it is too small.
func (l *laid) dressed(s *parts.Site, stone sdf.Field, level float64) sdf.Field {
	const lap = 0.05 // mm, of the margin over what is within
	deep := s.SeatGrain()
	along := math.Atan2(l.long.Y, l.long.X) * 180 / math.Pi
	wide := math.Max(chiselWide, 1.5*s.Print.Gap)
	pitch := chiselPitch * wide
	var field, within []r2.Vec
	if l.outline != nil && planar.Inradius(l.outline) > draftWide+pitch {
		field, within = planar.InsetConvex(l.outline, draftWide), planar.InsetConvex(l.outline, draftWide-lap)
	}
	if field == nil || within == nil {
		return relief.Carve(stone, relief.Place(relief.NewFacets(l.lot.seed, seatFacet, deep, seatWhole), sdf.Turn(sdf.V(0, 0, 1), along)))
	}
	chisel := relief.Place(relief.NewGrooves(l.lot.seed, pitch, wide, deep, 0.5, 0.15*pitch), sdf.Turn(sdf.V(0, 0, 1), along+chiselSlant))
	inner := sdf.Intersection(stone, sdf.Prism(within, level-2*s.SeatJoint(), level+1))
	return sdf.Union(sdf.Difference(stone, sdf.Prism(field, level-s.SeatJoint(), level+1)), relief.Carve(inner, chisel))
}
