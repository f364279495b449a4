package street

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/relief"
)

// Front is the front of a house that stands alone: a wall with windows and a door, broken
// off at its top.
type Front struct {
	Course
	Storeys int     `key:"storeys" type:"count" doc:"number of storeys" default:"2" min:"1" max:"8"`
	Storey  float64 `key:"storey" type:"height" doc:"height of one" default:"3 m" min:"1" max:"300" source:"common practice, no source"`
	Thick   float64 `key:"thick" type:"length" doc:"of its wall" default:"327.5 mm" min:"0" max:"100" source:"one and a half bricks: UK brick module, BS EN 771 usage"`
	Bay     float64 `key:"bay" type:"length" doc:"from the middle of a window to the next, at most; the bays of a side are made equal" default:"2.2 m" min:"1" max:"500" source:"common practice, no source"`
	Window  float64 `key:"window" type:"length" doc:"width of a window" default:"950 mm" min:"0.5" max:"200" source:"common practice, no source"`
	Head    string  `key:"head" type:"word" doc:"the heads of its openings: arches, or flat under lintels" default:"arched" words:"arched,flat"`
	Door    int     `key:"door" type:"count" doc:"the bay of the ground floor that has a door, from the start of the line; 0 for none" default:"1" min:"0" max:"100"`
	Ruin    float64 `key:"ruin" type:"number" doc:"0 whole .. 1 down to its ground floor at one end: how far its top has come down" default:"0.5" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "front", Stage: parts.Structure, Group: "Stairs, walls and columns",
		Doc: "The front of a house that stands alone: brick with quoins, windows with frames, sills and arches or lintels, and a door, broken off at its top.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
bond = "random"

[[front]]
line = [[14, 33], [64, 33]]
storeys = 1
storey = "2.6 m"
bay = "1.15 m"
window = "650 mm"
ruin = 0.9
`,
		New: func() parts.Part { return &Front{} },
	})
}

// frontSizes are those of a front as it is drawn, mm.
type frontSizes struct {
	storey, thick float64
	high          float64 // whole
	proud         float64 // of sills, quoins and courses
	bar           float64 // of a window's frame
	brick, course float64
	window        float64
	notes         parts.Notes
}

// Shares of a storey. Common practice, no source.
const (
	frontSill    = 0.3
	frontHead    = 0.8
	frontParapet = 0.2
)

