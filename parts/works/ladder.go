package works

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
)

// Ladder is a ladder that stands on a floor and leans on an edge, or is fixed upright before
// a face. In its own frame its head touches what it leans on at the origin of the plan, y runs
// the way that one looks who climbs, and x to the right.
type Ladder struct {
	parts.Named
	At      r2.Vec       `key:"at" type:"point" doc:"where its head touches what it leans on, or the face before which it is fixed: its middle" required:"yes"`
	Facing  float64      `key:"facing" type:"facing" doc:"direction in which one looks who climbs it" words:"east,north-east,north,north-west,west,south-west,south,south-east" required:"yes"`
	Level   *parts.Level `key:"level" type:"level" doc:"finished level that it stands on; left out, the floor under its foot"`
	To      *parts.Level `key:"to" type:"level" doc:"level that it leads to; or give height"`
	Height  *float64     `key:"height" type:"height" doc:"of what it leads to over its floor, instead of to" min:"1" max:"500"`
	Lean    float64      `key:"lean" type:"angle" doc:"how far it leans from the upright; 0: fixed before a face, on brackets" default:"15" min:"0" max:"35" source:"1 out for 4 up is 14 degrees: common practice for leaning ladders, no source"`
	Over    float64      `key:"over" type:"height" doc:"how far its stiles go on above what it leads to" default:"500 mm" min:"0" max:"100" source:"1 m is safe, less is usual: common practice, no source"`
	Width   float64      `key:"width" type:"length" doc:"over its stiles" default:"400 mm" min:"1" max:"100" source:"400 to 600 mm between stiles, 300 where room is short: EN ISO 14122-4, from memory; wider rungs span too far on the print"`
	Spacing float64      `key:"spacing" type:"height" doc:"from rung to rung, about" default:"280 mm" min:"0.2" max:"50" source:"225 to 300 mm: EN ISO 14122-4; 250 to 300 mm: EN 131; both from memory"`
	Rung    float64      `key:"rung" type:"length" doc:"thickness of a rung" default:"30 mm" min:"0.1" max:"20" source:"20 to 35 mm: EN ISO 14122-4, from memory"`
	Cage    bool         `key:"cage" type:"flag" doc:"with hoops about who climbs; only upright, and only where it is tall enough" default:"false"`
	Missing float64      `key:"missing" type:"number" doc:"0 whole .. 1: how many of its rungs are broken or gone" default:"0" min:"0" max:"1"`
	Seed    uint64       `key:"seed" type:"seed" doc:"picks the rungs that are missing" default:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "ladder", Stage: parts.Fitting, Group: "Works",
		Doc: "A ladder that leans on the edge of a deck, a wall or a tank, or is fixed upright before it, with a safety cage if it is tall.",
		Example: `
[[deck]]
name = "stage"
level = 20.0
area = { rect = [10, 26, 48, 24] }
material = "timber"

[[ladder]]
at = [27, 26]
facing = "north"
to = 20.0

[[ladder]]
at = [40, 26]
facing = "north"
to = 20.0
lean = 0
missing = 0.25
seed = 3

[[barrel]]
at = [[17, 18], [47, 18]]
stray = 90
`,
		New: func() parts.Part { return &Ladder{} },
	})
}

// Figures of EN ISO 14122-4, full-size mm, from memory.
const (
	cageFrom   = 2500 // lowest hoop over the floor: 2200 to 3000
	hoopPitch  = 1500 // from hoop to hoop at most
	hoopWide   = 700  // of a hoop: 650 to 800
	standOff   = 200  // from the middle of a rung to the face behind it, at least
	cageStraps = 5
)

// ladderSizes are those of a ladder as it is drawn, mm.
type ladderSizes struct {
	foot, climb float64 // height of its floor over the datum, and of what it leads to over that
	top         float64 // of its stiles over its floor
	half        float64 // half its width
	stile, deep float64 // width and depth of a stile
	rung        float64 // thickness
	rungs       int
	step        float64 // from rung to rung
	off         float64 // from the middle of its rungs to the face behind it, square to its stiles
	back        float64 // thickness of a panel behind the rungs, 0 where they stand free
	lean        float64 // degrees
	hoop        float64 // radius of the middle of a hoop; 0 for no cage
	from        float64 // height of the lowest hoop
	hoops       int
	band        float64 // thickness of hoops and straps
	notes       parts.Notes
}

func (l *Ladder) settled(s *parts.Site) *ladderSizes {
	return parts.Settled(s, l, func() *ladderSizes {
		z := &ladderSizes{notes: parts.Notes{Part: l.Name}, lean: l.Lean}
		z.foot, z.climb = l.reach(s)
		z.top = z.climb + l.Over
		z.rung = z.notes.AtLeast("rung", l.Rung, s.Print.Pin, "pin")
		const slender = 9 // of a stile above what holds it, in its widths: common practice, no source
		z.stile = math.Max(math.Max(s.OnPrint(40), s.Print.Pin), l.Over/slender)
		z.deep = math.Max(s.OnPrint(70), 1.1*z.stile)
		z.half = z.notes.AtLeast("width", l.Width, 2*z.stile+2*s.Print.Gap, "ladder, two stiles and two gaps") / 2
		z.rungs = max(1, int(math.Round(z.climb/math.Cos(l.Lean*math.Pi/180)/l.Spacing)))
		z.step = z.climb / math.Cos(l.Lean*math.Pi/180) / float64(z.rungs) // along its stiles
		switch {
		case z.step-z.rung < s.Print.Gap:
			z.back = s.Print.Wall
			z.notes.Add("spacing", "the gaps between its rungs are no wider than %.2f mm and would close: it is drawn as a panel with its rungs on it", z.step-z.rung)
			z.rung = math.Min(z.rung, 0.55*z.step)
		case !l.touches(s, z):
			z.back = s.Print.Wall
			z.notes.Add("at", "nothing lies there for it to lean on: it has a panel of its own behind its rungs")
		}
		z.off = z.deep / 2
		if z.back > 0 { // its rungs stand out of the panel
			z.off = z.back + math.Max(0.2*z.rung, s.Print.Relief-z.rung/2)
		}
		if l.Lean == 0 && z.back == 0 {
			z.off = math.Max(s.OnPrint(standOff), z.deep/2+s.Print.Gap)
		}
		if l.Cage {
			z.hoop = math.Max(s.OnPrint(hoopWide)/2, 1.15*z.half)
			z.from = s.HeightOnPrint(cageFrom)
			z.band = 1.2 * s.Print.Pin
			z.hoops = 1 + planar.EqualBays(math.Max(0, z.top-z.from-z.band), math.Min(s.HeightOnPrint(hoopPitch), slender*z.band))
		}
		return z
	})
}

// way is the direction of who climbs.
func (l *Ladder) way() r2.Vec { return planar.Heading(l.Facing) }

// standing is the place of its foot for a height that it leads to.
func (l *Ladder) standing(climb float64) r2.Vec {
	return r2.Sub(l.At, r2.Scale(climb*math.Tan(l.Lean*math.Pi/180)+0.5*parts.Embed, l.way()))
}

// reach is the height of its floor, and of what it leads to over that: usable ones even where
// the ladder breaks its rules.
func (l *Ladder) reach(s *parts.Site) (foot, climb float64) {
	climb = 1
	if l.Height != nil {
		climb = *l.Height
	}
	stand := func() {
		if level, ok := s.StandingAt(l.Level, l.standing(climb)); ok {
			foot = level
		}
	}
	stand()
	if l.To != nil {
		for range 3 { // where it leans, its foot stands where its height says
			climb = math.Max(1, l.To.Height-foot)
			stand()
		}
		climb = math.Max(1, l.To.Height-foot)
	}
	return foot, climb
}

// touches says whether what it leans on is there: a floor as high as it leads to, or
// something that is built at the place.
func (l *Ladder) touches(s *parts.Site, z *ladderSizes) bool {
	const near = 1 // mm
	behind := r2.Add(l.At, r2.Scale(0.5*near, l.way()))
	if level, ok := s.FloorAt(behind); ok && level >= z.foot+z.climb-near {
		return true
	}
	for _, p := range parts.AllOf[parts.Placed](s) {
		stage := parts.StageOf(p)
		if p == parts.Part(l) || s.IsLand(p) || stage > parts.Fitting || stage == parts.Finishing {
			continue
		}
		if _, slab := p.(parts.Floored); slab {
			continue // as high as its floor
		}
		if _, other := p.(*Ladder); other {
			continue
		}
		for _, e := range p.Extents(s) {
			if !e.OnLand && e.Meets(planar.Corners(planar.GrownBox(r2.Box{Min: behind, Max: behind}, 0.3*near))) {
				return true
			}
		}
	}
	return false
}

// Notes say what is drawn otherwise than the scene gives it.
func (l *Ladder) Notes(s *parts.Site) []parts.Note { return l.settled(s).notes.List }

// Check reports a ladder that leads nowhere, one with too many rungs, and a cage on one that
// leans or is too low.
func (l *Ladder) Check(s *parts.Site) []parts.Fault {
	fault := func(key, text, allowed string) []parts.Fault {
		return []parts.Fault{{Part: l.Name, Key: key, Text: text, Allowed: allowed}}
	}
	switch {
	case l.To == nil && l.Height == nil:
		return fault("", "nothing says how high it leads", "one of to and height")
	case l.To != nil && l.Height != nil:
		return fault("height", "its height is given in two ways", "one of to and height")
	}
	const most, tallest = 500, 1000 // rungs, mm
	climb := tallest + 1.0
	if l.Height != nil {
		climb = *l.Height
	} else if l.Level != nil {
		climb = l.To.Height - l.Level.Height
		if climb < 1 {
			return fault("to", fmt.Sprintf("%.2f mm is not above its floor at %.2f mm", l.To.Height, l.Level.Height), "a level at least 1 mm above it")
		}
	}
	if n := climb / l.Spacing; climb <= tallest && n > most {
		return fault("spacing", fmt.Sprintf("gives %.0f rungs", n), fmt.Sprintf("at most %d", most))
	}
	if l.Cage && l.Lean != 0 {
		return fault("cage", "a ladder that leans has no cage", "lean = 0, or no cage")
	}
	return nil
}

// CheckPlace reports a ladder with no floor under its foot, one that leads to no higher level,
// and a cage that it is too low for.
func (l *Ladder) CheckPlace(s *parts.Site) []parts.Fault {
	fault := func(key, text, allowed string) []parts.Fault {
		return []parts.Fault{{Part: l.Name, Key: key, Text: text, Allowed: allowed}}
	}
	z := l.settled(s)
	foot := l.standing(z.climb)
	if _, ok := s.StandingAt(l.Level, foot); !ok {
		return fault("at", fmt.Sprintf("nothing to stand on lies under its foot at (%.2f, %.2f) mm", foot.X, foot.Y),
			"a place beside the ground, a deck or a step, or a level of its own")
	}
	if l.To != nil && l.To.Height-z.foot < 1-parts.Nearly {
		return fault("to", fmt.Sprintf("%.2f mm is not above its floor at %.2f mm", l.To.Height, z.foot), "a level at least 1 mm above it")
	}
	if l.To != nil && z.climb/l.Spacing > 500 {
		return fault("spacing", fmt.Sprintf("gives %.0f rungs", z.climb/l.Spacing), "at most 500")
	}
	if least := z.from + 2*z.band; l.Cage && z.top < least {
		return fault("cage", fmt.Sprintf("a ladder %.2f mm tall ends below its lowest hoop", z.top), fmt.Sprintf("at least %.2f mm, or no cage", least))
	}
	return nil
}

// Pieces counts its stiles, rungs and hoops.
func (l *Ladder) Pieces(s *parts.Site) int {
	z := l.settled(s)
	return 12 + z.rungs + 2*z.hoops + 8*int(math.Min(z.top, 1e4)/math.Max(1, s.OnPrint(2000)))
}

// pose takes its own frame to the scene: z = 0 is its floor.
func (l *Ladder) pose(z *ladderSizes) sdf.Pose {
	return sdf.Turn(sdf.V(0, 0, 1), l.Facing-90).Then(sdf.At(sdf.V(l.At.X, l.At.Y, z.foot)))
}

// tilt takes the frame of its stiles, z along them from the floor and y square to them with
// its back at y = 0, to its own.
func (z *ladderSizes) tilt() sdf.Pose {
	return sdf.Turn(sdf.V(1, 0, 0), -z.lean).Then(sdf.At(sdf.V(0, -z.climb*math.Tan(z.lean*math.Pi/180), 0)))
}

// spread is what it covers in its own frame on the plan: y from, y to.
func (z *ladderSizes) spread() (from, to float64) {
	tan, cos := math.Tan(z.lean*math.Pi/180), math.Cos(z.lean*math.Pi/180)
	from = -z.climb*tan - (z.off+z.deep/2)/cos
	to = math.Max(0.3*parts.Embed, (z.top-z.climb)*tan)
	if z.hoop > 0 {
		from = math.Min(from, -z.off-z.far()-z.band/2)
	}
	return from, to
}

// outline is what it covers on the plan.
func (l *Ladder) outline(z *ladderSizes) []r2.Vec {
	from, to := z.spread()
	half := z.half
	if z.hoop > 0 {
		half = math.Max(half, z.hoop+z.band/2)
	}
	var out []r2.Vec
	for _, q := range [4][2]float64{{-half, from}, {half, from}, {half, to}, {-half, to}} {
		out = append(out, planar.OnPlan(l.pose(z).Apply(sdf.V(q[0], q[1], 0))))
	}
	return out
}

// Solid is its stiles and rungs, its brackets or its panel, and its cage.
func (l *Ladder) Solid(s *parts.Site) sdf.Field {
	z := l.settled(s)
	foot := math.Min(z.foot, s.BearingUnder(z.foot, l.outline(z))) - z.foot
	cos := math.Cos(z.lean * math.Pi / 180)
	low, high := foot/cos-2*z.deep, (z.top-(z.off+z.deep/2)*math.Sin(z.lean*math.Pi/180))/cos // its front corner is highest
	mid := -z.off                                                                             // of its stiles, square to them
	var all []sdf.Field
	for _, side := range [2]float64{-1, 1} {
		in, out := side*(z.half-z.stile), side*z.half
		all = append(all, sdf.BoxBetween(sdf.V(math.Min(in, out), mid-z.deep/2, low), sdf.V(math.Max(in, out), mid+z.deep/2, high)))
	}
	rng := s.Rand(l.Name, l.Seed, "rungs")
	for i := range z.rungs {
		all = append(all, l.rung(s, z, rng.Float64(), rng.Float64(), z.step*float64(i+1), mid)...)
	}
	if z.back > 0 {
		all = append(all, sdf.BoxBetween(sdf.V(-z.half+0.3*z.stile, -z.back, low), sdf.V(z.half-0.3*z.stile, 0, z.climb/cos)))
	}
	ladder := sdf.Place(sdf.Union(all...), z.tilt().Then(sdf.At(sdf.V(0, 0.15*parts.Embed, 0)))) // so that it is one with what it touches
	more := []sdf.Field{ladder}
	if z.lean == 0 && z.back == 0 {
		more = append(more, z.brackets(s)...)
	}
	if z.hoop > 0 {
		more = append(more, z.cage()...)
	}
	f := sdf.Intersection(sdf.Union(more...), sdf.HalfSpace(sdf.V(0, 0, -1), -foot))
	return sdf.Place(f, l.pose(z))
}

// rung is one, at a height along the stiles: whole, gone, or broken off to a stub at each
// end, by chance.
func (l *Ladder) rung(s *parts.Site, z *ladderSizes, fate, at, up, mid float64) []sdf.Field {
	r := z.rung / 2
	bar := func(from, to float64) sdf.Field { // along x, flat enough below to begin on
		return sdf.Place(sdf.Cylinder(r, to-from, 0), sdf.Turn(sdf.V(0, 1, 0), 90).Then(sdf.At(sdf.V(from, mid, up))))
	}
	in := z.half - 0.5*z.stile
	switch {
	case fate >= l.Missing:
		return []sdf.Field{bar(-in, in)}
	case fate < 0.4*l.Missing || z.back > 0:
		return nil
	}
	stub := math.Min(1.5*z.rung, 0.4*in)
	return []sdf.Field{bar(-in, -in+z.stile/2+stub*(0.5+0.5*at)), bar(in-z.stile/2-stub*(1-0.5*at), in)}
}

// brackets hold an upright ladder to the face behind it: plates whose lower edges rise at 45
// degrees from the stiles.
func (z *ladderSizes) brackets(s *parts.Site) (all []sdf.Field) {
	const pitch = 2000 // full-size mm at most: common practice, no source
	n := planar.EqualBays(z.climb, s.HeightOnPrint(pitch))
	thick := math.Min(math.Max(z.stile, s.Print.Wall), z.half)
	reach := z.off + 0.3*parts.Embed // to a little within the face
	for k := range n {
		top := z.climb * (float64(k) + 0.72) / float64(n)
		if k == n-1 {
			top = z.climb - z.rung
		}
		// In y and z; stood up along x.
		plate := sdf.Prism([]r2.Vec{{X: -reach, Y: top - reach - thick}, {X: 0, Y: top - thick}, {X: 0, Y: top}, {X: -reach, Y: top}}, 0, thick)
		stand := sdf.Turn(sdf.V(0, 0, 1), 90).Then(sdf.Turn(sdf.V(0, 1, 0), 90)) // its x to y, its y to z
		for _, x := range [2]float64{-z.half, z.half - thick} {
			all = append(all, sdf.Place(plate, stand.Then(sdf.At(sdf.V(x, 0.3*parts.Embed, 0)))))
		}
	}
	return all
}

// far is how far the hoops stand out from the middle of the rungs.
func (z *ladderSizes) far() float64 { return z.centre() + z.hoop }

// centre is the middle of the hoops, out from the rungs: their circle passes by the stiles.
func (z *ladderSizes) centre() float64 {
	return math.Sqrt(math.Max(0, z.hoop*z.hoop-z.half*z.half))
}

// cage is hoops and straps. The straps come in to the stiles below the lowest hoop at 45
// degrees, so that the cage prints from below.
func (z *ladderSizes) cage() (all []sdf.Field) {
	r := z.band / 2
	c := sdf.V(0, -z.off-z.centre(), 0)
	front := sdf.HalfSpace(sdf.V(0, 1, 0), -z.off)
	top := z.top - r
	for k := range z.hoops {
		up := z.from + (top-z.from)*float64(k)/math.Max(1, float64(z.hoops-1))
		all = append(all, sdf.Intersection(sdf.Place(sdf.Torus(z.hoop, r), sdf.At(r3.Add(c, sdf.V(0, 0, up)))), front))
	}
	half := math.Acos(-z.centre()/z.hoop) * 180 / math.Pi // from the front to a stile
	for _, side := range [2]float64{-1, 1} {
		var last *r3.Vec // the middle of the strut before
		for k := range cageStraps {
			turn := half * 0.72 * (2*float64(k)/(cageStraps-1) - 1)
			sin, cos := planar.SinCos(turn)
			if side*turn < -1e-9 {
				continue // of the other stile
			}
			q := r3.Add(c, sdf.V(z.hoop*sin, -z.hoop*cos, z.from))
			foot := sdf.V(side*(z.half-z.stile/2), -z.off, 0)
			foot.Z = math.Max(0, z.from-math.Hypot(q.X-foot.X, q.Y-foot.Y))
			all = append(all, sdf.Capsule(q, sdf.V(q.X, q.Y, top), r), sdf.Capsule(q, foot, r))
			mid := r3.Scale(0.5, r3.Add(q, foot))
			if last != nil {
				all = append(all, sdf.Capsule(*last, mid, r))
			}
			last = &mid
		}
	}
	return all
}

// Extents are what it covers.
func (l *Ladder) Extents(s *parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "at", Points: l.outline(l.settled(s)), Closed: true}}
}

// Plan is its outline, and its rungs as they lie over each other.
func (l *Ladder) Plan(s *parts.Site) []parts.Stroke {
	z := l.settled(s)
	strokes := []parts.Stroke{{Line: parts.LineMass, Closed: true, Covers: true, Path: planar.Straight(l.outline(z)...)}}
	sin := math.Sin(z.lean * math.Pi / 180)
	for i := 0; i < z.rungs && sin > 0; i++ {
		y := -z.climb*math.Tan(z.lean*math.Pi/180) + z.step*float64(i+1)*sin
		a, b := l.pose(z).Apply(sdf.V(-z.half, y, 0)), l.pose(z).Apply(sdf.V(z.half, y, 0))
		strokes = append(strokes, parts.Stroke{Line: parts.LineFine, Path: planar.Straight(planar.OnPlan(a), planar.OnPlan(b))})
	}
	return strokes
}

// Bitten is what bites leave of it.
func (l *Ladder) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	z := l.settled(s)
	from, to := z.spread()
	piece := fracture.Piece{Solid: l.Solid(s), Frame: l.pose(z), Thick: z.deep,
		Box: r3.Box{Min: sdf.V(-z.half, from, -0.1), Max: sdf.V(z.half, to, z.top)}}
	foot := l.pose(z).Apply(sdf.V(0, -z.climb*math.Tan(z.lean*math.Pi/180)-z.off, -0.1))
	if under.Value(foot) > 0 {
		return nil // what carries it is gone
	}
	carried := sdf.Union(under, sdf.HalfSpace(sdf.V(0, 0, 1), z.foot))
	return fracture.Pieces(s, []fracture.Piece{piece}, bites, carried)
}

// Breaks gives rungs and ends of stiles.
func (l *Ladder) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	z := l.settled(s)
	if !p.Whole && p.Distance(l.At) > 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Boards, Unit: sdf.V(0.5*z.top, z.deep, z.stile), Volume: 2 * z.top * z.stile * z.deep}}
}

// Measures are its height beside a person, and the spacing of its rungs.
func (l *Ladder) Measures(s *parts.Site) []parts.Measure {
	z := l.settled(s)
	up := z.climb / float64(z.rungs)
	m := parts.Unlimited("rungs", "spacing", up, s.FullHeight(up))
	m.Yardstick, m.Law, m.Check = s.Share(m.Full), "EN ISO 14122-4", "unit"
	m.Least, m.Most = 225, 300
	m.Why, m.Source = "from rung to rung, as one climbs", "EN ISO 14122-4, from memory"
	return append(parts.TallBeside(s, "height", "height", z.climb), m)
}

// Sights is a look at it from before it.
func (l *Ladder) Sights(look parts.Lookout) []parts.Sight {
	z := l.settled(look.Site())
	top := l.pose(z).Apply(sdf.V(0, (z.top-z.climb)*math.Tan(z.lean*math.Pi/180)-z.off, z.top))
	stile := r3.Scale(z.half-z.stile/2, planar.Raise(planar.Heading(l.Facing-90)))
	if sight, ok := parts.SightOf(look, l, r3.Add(top, stile), z.top, math.Max(0.7*z.top, look.Person()), z.half); ok {
		return []parts.Sight{sight}
	}
	return nil
}

// Remedies of a ladder.
func (l *Ladder) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(l)
	z := l.settled(s)
	switch {
	case t.Thin():
		r.Scaled("rung", "thicker rungs", z.rung, 1.25, 1.5)
		r.To("cage", "no cage", false)
	case t.Hanging():
		r.To("cage", "no cage", false)
		r.Scaled("width", "a narrower ladder", 2*z.half, 0.8, 0.65)
	case t.Of("narrow-gap"):
		r.Scaled("spacing", "rungs further apart", l.Spacing, 1.3, 1.6)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the ladder, or the stand")
	}
	return r.All
}
