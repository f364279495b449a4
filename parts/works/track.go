package works

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Track is two rails on sleepers in ballast, along a line.
type Track struct {
	Course
	Gauge   float64 `key:"gauge" type:"length" doc:"between the rails" default:"1435 mm" min:"1" max:"200" source:"standard gauge, UIC 510 and EN 15273, from memory"`
	Spacing float64 `key:"spacing" type:"length" doc:"from sleeper to sleeper" default:"600 mm" min:"0.5" max:"100" source:"600 mm on main lines, UIC, from memory"`
	Sleeper string  `key:"sleeper" type:"word" doc:"what the sleepers are: baulks of timber, split and worn, or cast" default:"timber" words:"timber,concrete"`
	Long    float64 `key:"sleeper-length" type:"length" doc:"length of a sleeper" default:"2.6 m" min:"1" max:"300" source:"EN 13145, 2600 x 260 x 160 mm, from memory"`
	Wide    float64 `key:"sleeper-width" type:"length" doc:"width of a sleeper" default:"250 mm" min:"0.3" max:"50" source:"EN 13145, 260 mm; 250 mm is common practice"`
	Bed     float64 `key:"bed" type:"height" doc:"height of the ballast over the floor; 0 for sleepers on the bare floor" default:"250 mm" min:"0" max:"100" source:"250 to 300 mm under a sleeper on main lines: from memory"`
	Missing float64 `key:"missing" type:"number" doc:"share of the sleepers that are gone" default:"0" min:"0" max:"0.5"`
	Wear    float64 `key:"wear" type:"number" doc:"0 as laid .. 1 sleepers askew and sunk" default:"0.3" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "track", Stage: parts.Fitting, Group: "Works",
		Doc: "Railway track along a line: two rails in chairs on sleepers of timber or concrete, in a bed of ballast.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "cinders"

[[track]]
line = [[2, 14], [62, 34]]
gauge = "600 mm"
spacing = "450 mm"
sleeper-length = "1.2 m"
sleeper-width = "180 mm"
bed = "120 mm"
`,
		New: func() parts.Part { return &Track{} },
	})
}

// A rail, mm of life: 54E1 of EN 13674-1, from memory.
const (
	railHigh = 159
	railHead = 70
	railFoot = 140
	railWeb  = 16
)

// trackSizes are those of a track as it is drawn, mm.
type trackSizes struct {
	gauge, spacing, long, wide float64
	bed                        float64 // height of the ballast
	shoulder                   float64 // of the ballast beyond a sleeper's end
	sleeper                    float64 // how far a sleeper stands out of the ballast
	head, foot, web, rail      float64 // widths of a rail, and its height
	bolt                       bolt
	notes                      parts.Notes
}

func (t *Track) settled(s *parts.Site) *trackSizes {
	return parts.Settled(s, t, func() *trackSizes {
		z := &trackSizes{notes: parts.Notes{Part: t.Name}, bolt: boltOf(s, 24)}
		z.head = z.notes.AtLeast("gauge", s.OnPrint(railHead), s.Print.Pin, "rail, a pin")
		z.web = math.Max(s.OnPrint(railWeb), math.Min(0.7*z.head, 0.7*s.Print.Wall))
		z.foot = math.Max(s.OnPrint(railFoot), z.head)
		z.rail = z.notes.AtLeast("gauge", s.OnPrint(railHigh), 2*s.Print.Relief, "rail over its sleepers, two reliefs")
		z.gauge = z.notes.AtLeast("gauge", t.Gauge, 1.5*z.head, "gauge, a rail and a half")
		z.wide = z.notes.AtLeast("sleeper-width", t.Wide, 0.8*s.Print.Wall, "sleeper, most of a wall")
		z.spacing = z.notes.AtLeast("spacing", t.Spacing, z.wide+1.5*s.Print.Gap, "spacing, a sleeper and a gap and a half")
		z.long = z.notes.AtLeast("sleeper-length", t.Long, z.gauge+2*z.foot+z.head, "sleeper, the rails and a head")
		z.sleeper = math.Max(s.HeightOnPrint(50), s.Print.Relief)
		z.bed, z.shoulder = t.Bed, math.Max(s.OnPrint(300), s.Print.Wall)
		return z
	})
}

// widest is the width of all of it, mm.
func (z *trackSizes) widest() float64 {
	if z.bed == 0 {
		return z.long + 0.4*z.wide // askew
	}
	return z.long + 2*z.shoulder + 3*z.bed
}

// top is the height of the rails over the floor.
func (z *trackSizes) top() float64 { return z.bed + z.sleeper + z.rail }

// Check reports lines that no track follows.
func (t *Track) Check(s *parts.Site) []parts.Fault {
	return t.check(math.Max(1, t.settled(s).gauge))
}

// Notes say what is drawn larger than the scene gives it.
func (t *Track) Notes(s *parts.Site) []parts.Note { return t.settled(s).notes.List }

