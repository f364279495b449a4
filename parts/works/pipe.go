package works

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/planar"
	"socle/sdf"
)

// Pipe is a line of pipe at a height over a floor.
type Pipe struct {
	Course
	Bore     string   `key:"bore" type:"word" doc:"nominal diameter" default:"dn-300" words:"dn-25,dn-50,dn-80,dn-100,dn-150,dn-200,dn-250,dn-300,dn-400,dn-500,dn-600" source:"outside diameters of ISO 4200 and EN 10255, flanges of EN 1092-1 PN 16, from memory"`
	Height   float64  `key:"height" type:"height" doc:"of its middle over the floor" default:"600 mm" min:"0" max:"200"`
	Flanges  float64  `key:"flanges" type:"length" doc:"from one pair of flanges to the next" default:"2 m" min:"1" max:"500" source:"lengths of 6 m and less: common practice, no source"`
	Supports float64  `key:"supports" type:"length" doc:"from one saddle to the next, at most" default:"1.2 m" min:"1" max:"500" source:"common practice, no source"`
	Valve    *float64 `key:"valve" type:"length" doc:"how far along the line a valve with a hand wheel stands; left out, none" min:"0" max:"1000"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "pipe", Stage: parts.Fitting, Group: "Works",
		Doc: "A line of pipe on saddles and a low wall with pointed openings: bends at its corners, bolted flanges, and a valve with a hand wheel.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "gravel"

[[pipe]]
line = [[5, 20], [38, 20], [38, 50]]
valve = "1 m"
`,
		New: func() parts.Part { return &Pipe{} },
	})
}

// bore is a pipe of a nominal diameter: outside diameter, diameter of its flange, mm of
// life, and number of bolts.
type bore struct {
	outside, flange float64
	bolts           int
}

// bores are those of ISO 4200 and EN 10255, with flanges of EN 1092-1 PN 16, from memory.
var bores = map[string]bore{
	"dn-25":  {33.7, 115, 4},
	"dn-50":  {60.3, 165, 4},
	"dn-80":  {88.9, 200, 8},
	"dn-100": {114.3, 220, 8},
	"dn-150": {168.3, 285, 8},
	"dn-200": {219.1, 340, 12},
	"dn-250": {273, 405, 12},
	"dn-300": {323.9, 460, 12},
	"dn-400": {406.4, 580, 16},
	"dn-500": {508, 715, 20},
	"dn-600": {610, 840, 20},
}

// pipeSizes are those of a pipe as it is drawn, mm.
type pipeSizes struct {
	outside, flange float64 // radii
	plate           float64 // thickness of a flange
	bend            float64 // radius of a bend's middle
	height          float64
	bolts           int // in a flange, 0 for none that show
	bolt            bolt
	stem            float64 // radius of a valve's stem and wheel
	wall            float64 // thickness of the wall that it lies on
	notes           parts.Notes
}

func (p *Pipe) settled(s *parts.Site) *pipeSizes {
	return parts.Settled(s, p, func() *pipeSizes {
		z, of := &pipeSizes{notes: parts.Notes{Part: p.Name}}, bores[p.Bore]
		z.outside = z.notes.AtLeast("bore", s.OnPrint(of.outside), 1.2*s.Print.Pin, "pipe, a pin and a fifth") / 2
		z.flange = math.Max(s.OnPrint(of.flange)/2, z.outside+s.Print.Relief)
		z.plate = math.Max(s.OnPrint(26), s.Print.Wall)
		const bends = 1.5 // of the outside diameter: EN 10253, type 3D, from memory
		z.bend = 2 * bends * z.outside
		z.height = z.notes.AtLeast("height", p.Height, z.outside, "height of its middle, where it lies on the floor")
		z.bolt = boltOf(s, 24)
		if z.flange-z.outside >= 0.9*z.bolt.across {
			z.bolts = min(of.bolts, int(math.Pi*(z.flange+z.outside)/(1.7*z.bolt.across)))
		}
		z.stem = math.Max(0.06*2*z.outside, s.Print.Pin/2)
		const halfBrick = 102.5 // full-size mm
		z.wall = math.Min(1.2*z.outside, math.Max(s.OnPrint(halfBrick), s.Print.Wall))
		return z
	})
}

