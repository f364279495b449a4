package collapse

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

const (
	// past is how far it cuts past the faces of a wall, and past its corners, mm.
	past = 0.8
	// sky is the height that it is open to, mm.
	sky = 1000
	// repose is the angle at which a heap is taken to lie where it matters how far it
	// reaches, degrees (references.md, section 6: broken stone 35 to 40).
	repose = 35
	// drawnIn is how much of its width a heap's ridge ends short of the stretch, at each end.
	// Common practice, no source.
	drawnIn = 0.35
)

// Throw is nothing: what came down is debris.
func (c *Collapse) Throw(*parts.Site) sdf.Field { return nil }

// gone is where work has come down.
func (c *Collapse) gone(z *sizes) sdf.Field {
	if z.floor != nil {
		return c.Area.Prism(z.under-0.3, z.floor.Level.Height+sky)
	}
	var all []sdf.Field
	u := &z.wall
	legs := planar.Line{Pts: planar.RaiseLine(u.Line, u.Foot)}.Sides()
	for i, leg := range legs {
		from, to := leg.From-past-u.Thick/2, leg.To+past+u.Thick/2 // what meets at a corner goes with either side
		if i == 0 {
			from = math.Inf(-1)
		}
		if i == len(legs)-1 {
			to = math.Inf(1)
		}
		from, to = math.Max(from, z.stations[0].at), math.Min(to, z.stations[len(z.stations)-1].at)
		if to-from < parts.LeastSize {
			continue
		}
		top := u.High + sky
		outline := []r2.Vec{
			{X: to - leg.From, Y: z.topAt(to)}, {X: to - leg.From, Y: top}, {X: from - leg.From, Y: top}, {X: from - leg.From, Y: z.topAt(from)},
		}
		for _, st := range z.stations {
			if st.at > from+1e-6 && st.at < to-1e-6 {
				outline = append(outline, r2.Vec{X: st.at - leg.From, Y: st.top})
			}
		}
		out := u.Thick + past
		hole := sdf.Place(sdf.Prism(outline, -out, out), sdf.Turn(sdf.V(1, 0, 0), 90))
		all = append(all, sdf.Place(hole, sdf.Turn(sdf.V(0, 0, 1), planar.HeadingOf(r3.Sub(leg.B, leg.A))).Then(sdf.At(leg.A))))
	}
	if len(all) == 0 {
		return sdf.Nothing()
	}
	return sdf.Union(all...)
}

// topAt is the height that stays of the wall at a distance along it.
func (z *sizes) topAt(at float64) float64 {
	for i := 1; i < len(z.stations); i++ {
		a, b := z.stations[i-1], z.stations[i]
		if at <= b.at {
			t := math.Max(0, math.Min(1, (at-a.at)/(b.at-a.at)))
			return a.top + t*(b.top-a.top)
		}
	}
	return z.stations[len(z.stations)-1].top
}

// Cut is what came down, its edge lumpy.
func (c *Collapse) Cut(s *parts.Site) sdf.Field {
	z := c.settled(s)
	if !z.open {
		return sdf.Nothing()
	}
	lumps := sdf.NewNoise(s.Rand(c.Name, c.Seed, "edge").Uint64(), 4*s.Print.Gap+1, 2)
	return sdf.Displace(c.gone(z), lumps, 0.6*c.Roughness)
}

// Bite is what came down.
func (c *Collapse) Bite(s *parts.Site) parts.Bite {
	z := c.settled(s)
	b := parts.Bite{Gone: sdf.Nothing(), Wide: 1, Seed: s.Rand(c.Name, c.Seed, "fracture").Uint64()}
	if !z.open {
		return b
	}
	b.Gone = c.gone(z)
	if z.floor != nil {
		size := r2.Sub(c.Area.Bounds().Max, c.Area.Bounds().Min)
		b.Wide = math.Min(size.X, size.Y)
	} else {
		b.Wide = math.Min(z.to-z.from, z.wall.High)
	}
	return b
}

// Fallen is the stretch of the wall, or the area of the floor with what is laid on it.
func (c *Collapse) Fallen(s *parts.Site) (patch parts.Patch, of []string) {
	return c.patch(s, c.settled(s))
}

func (c *Collapse) patch(s *parts.Site, z *sizes) (patch parts.Patch, of []string) {
	of = []string{c.Of}
	switch {
	case !z.open:
		return patch, of
	case z.floor == nil:
		return parts.Patch{Middle: z.line(z.from, z.to), Radius: z.wall.Thick / 2}, of
	}
	for _, f := range parts.Finishes(s, z.floor.Level.Height) {
		if planar.OutlinesMeet(f.Area.Outline(), c.Area.Outline()) {
			of = append(of, f.Part)
		}
	}
	return parts.Patch{Area: c.Area, Deep: z.floor.Level.Height - z.under}, of
}

// reach is how far a heap along a line of a length lies from it, for half of its volume or,
// on one side, all of it, mm: the section of a wedge at the angle of repose.
func reach(volume, long float64) float64 {
	slope := math.Tan(repose * math.Pi / 180)
	return math.Sqrt(2*volume/math.Max(long, 1e-6)/slope + 1e-12)
}

