package house

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Roof is rafters with battens and slates or tiles, up from the eaves to a ridge or as far as
// the scene shows it.
type Roof struct {
	parts.Named
	Area     parts.Area   `key:"area" type:"table" doc:"what it covers without its overhang, a rect: to the outer faces of the walls" required:"yes"`
	Eaves    parts.Level  `key:"eaves" type:"level" doc:"level of the wall plate that its rafters stand on at the eaves" required:"yes"`
	Ridge    *parts.Level `key:"ridge" type:"level" doc:"level that its rafters reach at the top, in place of pitch"`
	Pitch    *float64     `key:"pitch" type:"angle" doc:"slope of its rafters; left out, 40 degrees, or from eaves to ridge" min:"10" max:"70" source:"slates from 25 degrees, plain tiles from 35: usual tables, from memory"`
	Form     string       `key:"form" type:"word" doc:"lean-to: one slope, up to a wall; gable: two, up to a ridge in the middle" default:"lean-to" words:"lean-to,gable"`
	Facing   float64      `key:"facing" type:"facing" doc:"where a slope falls to, or the first of two; the nearest side of the area" default:"south" words:"east,north,west,south"`
	Reach    *float64     `key:"reach" type:"length" doc:"how far in from the eaves, on the plan, it is there at all: broken off beyond, where all of it would be too high for a base; left out, up to the top" min:"1" max:"500"`
	Cover    string       `key:"cover" type:"word" doc:"what lies on the battens" default:"slates" words:"slates,tiles,none"`
	Rafter   [2]float64   `key:"rafter" type:"size" doc:"width and depth of a rafter" default:"60 mm, 120 mm" min:"0" max:"50" source:"50 x 100 mm to 75 x 150 mm: usual sawn sizes, from memory"`
	Spacing  float64      `key:"spacing" type:"length" doc:"middle to middle of rafters, at most; they are spaced evenly, and no closer than shows" default:"450 mm" min:"0.5" max:"100" source:"400 to 600 mm: usual tables of spans, from memory"`
	Overhang float64      `key:"overhang" type:"length" doc:"how far it stands out over the eaves, on the plan" default:"200 mm" min:"0" max:"50" source:"common practice, no source"`
	Under    string       `key:"under" type:"word" doc:"what is under it: solid work down to the floor, so that it prints with nothing under its rafters to sag; or open, on plates that walls or posts carry" default:"solid" words:"solid,open"`
	Post     float64      `key:"post" type:"length" doc:"side of the posts that carry an open roof where there is no wall" default:"150 mm" min:"0" max:"50" source:"common practice, no source"`
	Ruin     float64      `key:"ruin" type:"number" doc:"0 whole .. 1 bare: slates go first, then battens; rafters stay" default:"0.3" min:"0" max:"1"`
	Wear     float64      `key:"wear" type:"number" doc:"0 new .. 1 ruinous: how unevenly slates lie, and how many are cracked" default:"0.4" min:"0" max:"1"`
	Seed     uint64       `key:"seed" type:"seed" doc:"picks the slates and where they are gone" default:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "roof", Stage: parts.Structure, Group: "Roofs",
		Doc: "A roof or its eaves: rafters on a wall plate, battens, slates or tiles, " +
			"whole or stripped by a blast, in one slope or two. By default the room under it is solid.",
		New: func() parts.Part { return &Roof{} },
		Example: `
[[roof]]
area = { rect = [13, 17, 38, 18] }
eaves = "550 mm"
pitch = 38
facing = "south"
ruin = 0.45
seed = 3
`,
	})
}

// usualPitch is the slope of a roof, degrees. Common practice, no source.
const usualPitch = 40.0

// covers are the sizes of what covers a roof, full-size mm: width, how much of its length
// shows, and thickness.
var covers = map[string][3]float64{
	"slates": {255, 215, 8},  // 510 x 255 mm at a lap of 80: usual size, from memory
	"tiles":  {165, 100, 12}, // plain tiles of 265 x 165 mm at a gauge of 100: BS EN 1304 usage, from memory
}

// roofSizes are those of a roof as it is drawn, mm on the print.
type roofSizes struct {
	rectangle          // y up the first slope, -half.Y at its eaves
	run, reach float64 // of a slope on the plan, without overhang: whole, and as it is drawn
	tan        float64 // of its pitch
	out        float64 // overhang on the plan
	rise       float64 // from the plate to the top of the rafters' line as drawn
	wide, deep float64 // of a rafter
	spacing    float64
	batten     float64 // side of a batten
	unit       float64 // width of a slate
	gauge      float64 // how much of it shows up the slope
	tail       float64 // its thickness there
	post       float64
	slopes     int
	notes      parts.Notes
}

func (f *Roof) settled(s *parts.Site) *roofSizes {
	return parts.Settled(s, f, func() *roofSizes { return f.settle(s) })
}

func (f *Roof) settle(s *parts.Site) *roofSizes {
	z := &roofSizes{notes: parts.Notes{Part: f.Name}, slopes: 1}
	if len(rectFault(f.Name, &f.Area, 0)) > 0 {
		return z
	}
	all := headings(&f.Area)
	z.rectangle = rectangleOf(&f.Area, nearest(f.Facing, all[:]...)+180)
	z.run = 2 * z.half.Y
	if f.Form == "gable" {
		z.run, z.slopes = z.half.Y, 2
	}
	z.tan = math.Tan(usualPitch * math.Pi / 180)
	switch {
	case f.Pitch != nil:
		z.tan = math.Tan(*f.Pitch * math.Pi / 180)
	case f.Ridge != nil:
		z.tan = (f.Ridge.Height - f.Eaves.Height) / z.run
	}
	z.reach = z.run
	if f.Reach != nil {
		z.reach = math.Min(z.run, *f.Reach)
	}
	z.rise = z.reach * z.tan
	z.wide = z.notes.AtLeast("rafter", f.Rafter[0], math.Max(s.Print.Pin, s.Print.Wall), "wall")
	z.deep = math.Max(f.Rafter[1], 1.2*z.wide)
	z.spacing = math.Max(f.Spacing, 2*z.wide+2*s.Print.Gap)
	z.out = f.Overhang
	z.batten = math.Max(s.OnPrint(38), s.Print.Pin)
	size, ok := covers[f.Cover]
	if !ok {
		size = covers["slates"]
	}
	z.tail = math.Max(s.OnPrint(size[2]), 1.2*s.Print.Relief)
	z.unit = math.Max(s.OnPrint(size[0]), math.Max(5*s.Print.Gap, 2*z.tail))
	z.gauge = math.Max(s.OnPrint(size[1]), math.Max(4*z.tail, 1.8*z.batten))
	if z.gauge > s.OnPrint(size[1])*1.01 && ok {
		z.notes.Add("cover", "courses of %.2f mm would be lost on the print: they are drawn %.2f mm up the slope", s.OnPrint(size[1]), z.gauge)
	}
	z.post = math.Max(f.Post, s.Print.Pin)
	return z
}

// length is that of a slope from its lower end, overhang included, mm up the slope.
func (z *roofSizes) length() float64 { return (z.reach + z.out) * math.Hypot(1, z.tan) }

// frame is that of a slope: x along the eaves, y up the slope from its lower end, z off it; its
// plane is the top of the rafters.
func (z *roofSizes) frame(f *Roof, slope int) sdf.Pose {
	turn := sdf.Pose{}
	if slope == 1 {
		turn = sdf.Turn(sdf.V(0, 0, 1), 180)
	}
	tilt := math.Atan(z.tan) * 180 / math.Pi
	return sdf.Turn(sdf.V(1, 0, 0), tilt).Then(sdf.At(sdf.V(0, -z.half.Y-z.out, f.Eaves.Height+z.over()-z.out*z.tan))).Then(turn).Then(z.pose)
}

// over is how high the top of the rafters lies over the wall plate at the outer face of the
// wall: they are cut over it by a third of their depth.
func (z *roofSizes) over() float64 { return 0.67 * z.deep * math.Hypot(1, z.tan) }

// Notes say what is drawn otherwise than the scene gives it.
func (f *Roof) Notes(s *parts.Site) []parts.Note { return f.settled(s).notes.List }

// mostRoof bounds the rafters, battens and slates of one roof.
const mostRoof = 8000

// Pieces counts them.
func (f *Roof) Pieces(s *parts.Site) int {
	z := f.settled(s)
	if z.run == 0 {
		return 0
	}
	courses := z.length()/z.gauge + 2
	rafters := 2*z.half.X/z.spacing + 2
	return int(math.Min(1e6, float64(z.slopes)*(courses*(2*z.half.X/z.unit+3)+rafters*(courses+1))))
}

// Check reports an area that is no rectangle, tops that do not fit, and too many slates.
func (f *Roof) Check(s *parts.Site) []parts.Fault {
	if faults := rectFault(f.Name, &f.Area, 6*s.Print.Wall); len(faults) > 0 {
		return faults
	}
	var faults []parts.Fault
	fault := func(key, allowed, format string, args ...any) {
		faults = append(faults, parts.Fault{Part: f.Name, Key: key, Text: fmt.Sprintf(format, args...), Allowed: allowed})
	}
	z := f.settled(s)
	least, most := math.Tan(10*math.Pi/180), math.Tan(70*math.Pi/180)
	switch {
	case f.Ridge != nil && f.Pitch != nil:
		fault("pitch", "one of ridge and pitch", "the roof has both a ridge and a pitch")
	case z.tan < least-1e-9 || z.tan > most+1e-9:
		fault("ridge", fmt.Sprintf("from %.2f to %.2f mm, a pitch of 10 to 70 degrees", f.Eaves.Height+z.run*least, f.Eaves.Height+z.run*most),
			"%.2f mm is no roof over eaves at %.2f mm", f.Ridge.Height, f.Eaves.Height)
	case z.reach < 2*s.Print.Wall:
		fault("reach", fmt.Sprintf("at least %.2f mm", 2*s.Print.Wall), "%.2f mm shows no roof", z.reach)
	}
	if len(faults) > 0 {
		return faults
	}
	if ground, ok := s.LandUnder(f.Area.Outline()); ok && f.Eaves.Height-z.drop() < ground+s.Print.Gap {
		fault("eaves", fmt.Sprintf("at least %.2f mm", ground+s.Print.Gap+z.drop()),
			"its overhang comes down to %.2f mm, and the ground lies at %.2f mm", f.Eaves.Height-z.drop(), ground)
	}
	if n := f.Pieces(s); n > mostRoof {
		fault("area.rect", fmt.Sprintf("a roof of at most %d pieces", mostRoof), "makes %d rafters, battens and slates", n)
	}
	return faults
}

// drop is how far the ends of the rafters hang below the plate.
func (z *roofSizes) drop() float64 {
	return math.Max(0, z.out*z.tan-z.over()+z.deep*math.Hypot(1, z.tan))
}

// Extents are its area.
func (f *Roof) Extents(s *parts.Site) []parts.Extent {
	return []parts.Extent{{Key: "area", Points: f.Area.Outline(), Closed: true, OnLand: true}}
}

// TopOver is the top of its rafters as high as they reach.
func (f *Roof) TopOver(s *parts.Site, plan []r2.Vec, _ r2.Vec) (height float64, ok bool) {
	z := f.settled(s)
	return f.Eaves.Height + z.over() + z.rise, z.run > 0 && f.Extents(s)[0].Meets(plan)
}

// Breaks gives slates or tiles, and the ends of rafters where there are none.
func (f *Roof) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	if len(rectFault(f.Name, &f.Area, 0)) > 0 {
		return nil
	}
	z := f.settled(s)
	area := p.Cover(f.Area.Contains)
	if area == 0 {
		return nil
	}
	timber := parts.Matter{Form: parts.Boards, Unit: sdf.V(0, z.deep, z.wide), Volume: area * z.wide * z.deep / z.spacing}
	if f.Cover == "none" {
		return []parts.Matter{timber}
	}
	return []parts.Matter{{Form: parts.Flags, Unit: sdf.V(2*z.gauge, z.unit, z.tail), Volume: area * 2 * z.tail}, timber}
}

// Measures are the height of its eaves, and a course of slates against life.
func (f *Roof) Measures(s *parts.Site) []parts.Measure {
	z := f.settled(s)
	var all []parts.Measure
	if ground, ok := s.LandUnder(f.Area.Outline()); ok {
		all = append(all, parts.TallBeside(s, "eaves", "eaves", f.Eaves.Height-ground)...)
	}
	if size, ok := covers[f.Cover]; ok {
		all = append(all, s.Unit("course", "cover", z.gauge, s.FullSize(z.gauge), size[1], fmt.Sprintf("a course of %s, %g mm", f.Cover, size[1])))
	}
	return all
}

// Plan is its outline with its overhang, and its ridge.
func (f *Roof) Plan(s *parts.Site) []parts.Stroke {
	z := f.settled(s)
	lo, hi := r2.Vec{X: -z.half.X, Y: -z.half.Y - z.out}, r2.Vec{X: z.half.X, Y: -z.half.Y + z.reach}
	var strokes []parts.Stroke
	for slope := range z.slopes {
		path := z.plan(lo, hi)
		if slope == 1 {
			path = z.plan(r2.Vec{X: -hi.X, Y: -hi.Y}, r2.Vec{X: -lo.X, Y: -lo.Y})
		}
		strokes = append(strokes, parts.Stroke{Line: parts.LineEdge, Layer: parts.Fitted, Path: planar.Straight(path...), Closed: true, Covers: true})
	}
	return strokes
}

// Remedies of a roof.
func (f *Roof) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r, z := parts.RemediesOf(f), f.settled(s)
	switch {
	case t.Thin():
		r.Seeds(f.Seed)
		r.Scaled("wear", "less wear", f.Wear, 0.5, 0)
		r.Scaled("ruin", "less ruin", f.Ruin, 0.6, 0)
	case t.Hanging() || t.Trapped():
		r.Set("under", "", "solid")
		r.Scaled("overhang", "less overhang", z.out, 0.5, 0)
		r.Scaled("ruin", "less ruin", f.Ruin, 0.6, 0)
	case t.Of("stand", "rough-stand"):
		r.Words("area", "move the roof, or the stand")
	case t.Of("narrow-gap"):
		r.Scaled("spacing", "wider spacing", z.spacing, 1.25, 1.5)
	}
	return r.All
}