// Check reports lines with sides too short for their bends, and a valve off its line.
func (p *Pipe) Check(s *parts.Site) []parts.Fault {
	least := 1.0
	if len(p.Points) > 2 {
		least = 2.5 * p.settled(s).bend
	}
	if faults := p.check(least); len(faults) > 0 {
		return faults
	}
	if long := p.Length(); p.Valve != nil && *p.Valve > long {
		return []parts.Fault{{Part: p.Name, Key: "valve", Text: "lies beyond the end of the line", Allowed: "at most " + parts.Short(long) + " mm"}}
	}
	return nil
}

// Notes say what is drawn larger than the scene gives it.
func (p *Pipe) Notes(s *parts.Site) []parts.Note { return p.settled(s).notes.List }

// Pieces counts lengths, flanges with their bolts and saddles.
func (p *Pipe) Pieces(*parts.Site) int {
	return 30 + 6*len(p.Points) + int(p.Length()*(20/p.Flanges+4/p.Supports))
}

// top is the highest of it over its floor.
func (p *Pipe) top(z *pipeSizes) float64 {
	if p.Valve != nil {
		return z.height + z.wheel() + z.stem
	}
	return z.height + z.flange
}

// wheel is the height of the hand wheel over the middle of the pipe.
func (z *pipeSizes) wheel() float64 { return 4*z.outside + 2*z.stem }

// disc is one about the pipe at a place of a side, from one distance to another.
func disc(leg planar.Leg, radius, from, to float64) sdf.Field {
	return sdf.Place(sdf.Cylinder(radius, to-from, 0), sdf.Turn(sdf.V(0, 1, 0), 90).Then(sdf.At(sdf.V(from, 0, 0))).Then(course.Frame(leg)))
}

// Solid is the pipe with its flanges, saddles and valve, and the wall that it lies on.
func (p *Pipe) Solid(s *parts.Site) sdf.Field {
	z := p.settled(s)
	legs := p.legs(s, z.height)
	var all []sdf.Field
	for i, leg := range legs {
		from, to := 0.0, leg.To-leg.From
		if i > 0 {
			from = z.bend * math.Tan(math.Abs(turnAt(p.Points, i))*math.Pi/360)
		}
		if i < len(legs)-1 {
			turn := turnAt(p.Points, i+1)
			back := z.bend * math.Tan(math.Abs(turn)*math.Pi/360)
			to -= back
			all = append(all, p.elbow(s, z, leg, legs[i+1], turn, to, back))
		}
		all = append(all, disc(leg, z.outside, from-joined, to+joined))
		clear := math.Max(2*z.plate, z.outside)
		first, last := from, to // of its flanges: at the ends of the line, and before its bends
		n := max(1, int(math.Round((last-first)/p.Flanges)))
		for k := range n + 1 {
			d := first + z.plate + (last-first-2*z.plate)*float64(k)/float64(n)
			all = append(all, p.flange(s, z, leg, d)...)
		}
		m := max(2, int(math.Ceil((last-first-2*clear)/p.Supports))+1)
		piers := []float64{first}
		for k := range m {
			d := first + 2*z.plate + clear + (last-first-2*clear-4*z.plate)*float64(k)/float64(m-1)
			all = append(all, p.saddle(s, z, leg, d)...)
			piers = append(piers, d)
		}
		all = append(all, p.wall(s, z, leg, append(piers, last)))
	}
	if p.Valve != nil {
		leg := planar.LegAt(legs, *p.Valve)
		all = append(all, p.valve(s, z, leg, *p.Valve-leg.From)...)
	}
	return sdf.Union(all...)
}

// elbow is the bend from one side to the next, which begins at a distance along the side.
func (p *Pipe) elbow(s *parts.Site, z *pipeSizes, leg, next planar.Leg, turn, at, back float64) sdf.Field {
	side := math.Copysign(1, turn)
	u, v := r3.Unit(r3.Sub(leg.B, leg.A)), r3.Unit(r3.Sub(next.B, next.A))
	middle := course.Frame(leg).Apply(sdf.V(at, side*z.bend, 0))
	end := r3.Add(leg.B, r3.Scale(back, v))
	half, foot := z.wall/2, p.foot(s, 2*z.flange)-middle.Z
	wall := sdf.Difference(sdf.Place(sdf.Cylinder(z.bend+half, -foot, 0), sdf.At(sdf.V(0, 0, foot))),
		sdf.Place(sdf.Cylinder(z.bend-half, 2-foot, 0), sdf.At(sdf.V(0, 0, foot-1))))
	ring := sdf.Place(sdf.Union(sdf.Torus(z.bend, z.outside), wall), sdf.At(middle))
	start := course.Frame(leg).Apply(sdf.V(at, 0, 0))
	return sdf.Intersection(ring, sdf.HalfSpace(r3.Scale(-1, u), joined-r3.Dot(u, start)), sdf.HalfSpace(v, r3.Dot(v, end)+joined))
}

