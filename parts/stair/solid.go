package stair

import (
	"math"

	"socle/parts"
	"socle/sdf"
)

// Solid is the flight with its flanks, let into the ground at its foot and into
// the deck at its head. It never rises above the upper level.
func (st *Stair) Solid(s *parts.Site) sdf.Field {
	l := st.settled(s)
	b := builder{st: st, s: s, l: l, half: st.Width / 2, seed: s.Rand(st.Name, st.Seed, "surface").Uint64()}
	b.foot = st.bearing(s, l)
	b.under = parts.StructureUnder(s, st.To.Height, l.Plan(l.End(), l.End()+parts.Embed))
	b.end = l.End() + parts.Embed

	solids := []sdf.Field{b.head()}
	if l.Landing > 0 {
		solids = append(solids, b.landing())
	}
	switch {
	case l.Risers == 1: // the edge of the upper level is the step
	case st.Side == "solid":
		solids = append(solids, b.steps())
	case l.freeTread:
		solids = append(solids, b.slabs())
	default:
		solids = append(solids, sdf.Intersection(b.steps(), b.aboveSoffit(l.waist)))
	}
	if st.Flanks != "none" && l.Risers > 1 {
		solids = append(solids, b.flank(-1), b.flank(1))
	}
	return sdf.Place(sdf.Union(solids...), l.Pose)
}

// bearing is the height that the stair goes down to: into the structure under
// its lower level, below any finish there, and where that does not carry all of
// a solid stair, on into the ground.
func (st *Stair) bearing(s *parts.Site, l *layout) float64 {
	end := l.End()
	if st.Side == "open" && l.Risers > 1 {
		end = min(end, l.waist*math.Hypot(l.Going, l.Riser)/l.Riser)
	}
	return s.BearingUnder(l.From, l.Plan(0, end))
}

type builder struct {
	st    *Stair
	s     *parts.Site
	l     *layout
	half  float64 // half the width
	foot  float64 // z of the underside
	under float64 // z of the structure at the head, below its finish
	end   float64 // y of the end, let into the deck
	seed  uint64  // of the treads' texture
}

// steps are the treads, each a block down to the foot and back to the head, so
// that the blocks hold one another.
func (b *builder) steps() sdf.Field {
	l := b.l
	var blocks []sdf.Field
	rng := b.s.Rand(b.st.Name, b.st.Seed, "nosings")
	for i := range l.Risers - 1 {
		y, top := float64(i)*l.Going, l.TreadTop(i)
		blocks = append(blocks, b.faced(i, b.worn(i, rng, sdf.BoxEased(sdf.V(-b.half, y, b.foot), sdf.V(b.half, b.end, top), l.Arris)), l.Nosing == 0))
		if l.Nosing > 0 {
			lip := min(l.Riser/2, max(b.s.Print.Relief, l.Nosing))
			block := sdf.BoxEased(sdf.V(-b.half, y-l.Nosing, top-lip), sdf.V(b.half, y+l.Going/2, top), min(l.Arris, lip/2))
			blocks = append(blocks, b.faced(i, b.worn(i, rng, block), false))
		}
	}
	return sdf.Union(blocks...)
}

// slabs are free treads between strings, each reaching under the next.
func (b *builder) slabs() sdf.Field {
	l := b.l
	overlap := max(b.s.OnPrint(16), 0.2) // Approved Document K, Diagram 1.1: treads overlap by 16 mm
	reach := b.half - l.Cheek/2
	var slabs []sdf.Field
	rng := b.s.Rand(b.st.Name, b.st.Seed, "nosings")
	for i := range l.Risers - 1 {
		y, top := float64(i)*l.Going, l.TreadTop(i)
		slab := sdf.BoxEased(sdf.V(-reach, y-l.Nosing, top-l.slab), sdf.V(reach, y+l.Going+overlap, top), min(l.Arris, l.slab/2))
		slabs = append(slabs, b.faced(i, b.worn(i, rng, slab), false))
	}
	return sdf.Union(slabs...)
}

// aboveSoffit is what lies above a plane parallel to the pitch, depth below the
// line through the inner corners of the steps.
func (b *builder) aboveSoffit(depth float64) sdf.Field {
	l := b.l
	hyp := math.Hypot(l.Riser, l.Going)
	sin, cos := l.Riser/hyp, l.Going/hyp
	return sdf.HalfSpace(sdf.V(0, sin, -cos), depth-l.From*cos)
}

