package deck

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Solid is the slab with what carries it and its edge.
func (d *Deck) Solid(s *parts.Site) sdf.Field {
	z := d.settled(s)
	solids := []sdf.Field{d.slab(s, z)}
	if d.On != "solid" {
		solids = append(solids, d.carriers(s, z))
	}
	if e := d.edge(s, z); e != nil {
		solids = append(solids, e)
	}
	return sdf.Union(solids...)
}

// slab is what its floor is, without its edge: solid work where that is what carries it.
func (d *Deck) slab(s *parts.Site, z *layout) sdf.Field {
	low := z.soffit
	if d.On == "solid" {
		low = z.foot
	}
	top, high := d.top(s, z), d.Level.Height
	if top != nil {
		const clear = 1 // so that its relief alone ends it
		high += clear
	}
	slab := relief.Carve(d.Area.Prism(low, high), d.flank(s, low))
	slab = surface.CutTop(slab, d.Level.Height, top)
	return parts.LowerUnderFinishes(s, slab, d.Level.Height)
}

// dressing is the surface of its top: the scene's, else what suits its material.
func (d *Deck) dressing() string {
	if d.Surface != nil {
		return *d.Surface
	}
	return surface.OfMaterial(d.Material)
}

// top is the texture of the slab, along the longer side of the deck; flat at the foot and
// the head of a flight.
func (d *Deck) top(s *parts.Site, z *layout) relief.Relief {
	pose, half := d.frame()
	turn := d.Area.Turn
	if half.Y > half.X {
		turn += 90
	}
	if d.dressing() == surface.Boards { // boards lie across what carries them
		turn += 90
	}
	seed := s.Rand(d.Name, d.Seed, "surface").Uint64()
	return surface.ClearOfLandings(s, surface.Laid(surface.Floor(s, d.dressing(), seed), turn, pose.Apply(r3.Vec{})), d.Level.Height)
}

// flank is the texture of its sides, from its underside or the ground to a little below
// its top.
func (d *Deck) flank(s *parts.Site, low float64) relief.Relief {
	_, half := d.frame()
	from, to := low, d.Level.Height-s.Print.Relief
	if d.On != "solid" {
		from += s.Print.Relief
	}
	if to-from < s.Print.Relief {
		return nil
	}
	h := surface.Flank(s, d.dressing(), s.Rand(d.Name, d.Seed, "flank").Uint64(), min(1.5*s.Print.Relief, 0.2*min(half.X, half.Y)))
	return surface.AllRound(relief.Band(h, from, to, 1), d.Area.Turn)
}

// worked gives a kerb or a nosing joints and a texture like that of the slab.
func (d *Deck) worked(s *parts.Site, f sdf.Field, most float64) sdf.Field {
	if d.dressing() == surface.Plain {
		return f
	}
	seed := s.Rand(d.Name, d.Seed, "kerb").Uint64()
	long := max(s.OnPrint(915), 12*s.Print.Gap) // BS EN 1340 usage
	return relief.Carve(f, surface.Kerb(s, seed, long, most))
}

// carriers are the piers or walls, and the beams over them; solid work where none fits.
func (d *Deck) carriers(s *parts.Site, z *layout) sdf.Field {
	top := z.soffit + min(parts.Embed, 0.3) // into the slab
	if len(z.piers)+len(z.walls) == 0 {
		return d.Area.Prism(z.foot, top)
	}
	box := func(size, at r3.Vec, ease float64) sdf.Field {
		return sdf.Place(sdf.Box(size, ease), sdf.At(at).Then(z.pose))
	}
	var out []sdf.Field
	if d.On == "walls" {
		inner := sdf.Offset(d.Area.Prism(z.foot-2*d.Inset-1, top+2*d.Inset+1), -d.Inset)
		for _, a := range z.walls {
			size, at := sdf.V(z.side, 2*z.half.Y, top-z.foot), sdf.V(a, 0, (z.foot+top)/2)
			if !z.wallsAcross {
				size, at = sdf.V(2*z.half.X, z.side, top-z.foot), sdf.V(0, a, (z.foot+top)/2)
			}
			out = append(out, sdf.Intersection(inner, box(size, at, 0)))
		}
		return sdf.Union(out...)
	}
	for _, p := range z.piers {
		out = append(out, box(sdf.V(z.side, z.side, top-z.foot), sdf.V(p.X, p.Y, (z.foot+top)/2), min(z.side*0.08, 0.3)))
	}
	if d.Soffit == "beams" {
		depth := max(s.Print.Relief, z.side*0.6)
		if z.foot+parts.Embed < z.soffit-depth { // beams that would touch the ground carry nothing
			inner := sdf.Offset(d.Area.Prism(z.soffit-depth-2*d.Inset-1, top+2*d.Inset+1), -d.Inset)
			for _, v := range z.rows {
				out = append(out, sdf.Intersection(inner,
					box(sdf.V(2*z.half.X, z.side, depth+top-z.soffit), sdf.V(0, v, (z.soffit-depth+top)/2), 0)))
			}
		}
	}
	return sdf.Union(out...)
}

// stairsUp are the flights that lead up to the deck's level.
func (d *Deck) stairsUp(s *parts.Site) (up []parts.Climber) {
	for _, st := range parts.AllOf[parts.Climber](s) {
		if math.Abs(st.Flight(s).To-d.Level.Height) <= parts.SameHeight {
			up = append(up, st)
		}
	}
	return up
}

// edge is the kerb or nosing along the deck's outline, nil for a plain edge. It
// gives way to the stairs that lead up to the deck: the last riser is the slab's
// own edge, and nothing hangs over a tread.
func (d *Deck) edge(s *parts.Site, z *layout) sdf.Field {
	switch d.Edge {
	case "kerb":
		w := z.kerb
		low, high := z.top-min(parts.Embed, d.Thickness/2), d.Level.Height+z.upstand
		inner := sdf.Offset(d.Area.Prism(low-w-2, high+w+2), -w)
		gaps := []sdf.Field{inner}
		for _, st := range d.stairsUp(s) {
			up := st.Flight(s)
			line := up.HeadLine()
			mid := r3.Scale(0.5, r3.Add(line[0], line[1]))
			size := sdf.V(up.Width, 4*w+2*parts.Embed, 2*(high-low))
			gaps = append(gaps, sdf.Place(sdf.Box(size, 0),
				sdf.Turn(sdf.V(0, 0, 1), up.Facing-90).Then(sdf.At(sdf.V(mid.X, mid.Y, d.Level.Height+size.Z/2)))))
		}
		return sdf.Difference(d.worked(s, d.Area.Prism(low, high), z.upstand/3), gaps...)
	case "nosing":
		out := z.kerb
		var rooms []sdf.Field
		for _, st := range d.stairsUp(s) {
			rooms = append(rooms, st.RoomOver(s, z.top-3*out-1, d.Level.Height+1, out))
		}
		low := z.top - 3*out - 0.02
		const clear = 1 // so that its underside stays plain: there it is a ceiling
		nosing := d.worked(s, sdf.Offset(d.Area.Prism(low+out-clear, z.top-out), out), out/2)
		return sdf.Difference(sdf.Intersection(nosing, sdf.HalfSpace(sdf.V(0, 0, -1), -low)), rooms...)
	}
	return nil
}