// wall is what a side lies on, all along: from its floor into the pipe, with openings
// between piers at places along it. An opening comes to a point under the pipe, at 45
// degrees, so that nothing of it spans; it is as wide as drains, or there is none.
func (p *Pipe) wall(s *parts.Site, z *pipeSizes, leg planar.Leg, piers []float64) sdf.Field {
	half, foot := z.wall/2, p.foot(s, 2*z.flange)-p.level(s)-z.height
	first, last := piers[0]-joined, piers[len(piers)-1]+joined
	body := sdf.BoxBetween(sdf.V(first, -half, foot), sdf.V(last, half, 0))
	saddle, low := p.saddleHalf(s), 0.2*s.Print.Wall-z.height
	apex := -z.outside - 0.2*s.Print.Wall
	var open []sdf.Field
	for i := 1; i < len(piers); i++ {
		from, to := piers[i-1]+1.7*saddle, piers[i]-1.7*saddle
		n := math.Max(1, math.Ceil((to-from+z.wall)/(2*(apex-low)+z.wall)))
		wide := (to-from+z.wall)/n - z.wall
		if wide < 1.1*s.Printer.Vent || apex-low < wide/2+0.5*s.Printer.Vent {
			continue
		}
		for k := range int(n) {
			a := from + (wide+z.wall)*float64(k)
			shape := []r2.Vec{{X: a, Y: low}, {X: a + wide, Y: low}, {X: a + wide, Y: apex - wide/2}, {X: a + wide/2, Y: apex}, {X: a, Y: apex - wide/2}}
			open = append(open, sdf.Place(sdf.Prism(shape, -z.outside, z.outside), sdf.Turn(sdf.V(1, 0, 0), 90)))
		}
	}
	return sdf.Place(sdf.Difference(body, open...), course.Frame(leg))
}

// steep keeps what stands over the faces at 45 degrees that touch a pipe from below: what
// hangs under them would begin in the air.
func steep(radius float64) sdf.Field {
	flat, way := sdf.HalfSpace(sdf.V(0, 0, -1), radius), math.Sqrt(0.5)
	return sdf.Intersection(flat, sdf.HalfSpace(sdf.V(0, way, -way), radius), sdf.HalfSpace(sdf.V(0, -way, -way), radius))
}

// flange is a pair of flanges with a joint between them, and their bolts. It is cut off below,
// along the pipe: what hangs under that would print as an island.
func (p *Pipe) flange(s *parts.Site, z *pipeSizes, leg planar.Leg, d float64) []sdf.Field {
	joint := s.Print.Gap / 2
	all := []sdf.Field{disc(leg, z.flange, d-z.plate-joint, d-joint), disc(leg, z.flange, d+joint, d+z.plate+joint),
		disc(leg, z.flange-s.Print.Relief, d-joint-joined, d+joint+joined)}
	pose := course.Frame(leg)
	all = []sdf.Field{sdf.Intersection(sdf.Union(all...), sdf.Place(steep(z.outside), pose))}
	for k := range z.bolts {
		sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / float64(z.bolts))
		r := (z.flange + z.outside) / 2
		if math.Sqrt(0.5)*r*(math.Abs(cos)-sin) > z.outside-z.bolt.across/2 {
			continue // no flange is left there
		}
		for _, way := range [2]float64{-1, 1} {
			out := sdf.Turn(sdf.V(0, 1, 0), 90*way)
			all = append(all, sdf.Place(z.bolt.at(sdf.V(d+way*(z.plate+joint), r*cos, r*sin), out), pose))
		}
	}
	return all
}

// saddleHalf is half the length of a saddle along the pipe.
func (p *Pipe) saddleHalf(s *parts.Site) float64 {
	return math.Max(s.OnPrint(200), 1.2*s.Print.Wall) / 2
}