// Pieces counts sleepers with what is on them.
func (t *Track) Pieces(s *parts.Site) int { return 10 + 7*int(t.Length()/t.settled(s).spacing) }

// Solid is the bed, the sleepers and the rails.
func (t *Track) Solid(s *parts.Site) sdf.Field {
	z := t.settled(s)
	foot := t.foot(s, z.widest()) - t.level(s)
	var all []sdf.Field
	if z.bed > 0 {
		half := z.long/2 + z.shoulder
		stones := surface.Soil(s, "ballast", t.Seed)
		bed := sdf.Union(swept(t.legs(s, 0), []r2.Vec{{X: -half - 1.5*z.bed}, {X: -half - 1.5*z.bed, Y: foot}, {X: half + 1.5*z.bed, Y: foot},
			{X: half + 1.5*z.bed}, {X: half, Y: z.bed}, {X: -half, Y: z.bed}}, 2.5*stones.Depth())...) // so that no stone opens the joint
		all = append(all, relief.Carve(bed, stones))
		toe := half + 1.5*z.bed
		all = append(all, swept(t.legs(s, 0), []r2.Vec{{X: -toe, Y: foot}, {X: toe, Y: foot}, {X: toe, Y: -0.05}, {X: -toe, Y: -0.05}}, joined)...)
	}
	all = append(all, t.sleepers(s, z, foot)...)
	for _, way := range [2]float64{-1, 1} {
		mid := way * (z.gauge + z.head) / 2
		sole := math.Min(0.25*z.rail, math.Max(0.12*z.rail, s.OnPrint(20)))
		crown := math.Max(0.3*z.rail, math.Min(0.6*z.rail, s.Print.Relief))
		rise := z.bed + z.sleeper
		at := func(x, y float64) r2.Vec { return r2.Vec{X: mid + x, Y: rise + y} }
		h, w, f := z.head/2, z.web/2, z.foot/2
		flare := math.Min(h-w, 0.5*(z.rail-sole-crown))
		rail := swept(t.legs(s, 0), []r2.Vec{at(-f, -0.1), at(f, -0.1), at(f, 0.6*sole), at(w, 1.4*sole), at(w, z.rail-crown-flare), at(h, z.rail-crown),
			at(h, z.rail-0.1*h), at(0.8*h, z.rail), at(-0.8*h, z.rail), at(-h, z.rail-0.1*h), at(-h, z.rail-crown), at(-w, z.rail-crown-flare),
			at(-w, 1.4*sole), at(-f, 0.6*sole)}, joined)
		all = append(all, rail...)
		if z.bed == 0 { // what holds it: the floor drawn up between the sleepers
			all = append(all, swept(t.legs(s, 0), []r2.Vec{{X: mid - w, Y: foot}, {X: mid + w, Y: foot}, {X: mid + w, Y: rise},
				{X: mid - w, Y: rise}}, joined)...)
			continue
		}
		// The ballast lies up to it.
		lo, hi := mid-0.8*f, mid+0.8*f
		all = append(all, swept(t.legs(s, 0), []r2.Vec{{X: lo, Y: foot}, {X: hi, Y: foot}, {X: hi, Y: rise}, {X: lo, Y: rise}}, joined)...)
	}
	return sdf.Union(all...)
}

