package base

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

const (
	// leastVent is the least hole that drains, mm (references.md section 11).
	leastVent = 2.0
	// leastHollow is the least clear width of a hollow, mm.
	leastHollow = 4.0
	// loneVent is the least vent that may be the only one of a room, mm: two holes
	// if under 3 (bureau design guide).
	loneVent = 3.0
	// ribThick is the thickness of a rib where the print's least wall is thinner, mm.
	ribThick = 1.2
)

// hollowTop is the height of a hollow's roof above the foot, 0 for a solid underside.
func (b *Base) hollowTop() float64 {
	if b.Underside != "hollow" {
		return 0
	}
	return b.Height - b.Roof
}

// leastTop is the height that damage leaves everywhere, away from the rim, mm
// above the foot.
func (b *Base) leastTop() float64 { return b.hollowTop() + b.Floor }

// Kept is the work that no damage takes: a rough floor above the foot, the floor and
// wall round a hollow, and what lies round and over the magnets.
func (b *Base) Kept(s *parts.Site) []sdf.Field {
	seed := s.Rand(b.Name, b.Seed, "floor").Uint64()
	// under is solid up to a height, and rough over it as far as its level is higher.
	under := func(height float64) sdf.Field {
		rough := surface.Rough(seed, 4*s.Print.Relief, max(0, min(1.6*s.Print.Relief, b.Height+b.Lift-height)))
		high := height
		if rough != nil {
			high += rough.Depth()
		}
		return relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), high), rough)
	}
	out := []sdf.Field{under(b.Floor)}
	if b.Underside == "hollow" {
		over := b.tapered(b.Footprints()[0], math.Max(0, b.Wall-b.Floor), -1, max(b.leastTop(), b.Height+b.Lift))
		out = append(out, sdf.Intersection(over, under(b.leastTop())))
	}
	for _, p := range b.pockets(s) {
		out = append(out, p.kept())
	}
	return out
}

// Hollowed is all that is taken out of the underside: a hollow with its vents,
// and the pockets of the magnets.
func (b *Base) Hollowed(s *parts.Site) []sdf.Field {
	var out []sdf.Field
	if u := b.hollow(s); u != nil {
		out = append(out, u.field()...)
	}
	for _, p := range b.pockets(s) {
		out = append(out, p.hole())
	}
	return out
}

// undercut is a hollow in plan: the room within the wall, less ribs through the
// middle and bosses round the magnets, and the vents that lead out of it.
type undercut struct {
	base  *Base
	foot  Footprint
	shape planar.Shape // of the footprint
	rib   float64      // thickness, mm
	ribs  []r2.Vec     // unit directions
	boss  []planar.Disc
	vents []vent
}

// vent is an open notch in the foot of the rim, from a point of the hollow to
// the outside.
type vent struct {
	at        r2.Vec  // the place by the wall that it was laid out from
	from, out r2.Vec  // where it begins, and its direction, a unit vector
	length    float64 // mm
	room      int     // of the hollow, counted from 0
}

// hollow is the hollow underside; nil for a solid one.
func (b *Base) hollow(s *parts.Site) *undercut {
	if b.Underside != "hollow" {
		return nil
	}
	return parts.Settled(s, b, func() *undercut { return b.undercut(s) })
}

// undercut lays out the ribs, the bosses and the vents of a hollow.
func (b *Base) undercut(s *parts.Site) *undercut {
	f := b.Footprints()[0]
	u := &undercut{base: b, foot: f, shape: f.Shape(), rib: math.Max(s.Print.Wall, ribThick)}
	for i := range b.Ribs {
		// Between the places that a ring of magnets takes first.
		sin, cos := math.Sincos(math.Pi * (float64(i) + 0.5) / float64(b.Ribs))
		u.ribs = append(u.ribs, r2.Vec{X: cos, Y: sin})
	}
	for _, p := range b.pockets(s) {
		u.boss = append(u.boss, planar.Disc{Centre: p.at, Radius: p.radius + bossWall})
	}
	u.ventAll()
	return u
}