// saddle is a pier under the pipe with a strap over it.
func (p *Pipe) saddle(s *parts.Site, z *pipeSizes, leg planar.Leg, d float64) []sdf.Field {
	foot := p.foot(s, 2*z.flange) - p.level(s) - z.height // from the middle of the pipe
	half := p.saddleHalf(s)
	strap := z.outside + math.Max(s.OnPrint(12), 0.8*s.Print.Relief)
	pose := course.Frame(leg)
	all := []sdf.Field{sdf.Place(sdf.BoxBetween(sdf.V(d-half, -0.95*z.outside, foot), sdf.V(d+half, 0.95*z.outside, -0.3*z.outside)), pose),
		disc(leg, strap, d-0.7*half, d+0.7*half)}
	if base := 0.35 * (z.height - z.outside); base > s.Print.Relief { // a footing of concrete
		all = append(all, sdf.Place(sdf.BoxEased(sdf.V(d-1.7*half, -z.flange, foot), sdf.V(d+1.7*half, z.flange, base-z.height), 0.15*half), pose))
	}
	return all
}

// valve is a gate valve: a body between flanges, a bonnet, and a wheel on its stem.
func (p *Pipe) valve(s *parts.Site, z *pipeSizes, leg planar.Leg, d float64) []sdf.Field {
	r := z.outside
	pose := sdf.At(sdf.V(d, 0, 0)).Then(course.Frame(leg))
	up := func(radius, lo, hi float64) sdf.Field {
		return sdf.Place(sdf.Cylinder(radius, hi-lo, 0), sdf.At(sdf.V(0, 0, lo)).Then(pose))
	}
	high, wheel := z.wheel(), math.Max(1.4*r, 3*z.stem)
	all := []sdf.Field{sdf.Place(sdf.Intersection(sdf.Sphere(1.35*r), steep(r)), pose),
		up(0.9*r, 0, 1.9*r), up(math.Min(1.25*r, z.flange), 1.6*r, 1.6*r+z.plate),
		up(math.Max(0.35*r, z.stem), 0, 2.8*r), up(z.stem, 0, high+0.5*z.stem),
		sdf.Place(sdf.Torus(wheel, z.stem), sdf.At(sdf.V(0, 0, high)).Then(pose))}
	const spoke = 3.0 // mm: from one to the next at the rim, which spans no more
	n := max(5, int(math.Ceil(2*math.Pi*wheel/spoke)))
	for k := range n { // dished: they rise to the rim at 45 degrees
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		all = append(all, sdf.Place(sdf.Capsule(sdf.V(0, 0, high-wheel), sdf.V(wheel*cos, wheel*sin, high), z.stem), pose))
	}
	for _, way := range [2]float64{-1, 1} {
		all = append(all, p.flange(s, z, leg, d+way*(1.6*r+z.plate))...)
	}
	return append(all, p.saddle(s, z, leg, d)...)
}

// widest is the width of all of it.
func (p *Pipe) widest(z *pipeSizes) float64 {
	half := z.flange
	if p.Valve != nil {
		half = math.Max(half, math.Max(2.8*z.outside/2, 3*z.stem)+z.stem)
	}
	return 2 * half
}

// Extents are what it covers.
func (p *Pipe) Extents(s *parts.Site) []parts.Extent { return p.Covers(p.widest(p.settled(s))) }

// Plan is its outline and its middle.
func (p *Pipe) Plan(s *parts.Site) []parts.Stroke {
	return []parts.Stroke{p.bandStroke(2*p.settled(s).outside, parts.LineMass), {Line: parts.LineFine, Path: planar.Straight(p.Points...)}}
}

// Bitten is what bites leave of it.
func (p *Pipe) Bitten(s *parts.Site, bites []parts.Bite, _ sdf.Field) []parts.Remains {
	z := p.settled(s)
	return p.bitten(s, p.Solid(s), p.widest(z), p.top(z), bites)
}

// Breaks gives torn plate.
func (p *Pipe) Breaks(s *parts.Site, at *parts.Patch) []parts.Matter {
	z := p.settled(s)
	return p.matter(at, p.widest(z), parts.Plates, sdf.V(3*z.outside, 2*z.outside, math.Max(s.OnPrint(8), s.Print.Wall)), 0.5*z.outside*z.outside)
}

// Measures is its height beside a person.
func (p *Pipe) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", p.settled(s).height)
}

// Remedies of pipes.
func (p *Pipe) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(p)
	switch {
	case t.Thin():
		r.To("bore", "a wider pipe", "dn-300", "dn-500")
	case t.Hanging():
		r.Scaled("supports", "more saddles", p.Supports, 0.5, 0.3)
		r.Scaled("height", "lower", p.Height, 0.5, 0.25)
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the pipe, or the stand")
	}
	return r.All
}
