package house

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Solid is rafters, what lies on them and what carries them.
func (f *Roof) Solid(s *parts.Site) sdf.Field {
	cover, timbers, under := f.made(s)
	return sdf.Union(cover, timbers, under)
}

// made is the covering, the rafters and battens, and what is under them.
func (f *Roof) made(s *parts.Site) (cover, timbers, under sdf.Field) {
	z, left := f.settled(s), f.left(s)
	var covers, rafters []sdf.Field
	for n := range left {
		frame := z.frame(f, n)
		end := z.end(n)
		lies := append(f.covering(s, z, &left[n]), f.battenPieces(s, z, &left[n])...)
		if len(lies) > 0 {
			covers = append(covers, sdf.Intersection(sdf.Place(sdf.Union(lies...), frame), end))
		}
		rafters = append(rafters, sdf.Intersection(sdf.Union(f.rafters(s, z, &left[n], n, frame)...), end))
	}
	for _, t := range f.ridgeTiles(s, z, left) {
		covers = append(covers, sdf.Place(t, z.pose))
	}
	if f.Under == "solid" {
		under = f.loft(s, z)
	} else {
		under = sdf.Union(f.plates(s, z)...)
	}
	rafters = append(rafters, f.head(z))
	return sdf.Union(covers...), sdf.Union(rafters...), under
}

// end is where a slope ends at its top: at the ridge, in the wall or at its reach.
func (z *roofSizes) end(n int) sdf.Field {
	const over = 0.05
	at := -z.half.Y + z.reach + over
	if z.slopes == 1 && z.reach == z.run {
		at += parts.Embed // into the wall
	}
	way := 1.0
	if n == 1 {
		way = -1
	}
	return sdf.Place(sdf.HalfSpace(sdf.V(0, way, 0), at), z.pose)
}

// rafters are those of a slope, from its lower end to its top; broken off at a top that is
// none.
func (f *Roof) rafters(s *parts.Site, z *roofSizes, left *slope, n int, frame sdf.Pose) (all []sdf.Field) {
	rng := s.Rand(f.Name, f.Seed+1000003*uint64(n), "rafters")
	pose := sdf.Turn(sdf.V(0, 0, 1), 90).Then(frame) // x up the slope, y back along the eaves
	for _, x := range left.rafters {
		long, seed := z.length()+2*z.deep, rng.Uint64()
		lo, hi := sdf.V(0, -x-z.wide/2, -z.deep), sdf.V(long, -x+z.wide/2, 0)
		if z.reach < z.run {
			hi.X = z.length() - 0.35*z.gauge*rng.Float64()
			all = append(all, snapped(pose, lo, hi, seed, 1))
			continue
		}
		all = append(all, sawn(s, pose, lo, hi, seed))
	}
	return all
}

// head is the board along the top of the rafters, which holds them: at the ridge, at the wall
// or a purlin under a top that is broken off.
func (f *Roof) head(z *roofSizes) sdf.Field {
	hyp := math.Hypot(1, z.tan)
	var all []sdf.Field
	for n := range z.slopes {
		at := -z.half.Y + z.reach - z.wide/2
		if z.reach < z.run {
			at -= 0.8 * z.gauge / hyp
		}
		top := f.Eaves.Height + z.over() + (at-z.wide/2+z.half.Y)*z.tan - 0.05
		low := top - z.deep*hyp
		lo, hi := sdf.V(-z.half.X, at-z.wide/2, low), sdf.V(z.half.X, at+z.wide/2, top)
		if n == 1 {
			lo, hi = sdf.V(-z.half.X, -hi.Y, low), sdf.V(z.half.X, -lo.Y, top)
		}
		all = append(all, z.box(lo, hi))
	}
	return sdf.Union(all...)
}

// recess is how far the work under a roof lies below the top of its rafters, mm.
func (z *roofSizes) recess(s *parts.Site) float64 { return math.Min(0.6*z.deep, 3.5*s.Print.Relief) }