func (f *Front) settled(s *parts.Site) *frontSizes {
	return parts.Settled(s, f, func() *frontSizes {
		z := &frontSizes{notes: parts.Notes{Part: f.Name}}
		z.thick = z.notes.AtLeast("thick", f.Thick, 1.5*s.Print.Wall, "front, a wall and a half")
		z.storey = z.notes.AtLeast("storey", f.Storey, 6*s.Print.Wall, "storey, six walls")
		z.high = z.storey * (float64(f.Storeys) + frontParapet)
		z.proud = math.Min(0.2*z.thick, math.Max(s.OnPrint(50), 1.2*s.Print.Relief))
		z.bar = math.Max(s.OnPrint(60), s.Print.Pin)
		z.course, z.brick = math.Max(s.OnPrint(75), 2.8*s.Print.Gap), math.Max(s.OnPrint(225), 8*s.Print.Gap)
		z.window = z.notes.AtLeast("window", f.Window, 4*s.Print.Gap, "window, four gaps")
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (f *Front) Notes(s *parts.Site) []parts.Note { return f.settled(s).notes.List }

// Pieces counts openings and what is about them.
func (f *Front) Pieces(s *parts.Site) int {
	n := 0
	for _, leg := range f.legs() {
		n += planar.EqualBays(leg.To-leg.From, f.Bay)
	}
	return n * f.Storeys * 14
}

// Extents are its line.
func (f *Front) Extents(s *parts.Site) []parts.Extent {
	z := f.settled(s)
	return []parts.Extent{{Key: course.Key, Points: f.Points, Wide: z.thick/2 + z.proud}}
}

// frontSide is a straight side as it stands.
type frontSide struct {
	leg     planar.Leg
	level   float64
	solid   sdf.Field
	skyline []r2.Vec // what is left of it, along it and over its level
}

// sides are those of its line, made once.
func (f *Front) sides(s *parts.Site) []frontSide {
	return parts.Settled(s, f, func() (all []frontSide) {
		for i, leg := range f.legs() {
			all = append(all, f.side(s, i, leg))
		}
		return all
	})
}

// Solid is its sides.
func (f *Front) Solid(s *parts.Site) sdf.Field {
	var all []sdf.Field
	for _, side := range f.sides(s) {
		all = append(all, side.solid)
	}
	return sdf.Union(all...)
}

// Upright is the front as it stands, for what is set on it or breaks it. One whose sides
// stand on floors of several levels has no foot that would do for all.
func (f *Front) Upright(s *parts.Site) (u parts.Upright, ok bool) {
	z, sides := f.settled(s), f.sides(s)
	if len(sides) == 0 {
		return u, false
	}
	legs := f.legs()
	u = parts.Upright{Line: f.Points, Thick: z.thick, Foot: sides[0].level, High: z.high, Course: z.course}
	u.Left = func(along float64) float64 {
		side := &sides[planar.LegNumber(legs, along)]
		return math.Min(z.high, side.top(along-side.leg.From))
	}
	for _, side := range sides {
		if math.Abs(side.level-u.Foot) > parts.SameHeight {
			return u, false
		}
	}
	return u, true
}

// top is how high it stands at a distance along it, over its level.
func (d *frontSide) top(along float64) float64 {
	top := math.Inf(-1)
	for i, a := range d.skyline {
		b := d.skyline[(i+1)%len(d.skyline)]
		if lo, hi := math.Min(a.X, b.X), math.Max(a.X, b.X); along < lo || along > hi || lo == hi {
			continue
		}
		top = math.Max(top, a.Y+(b.Y-a.Y)*(along-a.X)/(b.X-a.X))
	}
	return math.Max(0, top)
}

// level is what a side stands on: the floor under its middle.
func (f *Front) level(s *parts.Site, leg planar.Leg) float64 {
	level, ok := s.StandingAt(f.Level, planar.OnPlan(leg.At((leg.From+leg.To)/2)))
	if !ok {
		level, _ = s.StandingAt(f.Level, planar.OnPlan(leg.A))
	}
	return level
}

// side is a straight side with what is in it.
func (f *Front) side(s *parts.Site, n int, leg planar.Leg) frontSide {
	z := f.settled(s)
	rng := s.Rand(f.Name, f.Seed+uint64(n)*1000003, "front")
	long := leg.To - leg.From
	level := f.level(s, leg)
	foot := footUnder(s, level, planar.OnPlan(leg.At((leg.From+leg.To)/2)), heading(leg), long/2+z.thick/2, z.thick/2) - level
	e := elevation{f: f, s: s, z: z, rng: rng, long: long, over: z.thick / 2, foot: foot}
	body := e.build(n == 0)
	skyline := e.skyline()
	kept := sdf.Place(sdf.Prism(skyline, -2*z.thick, 2*z.thick), sdf.Turn(sdf.V(1, 0, 0), 90))
	return frontSide{leg, level, sdf.Place(sdf.Intersection(body, kept), sdf.At(sdf.V(0, 0, level)).Then(course.Frame(leg))), skyline}
}

// elevation makes one side, in the frame of its leg: its outer face looks along -y.
type elevation struct {
	f          *Front
	s          *parts.Site
	z          *frontSizes
	rng        *rand.Rand
	long, over float64 // of its line, and how far it reaches past its ends
	foot       float64
	cut, set   []sdf.Field // taken out of the wall, and set in it or on it
}

func (e *elevation) build(first bool) sdf.Field {
	z, s := e.z, e.s
	half := z.thick / 2
	deep := math.Min(0.8*s.Print.Relief, 0.12*z.thick)
	bricks := relief.Sum(relief.NewPanels(e.rng.Uint64(), z.brick, z.course, s.Print.Gap, deep, 0.35*deep, 0),
		relief.NewFacets(e.rng.Uint64(), math.Max(1.2, s.OnPrint(300)), 0.4*deep, 0.4))
	wall := relief.Carve(sdf.BoxBetween(sdf.V(-e.over, -half, e.foot), sdf.V(e.long+e.over, half, z.high)), relief.Place(bricks, sdf.Turn(sdf.V(1, 0, 0), 90)))
	bays := planar.EqualBays(e.long, e.f.Bay)
	step := e.long / float64(bays)
	wide := math.Min(z.window, 0.55*step)
	for storey := range e.f.Storeys {
		low := z.storey * float64(storey)
		for k := range bays {
			x := step * (float64(k) + 0.5)
			if door := first && storey == 0 && k+1 == e.f.Door; door {
				e.opening(x, math.Min(1.1*wide, 0.6*step), 0, low+frontHead*z.storey, true)
			} else {
				e.opening(x, wide, low+frontSill*z.storey, low+frontHead*z.storey, false)
			}
		}
		if storey > 0 {
			e.band(low, 1.6*z.proud)
		}
	}
	e.band(z.storey*float64(e.f.Storeys), 2*z.proud)
	e.quoins(-e.over, 1)
	e.quoins(e.long+e.over, -1)
	return sdf.Union(append(e.set, sdf.Difference(wall, e.cut...))...)
}

// across is an outline of the wall's section, x outward from its outer face and y up, run
// along the wall between two places.
func (e *elevation) across(section []r2.Vec, lo, hi float64) sdf.Field {
	// Its plane is turned so that x looks along -y, y up, and its depth along x.
	pose := sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.Turn(sdf.V(0, 0, 1), -90)).Then(sdf.At(sdf.V(0, -e.z.thick/2, 0)))
	return sdf.Place(sdf.Prism(section, -hi, -lo), pose)
}

// band is a course of stone that stands out of the wall, its top at a height; its underside
// slopes so that it prints.
func (e *elevation) band(top, high float64) {
	p := e.z.proud
	e.set = append(e.set, e.across(plan(-p, top, 0.9*p, top, 0.9*p, top-high, -0.1*p, top-high-p, -p, top-high-p), -e.over-0.3*p, e.long+e.over+0.3*p))
}

// quoins are the stones of a corner, long and short in turn, from a place on inwards.
func (e *elevation) quoins(at, way float64) {
	high := math.Max(math.Min(4*e.z.course, 0.14*e.z.storey), 1.2*e.z.course)
	proud := 0.5 * e.z.proud
	half := e.z.thick / 2
	ease := math.Min(0.35*e.s.Print.Gap, 0.2*high)
	for k := 0; float64(k)*high < e.z.high-high/2; k++ {
		long := (1.1 + 0.7*float64(k%2)) * math.Min(e.z.brick, 1.3*high)
		lo, hi := at-way*proud, at+way*math.Min(long, 0.2*e.long)
		low := float64(k) * high
		if k == 0 {
			low = e.foot
		}
		top := math.Min(float64(k+1)*high, e.z.high) + 0.02
		e.set = append(e.set, sdf.BoxEased(sdf.V(math.Min(lo, hi), -half-proud, low), sdf.V(math.Max(lo, hi), half+proud, top), ease))
	}
}

// opening is a window or a door about a place: cut through the wall, with a frame set back
// in it, a ring or a lintel over it and a sill under it.
func (e *elevation) opening(x, wide, sill, head float64, door bool) {
	z, s := e.z, e.s
	half, h := z.thick/2, wide/2
	arched := e.f.Head == "arched"
	outline := func(grow, low, top float64) []r2.Vec { // of the opening, larger all round
		w := h + grow
		if !arched {
			return plan(x-w, low, x+w, low, x+w, top+grow, x-w, top+grow)
		}
		pts := plan(x-w, low, x+w, low)
		const steps = 14
		rise := math.Min(h, 0.8*(head-sill)) // half round where there is room
		for i := range steps + 1 {
			sin, cos := math.Sincos(math.Pi * float64(i) / steps)
			pts = append(pts, r2.Vec{X: x + w*cos, Y: top - rise + (rise+grow)*sin})
		}
		return pts
	}
	upright := func(outline []r2.Vec, lo, hi float64) sdf.Field { // between two places across the wall
		return sdf.Place(sdf.Prism(outline, -hi, -lo), sdf.Turn(sdf.V(1, 0, 0), 90))
	}
	low := sill
	if door {
		low = 0
	}
	e.cut = append(e.cut, upright(outline(0, low, head), -2*half, 2*half))
	// The ring of stones about its head, and its jambs.
	ring := math.Max(s.OnPrint(120), 0.9*s.Print.Wall)
	proud := 0.7 * z.proud
	surround := sdf.Difference(upright(outline(ring, low, head), -half-proud, -half+0.3*z.thick), upright(outline(0, low-1, head), -2*half, 2*half))
	joints := relief.NewPanels(e.rng.Uint64(), math.Max(4*ring, z.brick), math.Max(2.5*z.course, 4*s.Print.Gap), s.Print.Gap,
		0.6*math.Min(proud, s.Print.Relief), 0, 0)
	e.set = append(e.set, relief.Carve(surround, relief.Place(joints, sdf.Turn(sdf.V(1, 0, 0), 90))))
	key := 0.7 * ring
	keystone := plan(x-0.6*key, head-0.02, x+0.6*key, head-0.02, x+key, head+1.3*ring, x-key, head+1.3*ring)
	e.set = append(e.set, upright(keystone, -half-1.6*proud, -half+0.3*z.thick))
	in := -half + 0.35*z.thick // the frame stands so far back
	bar := z.bar
	out := in + math.Max(bar, 0.2*z.thick)
	if out > half-0.05 {
		in, out = -bar/2, bar/2
	}
	gone := e.rng.Float64() < 0.5*e.f.Wear
	if door {
		if !gone {
			leaf := upright(outline(0.05, e.foot, head), in, in+math.Max(s.OnPrint(50), s.Print.Wall))
			boards := relief.Place(relief.NewPanels(e.rng.Uint64(), 3*head, math.Max(s.OnPrint(140), 3.5*s.Print.Gap), s.Print.Gap,
				0.8*s.Print.Relief, 0.2*s.Print.Relief, 0),
				sdf.Turn(sdf.V(0, 0, 1), 90).Then(sdf.Turn(sdf.V(1, 0, 0), 90)))
			e.set = append(e.set, relief.Carve(leaf, boards))
		}
		step := math.Max(s.OnPrint(280), s.Print.Wall)
		up := math.Max(s.HeightOnPrint(150), 2*s.Print.Relief)
		e.set = append(e.set, sdf.BoxBetween(sdf.V(x-h-ring, -half-step, e.foot), sdf.V(x+h+ring, half, up)))
		return
	}
	p := z.proud
	e.set = append(e.set, e.across(plan(-z.thick, sill, 0, sill, 1.2*p, sill-0.15*p, 1.2*p, sill-p, 0, sill-2.2*p, -z.thick, sill-2.2*p), x-h-ring, x+h+ring))
	if wide < 3.2*bar || head-sill < 4*bar || gone && e.f.Wear > 0.8 {
		return
	}
	frame := sdf.Difference(upright(outline(0.05, sill-0.05, head), in, out), upright(outline(-bar, sill+bar, head), in-1, out+1))
	e.set = append(e.set, frame)
	if gone || wide < 4.5*bar {
		return
	}
	e.set = append(e.set, upright(plan(x-bar/2, sill, x+bar/2, sill, x+bar/2, head-bar/2, x-bar/2, head-bar/2), in, out)) // the mullion
	if rail := sill + 0.6*(head-sill); e.rng.Float64() > 0.4*e.f.Wear {
		e.set = append(e.set, upright(plan(x-h, rail-bar/2, x+h, rail-bar/2, x+h, rail+bar/2, x-h, rail+bar/2), in, out))
	}
}

// skyline is what is left of a side: broken down in steps of courses from one end to the
// other.
func (e *elevation) skyline() []r2.Vec {
	z := e.z
	lo, hi := -2*e.over-e.z.proud, e.long+2*e.over+e.z.proud
	low := e.foot - 1
	if e.f.Ruin == 0 {
		return plan(lo, low, hi, low, hi, z.high+z.proud, lo, z.high+z.proud)
	}
	step := math.Max(z.brick/2, e.long/60)
	n := int(math.Ceil((hi - lo) / step))
	left := e.rng.IntN(2) == 0 // the end that stands
	fall := e.f.Ruin * (z.high - 0.45*z.storey)
	pts := plan(lo, low, hi, low)
	walk := 0.0
	for k := range n {
		x := hi - step*float64(k)
		t := (x - lo) / (hi - lo)
		if !left {
			t = 1 - t
		}
		walk = 0.6*walk + 0.5*z.course*e.rng.NormFloat64()
		bite := 0.25 * math.Sin(7*t+6*float64(e.f.Seed%7)) // it does not fall evenly
		up := z.high - fall*math.Max(0, math.Min(1, t*1.15-0.1+bite*t*(1-t)*2)) + 2*walk
		up = math.Max(2*z.course, math.Min(z.high+z.proud, z.course*math.Round(up/z.course)))
		pts = append(pts, r2.Vec{X: x, Y: up}, r2.Vec{X: math.Max(lo, x-step), Y: up})
	}
	return planar.Tidy(pts)
}

// Bitten is what bites leave of it: it breaks in chunks.
func (f *Front) Bitten(s *parts.Site, bites []parts.Bite, _ sdf.Field) (all []parts.Remains) {
	z := f.settled(s)
	size := math.Max(fracture.Size(s, z.thick, bites), 2*s.Print.Wall)
	for _, side := range f.sides(s) {
		leg, level, work := side.leg, side.level, side.solid
		box := r3.Box{Min: sdf.V(-z.thick, -z.thick, level-2), Max: sdf.V(leg.To-leg.From+z.thick, z.thick, level+z.high+z.proud)}
		b := fracture.Break{Work: work, Frame: course.Frame(leg), Box: box, Size: fracture.Even(size), Held: func(q r3.Vec) bool { return q.Z < level+size }}
		all = append(all, parts.Remains{Work: work, Taken: b.Taken(bites)})
	}
	return all
}

// Plan is its outline.
func (f *Front) Plan(s *parts.Site) []parts.Stroke {
	z := f.settled(s)
	return []parts.Stroke{{Line: parts.LineMass, Layer: parts.Standing, Closed: true, Covers: true, Path: planar.Alongside(f.Points, z.thick/2)}}
}

// Breaks gives bricks, as many as lie along its line within the patch.
func (f *Front) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	z := f.settled(s)
	run := p.Run(f.Points, z.thick)
	if run == 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Bricks, Unit: sdf.V(z.brick, z.brick/2, z.course), Volume: 0.5 * run * z.high * z.thick}}
}

// Measures are the height of a storey and the width of a window.
func (f *Front) Measures(s *parts.Site) []parts.Measure {
	z := f.settled(s)
	storey := parts.Unlimited("storey", "storey", z.storey, s.FullHeight(z.storey))
	storey.Yardstick = s.Beside(storey.Full)
	window := parts.Unlimited("window", "window", z.window, s.FullSize(z.window))
	window.Yardstick = s.Share(window.Full)
	return []parts.Measure{storey, window}
}

// Remedies of fronts.
func (f *Front) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(f)
	switch {
	case t.Thin():
		r.Scaled("thick", "a thicker wall", f.Thick, 1.25, 1.5)
		r.Scaled("ruin", "less ruined", f.Ruin, 0.5, 0)
		r.Seeds(f.Seed)
	case t.Hanging():
		r.To("head", "arches, which print without props", "arched")
		r.Seeds(f.Seed)
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the front, or the stand")
	}
	return r.All
}
