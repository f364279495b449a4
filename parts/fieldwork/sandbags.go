package fieldwork

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/sdf"
	"socle/sdf/relief"
)

// Sandbags are a wall of filled bags in courses.
type Sandbags struct {
	Line
	Height    float64 `key:"height" type:"height" doc:"over its floor; as many whole courses as come near it" default:"1.2 m" min:"0.5" max:"100" source:"common practice, no source"`
	Length    float64 `key:"length" type:"length" doc:"of a filled bag" default:"500 mm" min:"0.5" max:"50" source:"common practice, no source"`
	Width     float64 `key:"width" type:"length" doc:"of a filled bag" default:"250 mm" min:"0.3" max:"50" source:"common practice, no source"`
	Thickness float64 `key:"thickness" type:"height" doc:"of a filled bag" default:"120 mm" min:"0.2" max:"50" source:"common practice, no source"`
	Bond      string  `key:"bond" type:"word" doc:"courses of headers and of stretchers in turn, as thick as a bag is long, or stretchers alone, as thick as a bag is wide" default:"headers" words:"headers,stretchers"`
	Ruin      float64 `key:"ruin" type:"number" doc:"0 whole .. 1 a low heap: how much of its top is missing or torn" default:"0" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "sandbags", Stage: parts.Fitting, Group: "Fieldworks",
		Doc: "A wall of filled bags in courses, each sagging over those below.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "mud"

[[sandbags]]
line = [[12, 15], [24, 31], [52, 31]]
height = "1.1 m"
ruin = 0.15

[[crate]]
at = [[36, 19]]
turn = 20
length = "700 mm"
width = "400 mm"
height = "320 mm"
`,
		New: func() parts.Part { return &Sandbags{} },
	})
}

// bagSizes are those of a wall of bags as it is drawn, mm.
type bagSizes struct {
	long, wide, thick float64 // of a bag
	courses           int
	rise              float64 // from course to course: bags are pressed into each other
	high              float64
	through           float64 // of the wall
	notes             parts.Notes
}

// pressed is how much of a bag's thickness a course adds to those below it, tight how much
// longer a bag is than its share of the course. Common practice, no source.
const (
	pressed = 0.78
	tight   = 1.07
)