// loft is solid work from the floor up to between the rafters, of brick, boarded on top, with a
// cove under the eaves. Where a wall stands at a side it ends within that.
func (f *Roof) loft(s *parts.Site, z *roofSizes) sdf.Field {
	foot := groundUnder(s, f.Area.Outline(), f.Eaves.Height)
	in := f.insets(s, z, foot)
	lo := sdf.V(-z.half.X+in[2], -z.half.Y+in[0], foot)
	hi := sdf.V(z.half.X-in[3], -z.half.Y+z.reach, f.Eaves.Height+z.over()+z.rise)
	whole := z.reach == z.run
	if z.slopes == 1 && whole {
		hi.Y -= in[1]
	}
	if z.slopes == 2 && whole {
		hi.Y = z.half.Y - in[1] // one body under both slopes
	}
	bricks := f.brickwork(s)
	rng := s.Rand(f.Name, f.Seed, "boarding")
	roofed := func(body sdf.Field, n int) sdf.Field { // under a slope
		pitch := math.Max(s.OnPrint(150), 5*s.Print.Gap)
		deep := math.Min(s.Print.Relief, 0.4*z.recess(s))
		boards := relief.Sum(relief.NewGrooves(rng.Uint64(), pitch, 1.4*s.Print.Gap, deep, 0.7, 0.1*pitch),
			relief.NewFacets(rng.Uint64(), 1.5, 1.2*s.Grain(), 0.3))
		under := relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), -z.recess(s)), relief.Place(boards, sdf.Turn(sdf.V(0, 0, 1), 90)))
		return sdf.Intersection(body, sdf.Place(under, z.frame(f, n)))
	}
	half := sdf.Place(relief.Carve(sdf.BoxBetween(lo, hi), bricks), z.pose)
	switch {
	case z.slopes == 1:
		half = roofed(half, 0)
	case whole:
		half = roofed(roofed(half, 0), 1)
	default:
		other := sdf.Place(relief.Carve(sdf.BoxBetween(sdf.V(-hi.X, -hi.Y, lo.Z), sdf.V(-lo.X, -lo.Y, hi.Z)), bricks), z.pose)
		half = sdf.Union(roofed(half, 0), roofed(other, 1))
	}
	all := []sdf.Field{half}
	for n := range z.slopes {
		if c := f.cove(s, z, in, n, foot); c != nil {
			all = append(all, c)
		}
	}
	return sdf.Union(all...)
}

// brickwork is the relief of the sides of the solid work, in the frame of the roof.
func (f *Roof) brickwork(s *parts.Site) relief.Relief {
	rng := s.Rand(f.Name, f.Seed, "brickwork")
	long, course := math.Max(s.OnPrint(225), 8*s.Print.Gap), math.Max(s.OnPrint(75), 3*s.Print.Gap)
	deep := 0.8 * s.Print.Relief
	return surface.AllRound(relief.Sum(relief.NewPanels(rng.Uint64(), long, course, s.Print.Gap, deep, 0.35*deep, 0),
		relief.NewFacets(rng.Uint64(), 1.2, 0.4*deep, 0.4)), 0)
}

// cove is what stands out under the eaves of a side to carry them, its underside at 45 degrees;
// nil where they do not stand out, or a wall stands there.
func (f *Roof) cove(s *parts.Site, z *roofSizes, in [4]float64, n int, foot float64) sdf.Field {
	const lip = 0.3
	out := 0.8 * z.out
	if in[n] > 0 || out < s.Print.Relief {
		return nil
	}
	deep := z.recess(s) * math.Hypot(1, z.tan)
	top := func(y float64) float64 { return f.Eaves.Height + z.over() + (y+z.half.Y)*z.tan - deep }
	y := -z.half.Y
	inner := y + math.Min(1, z.reach/2)
	low := math.Max(foot, top(y-out)-lip-out)
	outline := section(inner, low, inner, top(inner), y-out, top(y-out), y-out, top(y-out)-lip, y, low)
	// The plane of the section is turned so that it looks along x.
	pose := sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.Turn(sdf.V(0, 0, 1), 90))
	body := sdf.Place(sdf.Prism(outline, -z.half.X+in[2], z.half.X-in[3]), pose)
	if n == 1 {
		body = sdf.Place(body, sdf.Turn(sdf.V(0, 0, 1), 180))
	}
	return sdf.Place(body, z.pose)
}