// Heaps are what came down, with its voids: along both faces of the wall or one, or about the
// middle of the area.
func (c *Collapse) Heaps(s *parts.Site) (all []parts.Heap) {
	z := c.settled(s)
	if !z.open {
		return nil
	}
	volume := c.Bulking * z.volume
	if z.floor != nil {
		a, b := c.ridge()
		return []parts.Heap{{A: a, B: b, Foot: z.under, Volume: volume}}
	}
	sides := map[string][]float64{"both": {1, -1}, "left": {1}, "right": {-1}}[c.Falls]
	volume /= float64(len(sides))
	draw := math.Min(drawnIn*reach(volume, z.to-z.from), 0.3*(z.to-z.from))
	line := z.line(z.from+draw, z.to-draw)
	for _, side := range sides {
		for i := 1; i < len(line); i++ {
			out := r2.Scale(side, planar.LeftNormal(line[i-1], line[i]))
			off := r2.Scale(z.wall.Thick/2, out)
			all = append(all, parts.Heap{A: r2.Add(line[i-1], off), B: r2.Add(line[i], off), Out: out, Stands: math.Max(0, z.least-0.5*z.wall.Course),
				Foot: z.wall.Foot, Volume: volume * planar.Norm2(r2.Sub(line[i], line[i-1])) / planar.LengthOf(line)})
		}
	}
	return all
}

// ridge is the middle of the area, along its longer side.
func (c *Collapse) ridge() (a, b r2.Vec) {
	box := c.Area.Bounds()
	mid, size := r2.Scale(0.5, r2.Add(box.Min, box.Max)), r2.Sub(box.Max, box.Min)
	half := r2.Vec{X: math.Max(0, size.X-size.Y) / 2}
	if size.Y > size.X {
		half = r2.Vec{Y: (size.Y - size.X) / 2}
	}
	return r2.Sub(mid, half), r2.Add(mid, half)
}

// Strewn is where debris of it lies: along the wall as far out as its heaps, or about the
// middle of the area.
func (c *Collapse) Strewn(s *parts.Site) (middle []r2.Vec, radius float64) {
	z := c.settled(s)
	if !z.open {
		return nil, 0
	}
	if z.floor != nil {
		size := r2.Sub(c.Area.Bounds().Max, c.Area.Bounds().Min)
		a, b := c.ridge()
		if radius = math.Min(size.X, size.Y) / 2; planar.Norm2(r2.Sub(b, a)) < radius/4 {
			return []r2.Vec{r2.Scale(0.5, r2.Add(a, b))}, radius
		}
		return []r2.Vec{a, b}, radius
	}
	volume := c.Bulking * z.volume
	if c.Falls == "both" {
		volume /= 2
	}
	return z.line(z.from, z.to), z.wall.Thick/2 + reach(volume, z.to-z.from)
}

// Under is the underside of a floor, so that none of it lies on top of what is left.
func (c *Collapse) Under(s *parts.Site) float64 {
	if z := c.settled(s); z.open && z.floor != nil {
		return z.under
	}
	return math.Inf(1)
}

// Plan is the stretch of the wall across its thickness, or the area.
func (c *Collapse) Plan(s *parts.Site) []parts.Stroke {
	z := c.settled(s)
	switch {
	case !z.open:
		return nil
	case z.floor != nil:
		return []parts.Stroke{{Line: parts.LineDamage, Path: c.Area.Path(), Closed: true}}
	}
	line := z.line(z.from, z.to)
	return []parts.Stroke{
		{Line: parts.LineDamage, Path: planar.Straight(planar.Band(line, z.wall.Thick/2)...), Closed: true},
		{Line: parts.LineScar, Path: planar.Straight(line...)},
	}
}

// Sights is the stump with its heap, or the hole.
func (c *Collapse) Sights(l parts.Lookout) []parts.Sight {
	z := c.settled(l.Site())
	if !z.open {
		return nil
	}
	in := func(q r2.Vec, up float64) r3.Vec { return l.Pose().Invert(sdf.V(q.X, q.Y, up)) }
	shows, wide, foot := false, 0.0, z.wall.Foot
	azimuths := parts.AroundFront()
	var line []r2.Vec
	if z.floor != nil {
		a, b := c.ridge()
		line, foot = []r2.Vec{a, b}, z.under
		wide = planar.Norm2(r2.Sub(c.Area.Bounds().Max, c.Area.Bounds().Min)) / 2
	} else {
		line = z.line(z.from, z.to)
		wide = math.Max(0.6*(z.to-z.from), l.Person()/2)
	}
	legs := planar.Line{Pts: planar.RaiseLine(line, 0)}.Sides()
	if len(legs) == 0 {
		legs = []planar.Leg{{A: planar.Raise(line[0]), B: planar.Raise(line[0]), To: 1}}
	}
	var marks []r3.Vec
	long := legs[len(legs)-1].To
	for _, t := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
		q := in(planar.OnPlan(planar.PointAt(legs, t*long)), 0)
		if l.Top(planar.OnPlan(q)) > 0 {
			continue
		}
		if h, ok := l.Drop(planar.OnPlan(q), l.Box().Max.Z); ok {
			at := sdf.V(q.X, q.Y, h)
			_, spilt := l.PartAt(at).(parts.Spiller)
			shows = shows || spilt || l.PartAt(at) == parts.Part(c)
			marks = append(marks, at)
		}
	}
	if !shows || len(marks) == 0 {
		return nil
	}
	middle := in(planar.OnPlan(planar.PointAt(legs, long/2)), foot)
	sight := parts.Sight{Kind: "collapse", Part: c, Name: "collapse-" + c.Name}
	sight.Box = l.Framed(parts.About(planar.OnPlan(middle), wide, middle.Z-1, middle.Z+math.Max(1.5*c.Stump, parts.Headroom*l.Person())))
	sight.From = l.Freest(marks, azimuths)
	return []parts.Sight{sight}
}