func (w *Sandbags) settled(s *parts.Site) *bagSizes {
	return parts.Settled(s, w, func() *bagSizes {
		z := &bagSizes{notes: parts.Notes{Part: w.Name}}
		z.thick = z.notes.AtLeast("thickness", w.Thickness, s.Print.Wall, "bag, a wall")
		z.wide = z.notes.AtLeast("width", w.Width, 1.6*s.Print.Wall, "bag, a wall and a half")
		z.long = z.notes.AtLeast("length", w.Length, 2*z.wide, "bag, twice as long as wide")
		z.courses = max(1, 1+int(math.Round((w.Height-z.thick)/(pressed*z.thick))))
		z.rise = pressed * z.thick
		z.high = z.thick + float64(z.courses-1)*z.rise
		z.through = z.wide
		if w.Bond == "headers" {
			z.through = z.long
		}
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (w *Sandbags) Notes(s *parts.Site) []parts.Note { return w.settled(s).notes.List }

func (w *Sandbags) across(s *parts.Site) (wide, high float64) {
	z := w.settled(s)
	return z.through, z.high
}

func (w *Sandbags) unit(s *parts.Site) (long float64, abreast int) {
	z := w.settled(s)
	return z.long, 2 * z.courses
}

// bag is one of the wall, in the frame of its leg.
type bag struct {
	g          *leg
	course     int
	row        int // of the course, across the wall
	from, to   float64
	back, face float64 // across
	header     bool
	torn       bool
	seed       uint64
	next       int // that lies beside it further along its row, -1 for none
}

// laid are the bags of the wall, course by course along each leg; what is missing is left
// out. Settled once.
func (w *Sandbags) laid(s *parts.Site) []bag {
	return parts.Settled(s, w, func() (all []bag) {
		z := w.settled(s)
		legs := w.legs(s)
		for i := range legs {
			on := len(all)
			for _, b := range w.legBags(s, z, &legs[i]) {
				if b.next >= 0 {
					b.next += on
				}
				all = append(all, b)
			}
		}
		return all
	})
}

func (w *Sandbags) legBags(s *parts.Site, z *bagSizes, g *leg) (all []bag) {
	var gone []bool
	rng := s.Rand(w.Name, w.Seed+uint64(g.n), "bags")
	// The skyline of a ruin: how many courses are left at places a bag apart.
	spots := make([]float64, 3+int(g.long/z.long))
	for i := range spots {
		spots[i] = float64(z.courses) * (1 - w.Ruin*(0.25+0.75*rng.Float64()))
	}
	left := func(x float64) float64 {
		t := math.Max(0, x/z.long)
		i := min(int(t), len(spots)-2)
		return spots[i] + (spots[i+1]-spots[i])*math.Min(1, t-float64(i))
	}
	for c := range z.courses {
		from, to := 0.0, g.long
		// Where two legs meet, the courses of one and of the other run to the corner in turn.
		reach := z.through / 2 * float64(1-2*(c%2))
		if g.n > 0 {
			from = math.Min(reach, g.long/3)
		}
		if !g.last {
			to += math.Max(reach, -g.long/3)
		}
		header := w.Bond == "headers" && c%2 == 1
		rows, each := 1, z.long
		switch {
		case header:
			each = z.wide
		case w.Bond == "headers":
			rows = 2
		}
		for row := range rows {
			share := (to - from) / math.Max(1, math.Round((to-from)/each))
			at := from
			laps := c
			if rows == 2 {
				laps = row + c/2
			}
			if !header && laps%2 == 1 { // breaking the joints of the row beside it and of the course below
				at -= share / 2
			}
			for first := true; at < to-0.01*share; first = false {
				a, b := math.Max(from, at), math.Min(to, at+share)
				at += share
				e := bag{g: g, course: c, row: row, from: a, to: b, header: header, seed: rng.Uint64(), next: -1}
				e.back, e.face = -z.through/2, z.through/2
				if rows == 2 {
					e.back, e.face = [2]float64{-z.through / 2, 0}[row], [2]float64{0, z.through / 2}[row]
				}
				tear := rng.Float64()
				gone = append(gone, float64(c) > left((a+b)/2)-0.5 && c > 0)
				e.torn = w.Ruin > 0 && tear < 0.6*w.Ruin && float64(c) > left((a+b)/2)-1.5
				if !first && len(all) > 0 {
					if last := &all[len(all)-1]; last.course == c && last.row == row && math.Abs(last.to-a) < parts.Nearly {
						last.next = len(all)
					}
				}
				all = append(all, e)
			}
		}
	}
	return standing(all, gone, w.Ruin > 0)
}

// standing are the bags of all that are left where some are gone: none that has lost a good
// part of what it lay on. Those of a leg are in the order of their courses. In a ruin none
// hangs on another leg at a corner.
func standing(all []bag, gone []bool, ruin bool) (out []bag) {
	place := make([]int, len(all)) // where each is among those that stand
	for i := range all {
		place[i] = -1
		b := &all[i]
		lost := gone[i]
		lay, lies := 0.0, 0.0 // on how much of those below, mm2
		for k := 0; k < i && b.course > 0; k++ {
			o := &all[k]
			if o.g != b.g || o.course != b.course-1 {
				continue
			}
			face := math.Max(0, math.Min(b.to, o.to)-math.Max(b.from, o.from)) * math.Max(0, math.Min(b.face, o.face)-math.Max(b.back, o.back))
			lay += face
			if place[k] >= 0 {
				lies += face
			}
		}
		const enough = 0.97
		if ruin {
			lay = (b.to - b.from) * (b.face - b.back)
		}
		if lost || b.course > 0 && lies < enough*lay {
			continue
		}
		place[i] = len(out)
		out = append(out, *b)
	}
	for i := range all {
		if place[i] >= 0 && all[i].next >= 0 {
			out[place[i]].next = place[all[i].next]
		}
	}
	return out
}

func (w *Sandbags) bodies(s *parts.Site) (all []body) { return w.filled(s, w.laid(s)) }

// filled are the bodies of bags, joined in the middle of the wall.
func (w *Sandbags) filled(s *parts.Site, bags []bag) (all []body) {
	z := w.settled(s)
	for i := range bags {
		b := &bags[i]
		solids := []sdf.Field{w.one(s, z, b), z.core(b, b.from+math.Min(inset*z.thick, 0.4*(b.to-b.from)), b.to-math.Min(inset*z.thick, 0.4*(b.to-b.from)))}
		if b.next >= 0 {
			n := &bags[b.next]
			solids = append(solids, z.core(b, (b.from+b.to)/2, (n.from+n.to)/2))
		}
		low := z.low(b)
		box := r3.Box{Min: sdf.V(b.from, b.back, low), Max: sdf.V(b.to, b.face, low+z.thick)}
		if b.course == 0 {
			box.Min.Z = b.g.foot
		}
		all = append(all, body{solid: sdf.Place(sdf.Union(solids...), b.g.pose), frame: b.g.pose, box: box})
	}
	return all
}

// low is the underside of a bag over its floor.
func (z *bagSizes) low(b *bag) float64 { return float64(b.course) * z.rise }

// inset is how far within the faces of the wall it is filled, as a share of a bag's thickness.
const inset = 0.28

// core fills the middle of the wall between two places along it, from the middle of the bags
// below up to the middle of a bag: no hollow is left between rounded bags.
func (z *bagSizes) core(b *bag, from, to float64) sdf.Field {
	in := inset * z.thick
	back, face := b.back, b.face
	if face > 0.01 || b.header {
		face -= in
	}
	if back < -0.01 || b.header {
		back += in
	}
	low := z.low(b) - 0.5*z.thick
	if b.course == 0 {
		low = b.g.foot
	}
	return sdf.BoxBetween(sdf.V(from, back, low), sdf.V(to, face, z.low(b)+0.62*z.thick))
}

// one is a bag: two halves that hang a little over those below, with lumps, creases across
// and a seam at its ends.
func (w *Sandbags) one(s *parts.Site, z *bagSizes, b *bag) sdf.Field {
	rnd := func(k int64) float64 { return float64(sdf.Hash(b.seed, k, 0, 3)&0xffff)/0x8000 - 1 } // -1..1
	long, wide := b.to-b.from, b.face-b.back
	turn := 0.0
	if b.header {
		long, wide, turn = wide, long, 90
	}
	short := long < 0.8*z.long // a bag folded at the end of a course
	long, wide = tight*long, tight*wide
	thick := z.thick
	if b.torn {
		thick *= 0.8
	}
	round := 0.48 * thick
	// A lens leaves what is filled high in the middle: above and below, along and across.
	lens := func(width, drop, length float64, along bool, up float64) sdf.Field {
		r := (width*width/4 + drop*drop) / (2 * drop)
		tip := sdf.Turn(sdf.V(1, 0, 0), 90)
		if along {
			tip = sdf.Turn(sdf.V(0, 1, 0), 90)
		}
		c := sdf.Place(sdf.Cylinder(r, 2*length, 0), sdf.At(sdf.V(0, 0, -length)))
		return sdf.Place(c, tip.Then(sdf.At(sdf.V(0, 0, up*(thick/2-r)))))
	}
	pillow := func(half float64) sdf.Field {
		shape := []sdf.Field{sdf.Box(sdf.V(half, wide, thick), round), lens(wide, 0.2*thick, half, true, 1), lens(half, 0.15*thick, wide, false, 1)}
		if b.course > 0 {
			shape = append(shape, lens(wide, 0.24*thick, half, true, -1), lens(half, 0.2*thick, wide, false, -1))
		}
		return sdf.Intersection(shape...)
	}
	var cloth sdf.Field
	sag := -4 * math.Abs(rnd(1)) // its ends go up, if anywhere: one that hangs over a joint would begin in the air
	if b.course == 0 {
		sag = 0
	}
	if short {
		cloth = pillow(long)
	} else {
		half := 0.62 * long
		end := func(side float64) sdf.Field {
			lie := sdf.Turn(sdf.V(0, 1, 0), side*sag).Then(sdf.Turn(sdf.V(0, 0, 1), 2.5*side*rnd(2)))
			return sdf.Place(pillow(half), lie.Then(sdf.At(sdf.V(side*0.19*long, 0, 0))))
		}
		cloth = sdf.Union(end(-1), end(1))
	}
	// The seam that it is sewn up with.
	lip := sdf.V(1.03*long, 0.74*wide, math.Max(0.36*thick, math.Min(0.8*s.Print.Wall, 0.6*thick)))
	cloth = sdf.Union(cloth, sdf.Place(sdf.Box(lip, 0.15*thick), sdf.Turn(sdf.V(1, 0, 0), 7*rnd(3))))
	cloth = sdf.Displace(cloth, sdf.NewNoise(b.seed, 0.9*wide, 1), 0.08*thick)
	pitch := math.Max(3*s.Print.Gap, 0.13*long)
	crease := relief.Bent(relief.NewGrooves(b.seed, pitch, 1.3*s.Print.Gap, 0.6*math.Min(s.Print.Relief, 0.15*thick), 0,
		0.4*pitch), b.seed+1, wide/2, 0.15*pitch)
	fold := relief.NewGrooves(b.seed+2, 0.3*wide, 1.3*s.Print.Gap, crease.Depth(), 0, 0.12*wide)
	folds := relief.Deepest(crease, relief.Place(relief.Bent(fold, b.seed+3, 0.3*long, 0.1*wide), sdf.Turn(sdf.V(0, 0, 1), 90)))
	cloth = relief.Carve(cloth, relief.Shallowest(folds, relief.NewFacets(b.seed+4, 0.4*wide, 2.2*crease.Depth(), 0.2))) // they come and go
	if b.torn {                                                                                                          // slit along, and sand in it
		lie := sdf.Turn(sdf.V(1, 0, 0), 45).Then(sdf.Turn(sdf.V(0, 0, 1), 12*rnd(4))).
			Then(sdf.At(sdf.V(0.1*long*rnd(5), 0.1*wide*rnd(6), 0.62*thick)))
		cut := sdf.Place(sdf.Box(sdf.V(0.62*long, 0.4*wide, thick), 0), lie)
		sand := relief.Carve(sdf.Box(sdf.V(0.8*long, 0.6*wide, 0.62*thick), 0),
			relief.NewStones(b.seed+5, math.Max(2.2*s.Print.Gap, 0.6), 0.5*s.Print.Relief, 0.9))
		cloth = sdf.Union(sdf.Difference(cloth, cut), sand)
	}
	tilt := 1.0
	if b.course == 0 { // the lowest lie on a footing of their own
		tilt = 0
		footing := sdf.Extrude(sdf.Rectangle(0.97*long, 0.94*wide, round), b.g.foot-thick/2, 0)
		cloth = sdf.Union(cloth, footing)
	}
	lie := sdf.Turn(sdf.V(1, 0, 0), 3*tilt*rnd(7)).Then(sdf.Turn(sdf.V(0, 1, 0), 1.5*tilt*rnd(8)))
	cloth = sdf.Place(cloth, lie)
	if b.course > 0 {
		// What of it sinks into those below: the rounded edges of a bag, and its seam, would
		// begin in the air beside a joint.
		in := 0.14 * thick
		cloth = sdf.Union(cloth, sinking(long/2-in, wide/2-in, -0.46*thick, thick), sinking(lip.X/2, lip.Y/2, -lip.Z/2-0.06*lip.Y*math.Abs(rnd(3)), thick))
	}
	mid := sdf.V((b.from+b.to)/2, (b.back+b.face)/2+0.03*z.wide*rnd(10), z.low(b)+thick/2)
	return sdf.Place(cloth, sdf.Turn(sdf.V(0, 0, 1), turn+3*rnd(9)).Then(sdf.At(mid)))
}

// sinking is a block about z that narrows downwards from a height on, at 45 degrees: so far
// to each side along x and y above that; nothing, of a bag thicker than it is wide.
func sinking(x, y, edge, thick float64) sdf.Field {
	if x <= 0 || y <= 0 {
		return sdf.Nothing()
	}
	solids := []sdf.Field{sdf.BoxBetween(sdf.V(-x, -y, -0.96*thick), sdf.V(x, y, -0.1*thick))}
	way := math.Sqrt(0.5)
	for _, side := range [2]float64{-1, 1} {
		solids = append(solids, sdf.HalfSpace(sdf.V(side*way, 0, -way), way*(x-edge)), sdf.HalfSpace(sdf.V(0, side*way, -way), way*(y-edge)))
	}
	return sdf.Intersection(solids...)
}

// Bitten is the bags that bites leave: one that is struck is gone, and so is all that lay on it.
func (w *Sandbags) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	bags := w.laid(s)
	all := w.filled(s, bags)
	gone := make([]bool, len(bags))
	for i := range all {
		b := &bags[i]
		foot := b.g.pose.Apply(sdf.V((b.from+b.to)/2, (b.back+b.face)/2, b.g.foot+0.1))
		gone[i] = all[i].piece().Struck(bites) > fracture.GoneShare/2 || b.course == 0 && under.Value(foot) > 0
	}
	return []parts.Remains{{Work: joined(w.filled(s, standing(bags, gone, w.Ruin > 0))), Taken: make([]sdf.Field, len(bites))}}
}

// Breaks gives burst bags and what was in them.
func (w *Sandbags) Breaks(s *parts.Site, patch *parts.Patch) []parts.Matter {
	z := w.settled(s)
	volume := w.fallen(patch, 0.5*z.through*z.high)
	if volume == 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Clods, Unit: sdf.V(z.wide, z.wide, z.thick), Volume: volume}}
}

// Remedies of a wall of bags.
func (w *Sandbags) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(w)
	z := w.settled(s)
	switch {
	case t.Thin():
		r.Scaled("thickness", "thicker bags", z.thick, 1.25, 1.5)
		if w.Bond == "stretchers" {
			r.To("bond", `bond = "headers", which is twice as thick`, "headers")
		}
		r.Seeds(w.Seed)
	case t.Hanging():
		r.Seeds(w.Seed)
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the bags, or the stand")
	}
	return r.All
}