// inWall is how far inside the wall a point is, mm.
func (u *undercut) inWall(p r2.Vec) float64 { return -u.shape.At(p) - u.base.Wall }

// clearance is how far a point is from the nearest rib or boss, mm; negative
// inside one.
func (u *undercut) clearance(p r2.Vec) float64 {
	least := u.foot.Reach()
	for _, r := range u.ribs {
		least = math.Min(least, math.Abs(r2.Cross(p, r))-u.rib/2)
	}
	for i := range u.boss {
		least = math.Min(least, u.boss[i].At(p))
	}
	return least
}

// ventAll gives every closed room of the hollow a way out, so that none is a
// cup: the rooms are found on a grid, and each is vented where its outer wall is
// farthest from ribs and bosses. Where vents are narrow, a room gets a second one
// across from it; so does a hollow of one room.
func (u *undercut) ventAll() {
	const step = 0.4 // mm: half of the least room that matters
	h := u.foot.Box().Max
	nx, ny := int(2*h.X/step)+1, int(2*h.Y/step)+1
	at := func(i int) r2.Vec {
		return r2.Vec{X: -h.X + step*(float64(i%nx)+0.5), Y: -h.Y + step*(float64(i/nx)+0.5)}
	}
	const solid, open = -1, 0
	room := make([]int, nx*ny)
	for i := range room {
		if p := at(i); u.inWall(p) <= 0.05 || u.clearance(p) <= 0.05 {
			room[i] = solid
		}
	}
	rooms := 0
	for i := range room {
		if room[i] != open {
			continue
		}
		rooms++
		cells := []int{i}
		room[i] = rooms
		for n := 0; n < len(cells); n++ {
			c := cells[n]
			for _, d := range [4]int{-1, 1, -nx, nx} {
				o := c + d
				if o < 0 || o >= len(room) || (d == 1 || d == -1) && o/nx != c/nx || room[o] != open {
					continue
				}
				room[o] = rooms
				cells = append(cells, o)
			}
		}
		u.ventRoom(cells, at)
		if u.vents[len(u.vents)-1].room = rooms - 1; u.ventHeight() < loneVent {
			u.ventAcross(cells, at)
		}
	}
	if rooms == 1 && len(u.vents) == 1 {
		var cells []int
		for i, r := range room {
			if r == 1 {
				cells = append(cells, i)
			}
		}
		u.ventAcross(cells, at)
	}
}

// ventHeight is how high a vent's notch is, mm: what is too low for a hole as
// high as it is wide is as high as the hollow.
func (u *undercut) ventHeight() float64 { return math.Min(u.base.Vent, u.base.hollowTop()) }

// ventRoom vents a room from the cell along its wall that is farthest from ribs
// and bosses, or where it has no wall of the rim, from its middle.
func (u *undercut) ventRoom(cells []int, at func(int) r2.Vec) {
	best, most := cells[0], math.Inf(-1)
	for _, c := range cells {
		p := at(c)
		score := math.Round(u.clearance(p)*100) / 100
		switch {
		case u.inWall(p) > 1:
			score -= 1000 // only where there is nothing along the wall
		case !u.straight(p):
			score -= 100 // a vent through a corner leaves its tip standing alone
		}
		if score > most {
			best, most = c, score
		}
	}
	u.ventFrom(at(best))
}

// straight says whether the wall runs on beside a point, as far as a vent is wide.
func (u *undercut) straight(p r2.Vec) bool {
	_, g := u.shape.Slope(p)
	side := r2.Scale(u.base.Vent/2+1, r2.Vec{X: -g.Y, Y: g.X})
	const bend = 0.8 // mm: the round walls of small bases bend by less
	return math.Abs(u.inWall(r2.Add(p, side))-u.inWall(p)) < bend && math.Abs(u.inWall(r2.Sub(p, side))-u.inWall(p)) < bend
}

