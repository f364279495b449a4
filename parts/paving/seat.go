package paving

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/relief"
)

// How the stones under a figure's foot are dressed: common practice, no source.
const (
	// seatFacets is how many facets of the dressing lie across a stone.
	seatFacets = 4
	// leastSeatFacet and mostSeatFacet are how wide they are at least and at most, mm.
	leastSeatFacet, mostSeatFacet = 0.9, 1.8
	// seatWhole is the share of the facets' corners that lie at the level, and bear.
	seatWhole = 0.35
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
		pitch := math.Min(math.Max(2*math.Min(l.half.X, l.half.Y)/seatFacets, leastSeatFacet), mostSeatFacet)
		frame := sdf.Turn(sdf.V(0, 0, 1), math.Atan2(l.long.Y, l.long.X)*180/math.Pi)
		dressing := relief.Place(relief.NewFacets(l.lot.seed, pitch, s.SeatGrain(), seatWhole), frame)
		stones = append(stones, relief.Carve(stone, dressing))
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