// sleepers are those along the line, with the chairs of the rails on them.
func (t *Track) sleepers(s *parts.Site, z *trackSizes, foot float64) (all []sdf.Field) {
	rng := s.Rand(t.Name, t.Seed, "sleepers")
	legs := t.legs(s, 0)
	deep := math.Min(s.Print.Relief, 0.3*z.wide)
	grain := relief.Sum(relief.NewPanels(t.Seed, 2*z.long, z.wide/2, s.Print.Gap, 0.6*deep, 0.2*deep, 0).Split(0.6),
		relief.NewFacets(t.Seed+1, math.Max(1, 3*s.Print.Gap), s.Grain()*(1+t.Wear), 0.2))
	n := max(1, int(t.Length()/z.spacing))
	for i := range n {
		turn, off, sunk := 2*rng.Float64()-1, 2*rng.Float64()-1, rng.Float64()
		gone := rng.Float64() < t.Missing && i > 0 && i < n-1
		if gone {
			continue
		}
		d := t.Length() * (float64(i) + 0.5) / float64(n)
		leg := planar.LegAt(legs, d)
		up := z.bed + z.sleeper
		body := sdf.BoxBetween(sdf.V(-z.long/2, -z.wide/2, foot), sdf.V(z.long/2, z.wide/2, up))
		switch t.Sleeper {
		case "timber":
			cut := relief.Place(grain, sdf.At(sdf.V(7.3*float64(i), 0, 0)))
			body = sdf.Union(surface.CutTop(body, up, cut), sdf.BoxBetween(sdf.V(-z.long/2, -z.wide/2, foot), sdf.V(z.long/2, z.wide/2, up-z.sleeper)))
		default: // cast: lower in its middle
			body = sdf.Intersection(body, sdf.Union(
				sdf.HalfSpace(sdf.V(0.25, 0, 1), up-0.2*z.gauge), sdf.HalfSpace(sdf.V(-0.25, 0, 1), up-0.2*z.gauge),
				sdf.HalfSpace(sdf.V(0, 0, 1), up-0.35*z.sleeper),
				sdf.BoxBetween(sdf.V(-z.long, -z.wide, foot-1), sdf.V(-0.3*z.gauge, z.wide, up)),
				sdf.BoxBetween(sdf.V(0.3*z.gauge, -z.wide, foot-1), sdf.V(z.long, z.wide, up))))
		}
		one := []sdf.Field{body}
		chair := math.Min(0.8*z.wide, math.Max(s.OnPrint(180), 2*s.Print.Gap)) / 2
		for _, way := range [2]float64{-1, 1} {
			mid, half := way*(z.gauge+z.head)/2, z.foot/2+1.5*z.bolt.across
			half = math.Min(half, z.long/2-math.Abs(mid))
			raise := math.Max(s.OnPrint(20), 0.5*s.Print.Relief)
			one = append(one, sdf.BoxBetween(sdf.V(mid-half, -chair, up-deep-0.1), sdf.V(mid+half, chair, up+raise)))
			if half < z.foot/2+z.bolt.across {
				continue
			}
			for _, side := range [2]float64{-1, 1} {
				one = append(one, z.bolt.at(sdf.V(mid+side*(z.foot/2+0.7*z.bolt.across), 0, up+raise), sdf.Pose{}))
			}
		}
		// Askew about its middle and a little along: the chairs stay under the rails.
		askew := math.Min(4, 40*s.Print.Gap/z.gauge) * t.Wear * turn
		shift := sdf.V(0.3*(z.spacing-z.wide)*t.Wear*off, 0.15*z.wide*(2*sunk-1)*t.Wear, 0)
		pose := sdf.Turn(sdf.V(0, 0, 1), 90+askew).Then(sdf.At(r3.Add(shift, sdf.V(d-leg.From, 0, 0)))).Then(course.Frame(leg))
		all = append(all, sdf.Place(sdf.Union(one...), pose))
	}
	return all
}

// Extents are the bed.
func (t *Track) Extents(s *parts.Site) []parts.Extent { return t.Covers(t.settled(s).widest()) }

// Plan is the bed, the sleepers and the rails.
func (t *Track) Plan(s *parts.Site) []parts.Stroke {
	z := t.settled(s)
	strokes := []parts.Stroke{t.bandStroke(z.widest(), parts.LineEdge)}
	legs := t.legs(s, 0)
	n := max(1, int(t.Length()/z.spacing))
	for i := range n {
		d := t.Length() * (float64(i) + 0.5) / float64(n)
		leg := planar.LegAt(legs, d)
		across := planar.LeftNormal(planar.OnPlan(leg.A), planar.OnPlan(leg.B))
		at := planar.OnPlan(leg.At(d))
		strokes = append(strokes, parts.Stroke{Line: parts.LineFine,
			Path: planar.Straight(r2.Add(at, r2.Scale(z.long/2, across)), r2.Sub(at, r2.Scale(z.long/2, across)))})
	}
	for _, leg := range legs {
		a, b := planar.OnPlan(leg.A), planar.OnPlan(leg.B)
		off := r2.Scale((z.gauge+z.head)/2, planar.LeftNormal(a, b))
		strokes = append(strokes, parts.Stroke{Line: parts.LineRail, Path: planar.Straight(r2.Add(a, off), r2.Add(b, off))},
			parts.Stroke{Line: parts.LineRail, Path: planar.Straight(r2.Sub(a, off), r2.Sub(b, off))})
	}
	return strokes
}

// Bitten is what bites leave of it.
func (t *Track) Bitten(s *parts.Site, bites []parts.Bite, _ sdf.Field) []parts.Remains {
	z := t.settled(s)
	return t.bitten(s, t.Solid(s), z.widest(), z.top(), bites)
}

// Breaks gives the ends of its sleepers.
func (t *Track) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	z := t.settled(s)
	return t.matter(p, z.widest(), parts.Boards, sdf.V(z.long, z.wide, math.Max(z.sleeper, s.Print.Wall)), z.long*z.wide*z.sleeper/z.spacing)
}

// Measures is the gauge, held against the standard one.
func (t *Track) Measures(s *parts.Site) []parts.Measure {
	gauge := t.settled(s).gauge
	m := parts.Unlimited("gauge", "gauge", gauge, s.FullSize(gauge))
	m.Yardstick = s.Share(m.Full)
	return []parts.Measure{m}
}

// Remedies of tracks.
func (t *Track) Remedies(_ *parts.Site, tr parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(t)
	switch {
	case tr.Thin():
		r.Scaled("wear", "less wear", t.Wear, 0.5, 0)
	case tr.Of("stand", "rough-stand"):
		r.Words("line", "move the track, or the stand")
	}
	return r.All
}
