package base

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/relief"
)

// Seating is what the pads of a piece are made of, in the piece's coordinates.
type Seating struct {
	Over   []sdf.Field // the room kept clear over each, down into its joints
	Under  []sdf.Field // each pad down to the foot
	Around []Around    // what goes on beyond the pads, so that they are not let into the floor
}

// Around is what of a floor lies as a pad does, beyond its rim too. Damage to the part
// takes from it what lies beyond the rim.
type Around struct {
	Part  parts.Part
	Field sdf.Field
}

// How bare ground is packed under a foot, and how it falls to what is beside it: common
// practice, no source.
const (
	packedStone = 1.3  // mm, from one of its stones and clods to the next
	packedShare = 0.85 // of the places that hold one
	ragged      = 0.16 // of the radius: how far its rim strays
	raggedSides = 17   // of its rim
	packedFall  = 20.0 // degrees, of the ground from the rim down
	jointFall   = 10.0 // degrees, of the fill of joints from the rim down
	roundSides  = 32   // of where that begins
)

// Seating gives the pads of a base laid at a spot.
func (b *Base) Seating(s *parts.Site, at *Spot) (z Seating) {
	pads := b.PadsOn(s, at)
	if len(pads) == 0 {
		return z
	}
	zero := b.Datum(s, at.OnScene()) - b.Height - b.Lift
	fromScene := sdf.Turn(sdf.V(0, 0, 1), at.Turn).Then(sdf.At(sdf.V(at.At.X, at.At.Y, zero))).Inverse()
	for i, p := range pads {
		radius := p.Round / 2
		clear := func(from float64) { z.Over = append(z.Over, drum(p.At, radius, from, p.Top+p.Clear)) }
		full := drum(p.At, radius, 0, p.Top)
		if !p.Laid {
			clear(p.Top)
			z.Under = append(z.Under, full)
			continue
		}
		rng := s.Rand(b.Name, b.Seed, fmt.Sprintf("stand %d", i))
		clods := relief.NewStones(rng.Uint64(), packedStone, s.SeatGrain(), packedShare)
		packed := relief.Carve(full, clods)
		place, level := at.Place(p.At), p.Top+zero
		var units, finished []sdf.Field
		for _, f := range parts.AllOf[parts.Seater](s) {
			lies := f.Finish(s)
			if math.Abs(lies.Level-level) > parts.SameHeight || lies.Area.Distance(place) >= radius {
				continue
			}
			if seat := f.Seat(s, place, p.Round); seat != nil {
				seat = sdf.Place(seat, fromScene)
				area := sdf.Place(lies.Area.Prism(level-lies.Thickness, level+lies.Thickness), fromScene)
				units, finished = append(units, seat), append(finished, area)
				joints := mound(parts.Ring(p.At, radius, roundSides), p.Top-s.SeatJoint(), lies.Thickness, jointFall)
				z.Around = append(z.Around, Around{f, sdf.Union(seat, sdf.Intersection(joints, area))})
			}
		}
		if len(units) > 0 {
			clear(p.Top - s.SeatJoint()) // what was thrown into the joints, too
			z.Under = append(z.Under, sdf.Union(
				drum(p.At, radius, 0, p.Top-s.SeatJoint()),
				sdf.Difference(packed, finished...),
				sdf.Intersection(full, sdf.Union(units...)),
			))
			continue
		}
		clear(p.Top)
		z.Under = append(z.Under, packed)
		if f := openGround(s, place, level); f != nil {
			rim := make([]r2.Vec, raggedSides)
			for k, q := range parts.Ring(p.At, radius, raggedSides) {
				// The sides of so many corners lie within them by less than a fiftieth.
				rim[k] = r2.Add(p.At, r2.Scale(1.02+ragged*rng.Float64(), r2.Sub(q, p.At)))
			}
			apron := relief.Carve(mound(rim, p.Top, f.Dip+parts.Embed, packedFall), clods)
			var hollows []sdf.Field
			for _, h := range s.Land().Hollows() {
				hollows = append(hollows, sdf.Place(h, fromScene))
			}
			if f.Role != parts.Sunk {
				apron = sdf.Difference(apron, hollows...)
			}
			z.Around = append(z.Around, Around{f.Part, apron})
		}
	}
	return z
}

// mound is a region of the plan, filled to a height, with sides that fall from there at
// degrees from the level, as deep as told.
func mound(plan []r2.Vec, top, deep, degrees float64) sdf.Field {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return &planar.Bank{Shape: planar.Polygon(plan), Box: planar.Bounds(plan), At: top, Lo: math.Max(0, top-deep), Hi: top, Sin: sin, Cos: cos}
}

// openGround gives the land's own floor at a place of the plan and a height, nil where
// a finish, a slab or a flight is what lies there.
func openGround(s *parts.Site, p r2.Vec, level float64) *parts.Floor {
	for _, n := range parts.Finishes(s, level) {
		if n.Area.Contains(p) {
			return nil
		}
	}
	var open *parts.Floor
	floors := s.Floors()
	for i := range floors {
		f := &floors[i]
		if !f.At(level) || f.Role != parts.Plot && !f.Area.Contains(p) {
			continue
		}
		if f.Role == parts.Slab {
			return nil
		}
		open = f
	}
	return open
}

// Finished gives a base with all that the scenery does not change: its pads, all above
// them cleared away and all below them filled as far as the column of the base goes, its
// hollow and its pockets.
func (b *Base) Finished(s *parts.Site, f, column sdf.Field, z Seating) sdf.Field {
	if len(z.Under) > 0 {
		f = sdf.Union(sdf.Difference(f, z.Over...), sdf.Intersection(column, sdf.Union(z.Under...)))
	}
	return sdf.Difference(f, b.Hollowed(s)...)
}