// ventAcross gives the room that was vented last a second vent, as far from the
// first as may be; none where there is no place that leaves a post between the two.
func (u *undercut) ventAcross(cells []int, at func(int) r2.Vec) {
	first := u.vents[len(u.vents)-1]
	best, most := -1, u.base.Vent+bossWall
	for _, c := range cells {
		if p := at(c); u.inWall(p) <= 1 && u.straight(p) && u.clearance(p) >= u.base.Vent/2 {
			if d := r2.Norm(r2.Sub(p, first.at)); d > most {
				best, most = c, d
			}
		}
	}
	if best >= 0 {
		u.ventFrom(at(best))
		u.vents[len(u.vents)-1].room = first.room
	}
}

// ventFrom adds a vent outward from a point by the foot of the wall. It begins as
// much further in as the wall leans in over the height of the notch, so that no
// skin of the wall is left hanging before it.
func (u *undercut) ventFrom(p r2.Vec) {
	const over = 0.1 // mm
	d, g := u.shape.Slope(p)
	lean := over + u.base.Taper*u.ventHeight()/(u.base.Height-u.base.Chamfer)
	u.vents = append(u.vents, vent{at: p, from: r2.Sub(p, r2.Scale(lean, g)), out: g, length: 1 - d + lean})
}

// field is the hollow, as the solids to take away.
func (u *undercut) field() []sdf.Field {
	b := u.base
	top := b.hollowTop()
	var stay []sdf.Field
	reach := u.foot.Reach()
	const below, into = 2.0, 1.0 // mm below the foot and up into the roof
	for _, r := range u.ribs {
		rib := sdf.BoxBetween(sdf.V(-reach-1, -u.rib/2, -below), sdf.V(reach+1, u.rib/2, top+into))
		stay = append(stay, sdf.Place(rib, sdf.Turn(sdf.V(0, 0, 1), math.Atan2(r.Y, r.X)*180/math.Pi)))
	}
	var bosses []sdf.Field
	for _, d := range u.boss {
		bosses = append(bosses, drum(d.Centre, d.Radius, -below, top+into))
	}
	out := []sdf.Field{sdf.Difference(b.tapered(u.foot, b.Wall, -1, top), append(stay, bosses...)...)}
	high := u.ventHeight()
	for _, v := range u.vents {
		size := sdf.V(v.length, b.Vent, high+below)
		turn := sdf.Turn(sdf.V(0, 0, 1), math.Atan2(v.out.Y, v.out.X)*180/math.Pi)
		mid := r2.Add(v.from, r2.Scale(v.length/2, v.out))
		notch := sdf.Place(sdf.Box(size, 0), turn.Then(sdf.At(sdf.V(mid.X, mid.Y, (high-below)/2))))
		out = append(out, sdf.Difference(notch, bosses...))
	}
	return out
}

// hollowFaults reports a hollow that the rim has no room for.
func (b *Base) hollowFaults(f Footprint) []parts.Fault {
	if b.Underside != "hollow" {
		return nil
	}
	var faults []parts.Fault
	if top := b.hollowTop(); top < leastVent-1e-9 {
		faults = append(faults, parts.Fault{Part: b.Name, Key: "underside",
			Text:    fmt.Sprintf("a rim of %g mm under a roof of %g mm leaves a hollow %.2f mm high, too low for a vent", b.Height, b.Roof, top),
			Allowed: fmt.Sprintf("a height of at least %g mm, or a solid underside", b.Roof+leastVent)})
	}
	if clear := math.Min(f.Size.X, f.Size.Y) - 2*(b.Wall+b.Taper); clear < leastHollow {
		faults = append(faults, parts.Fault{Part: b.Name, Key: "underside",
			Text:    fmt.Sprintf("walls of %g mm leave a hollow %.2f mm wide", b.Wall, clear),
			Allowed: fmt.Sprintf("at least %g mm between the walls, or a solid underside", leastHollow)})
	}
	if b.Floor > b.Roof+b.Lift {
		faults = append(faults, parts.Fault{Part: b.Name, Key: "floor",
			Text:    fmt.Sprintf("%g mm over a hollow would stand above the base's level", b.Floor),
			Allowed: fmt.Sprintf("at most %g mm, the roof with the lift", b.Roof+b.Lift)})
	}
	return faults
}