// belowCheek is what lies below the slope that tops a flank.
func (b *builder) belowCheek() sdf.Field {
	l := b.l
	hyp := math.Hypot(l.Riser, l.Going)
	sin, cos := l.Riser/hyp, l.Going/hyp
	return sdf.HalfSpace(sdf.V(0, -sin, cos), (l.NosingLine(0)+l.Upstand)*cos)
}

// flank is the string or wall on one side, -1 left or 1 right. A wall, and the
// string of a solid stair, stands on the ground; the string of an open one
// spans from foot to head. It is cut off at the upper level.
func (b *builder) flank(side float64) sdf.Field {
	l := b.l
	lo, hi := b.half-l.Cheek, b.half
	if side < 0 {
		lo, hi = -hi, -lo
	}
	top := min(l.To, b.under) // within the deck the string stays under its finish
	parts := []sdf.Field{
		sdf.BoxBetween(sdf.V(lo, -l.Nosing, b.foot), sdf.V(hi, l.End(), l.To)),
		b.belowCheek(),
	}
	into := []sdf.Field{
		sdf.BoxBetween(sdf.V(lo, -l.Nosing, b.foot), sdf.V(hi, b.end, top)),
		b.belowCheek(),
	}
	if b.st.Side == "open" && b.st.Flanks == "string" {
		parts = append(parts, b.aboveSoffit(l.waist))
		into = append(into, b.aboveSoffit(l.waist))
	}
	return sdf.Union(sdf.Intersection(parts...), sdf.Intersection(into...))
}

// head is the block that ties the flight into the structure it leads to. It
// ends under the finish there.
func (b *builder) head() sdf.Field {
	l := b.l
	y := l.End()
	low := b.foot
	if b.st.Side == "open" {
		low = max(low, l.To-l.Riser-max(l.waist, b.s.Print.Wall))
	}
	return sdf.BoxBetween(sdf.V(-b.half, y+0.05, min(low, b.under-parts.Embed)), sdf.V(b.half, b.end, b.under))
}

// landing is the level stretch at the head of a flight that ends short.
func (b *builder) landing() sdf.Field {
	l := b.l
	low := b.foot
	if b.st.Side == "open" {
		low = max(low, l.To-l.Riser-max(l.waist, b.s.Print.Wall))
	}
	end := l.End()
	if l.Arris == 0 {
		return sdf.BoxBetween(sdf.V(-b.half, l.Run(), low), sdf.V(b.half, end, l.To))
	}
	// Its back meets the deck with no edge of its own.
	whole := sdf.BoxEased(sdf.V(-b.half, l.Run(), low), sdf.V(b.half, end+2*l.Arris, l.To), l.Arris)
	return sdf.Intersection(whole, sdf.HalfSpace(sdf.V(0, 1, 0), end))
}

// RoomOver is the room over the treads between two heights, over the whole width and on
// before the foot by so much, with what of the flight itself lies below: what an edge
// at the head gives way to. It ends at the last riser. Below the treads it ends within
// the flanks, so that such an edge is let into them.
func (st *Stair) RoomOver(s *parts.Site, low, high, before float64) sdf.Field {
	l := st.settled(s)
	front, end, half := -l.Nosing-before, l.End(), st.Width/2
	inner := half - min(parts.Embed, half/2)
	if l.Cheek > 0 {
		inner = half - l.Cheek/2 // no tread is as far out
	}
	if l.Risers == 1 {
		return sdf.Nothing()
	}
	rooms := []sdf.Field{sdf.BoxBetween(sdf.V(-inner, front, low), sdf.V(inner, end, high))}
	for i := range l.Risers - 1 {
		last := i == l.Risers-2
		if l.Cheek > 0 || !last && l.TreadTop(i+1) <= low {
			continue // the room over the next holds it
		}
		back := end
		if !last {
			back = float64(i+1)*l.Going - l.Nosing
		}
		rooms = append(rooms, sdf.BoxBetween(sdf.V(-half, front, max(low, l.TreadTop(i))), sdf.V(half, back, high)))
	}
	return sdf.Place(sdf.Union(rooms...), l.Pose)
}