// insets are how far within the sides of the area the work ends: at the eaves, opposite, and
// at either end.
func (f *Roof) insets(s *parts.Site, z *roofSizes, foot float64) (in [4]float64) {
	all, within := walls(s), parts.Embed+s.Print.Relief
	const looks = 5
	up := math.Max(foot+2*parts.Embed, f.Eaves.Height-2*z.wide)
	for side := range in {
		held := 0
		for i := range looks {
			t := 0.8 * (2*float64(i)/(looks-1) - 1)
			q := [4]r2.Vec{{X: t * z.half.X, Y: -z.half.Y + within}, {X: t * z.half.X, Y: z.half.Y - within},
				{X: -z.half.X + within, Y: t * z.half.Y}, {X: z.half.X - within, Y: t * z.half.Y}}[side]
			if all.Value(z.pose.Apply(sdf.V(q.X, q.Y, up))) < 0 {
				held++
			}
		}
		if 2*held > looks {
			in[side] = within
		}
	}
	return in
}

// plates carry an open roof at its eaves and at its top: on a wall where one stands under all
// of them, else on posts.
func (f *Roof) plates(s *parts.Site, z *roofSizes) (all []sdf.Field) {
	side := math.Max(z.post, z.wide)
	walled := walls(s)
	hyp := math.Hypot(1, z.tan)
	type line struct{ y, low, top float64 }
	var lines []line
	for n := range z.slopes {
		way := 1 - 2*float64(n)
		lines = append(lines, line{way * (-z.half.Y + side/2), f.Eaves.Height - 0.8*side, f.Eaves.Height + 0.3})
		at := -z.half.Y + z.reach - side/2
		under := f.Eaves.Height + z.over() + (at-side/2+z.half.Y)*z.tan - z.deep*hyp
		if z.slopes == 2 && z.reach == z.run && n == 1 {
			continue // one under the ridge is enough
		}
		lines = append(lines, line{way * at, under - 0.8*side, under + 0.4*z.deep})
	}
	for _, l := range lines {
		all = append(all, z.box(sdf.V(-z.half.X, l.y-side/2, l.low), sdf.V(z.half.X, l.y+side/2, l.top)))
		held := true
		const looks = 7
		for i := range looks {
			x := z.half.X * 0.9 * (2*float64(i)/(looks-1) - 1)
			held = held && walled.Value(z.pose.Apply(sdf.V(x, l.y, l.low-0.2))) < 0
		}
		if !held {
			posts, _ := z.posts(s, r2.Vec{X: -z.half.X, Y: l.y}, r2.Vec{X: z.half.X, Y: l.y}, side, postSpacing*side, l.low+0.3*side)
			all = append(all, posts...)
		}
	}
	return all
}

// Bitten is what bites leave of it: the covering goes in small pieces, rafters and what is under
// them in larger ones.
func (f *Roof) Bitten(s *parts.Site, bites []parts.Bite, _ sdf.Field) []parts.Remains {
	z := f.settled(s)
	cover, timbers, under := f.made(s)
	size := math.Max(fracture.Size(s, z.deep, bites), 2*s.Print.Wall)
	broken := func(work sdf.Field, size float64) parts.Remains {
		b := work.Bounds()
		floor := b.Min.Z
		return parts.Remains{Work: work, Taken: fracture.Break{Work: work, Box: b, Size: fracture.Even(size),
			Held: func(p r3.Vec) bool { return p.Z < floor+size }}.Taken(bites)}
	}
	return []parts.Remains{broken(cover, math.Max(1.2*z.gauge, 2*s.Print.Wall)), broken(timbers, size), broken(under, 1.5*size)}
}
