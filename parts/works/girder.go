package works

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Girder is a rolled beam of two flanges and a web, or several.
type Girder struct {
	setout.Places
	Section    string  `key:"section" type:"word" doc:"which of the published sections" default:"ipe-300" words:"ipe-100,ipe-160,ipe-200,ipe-240,ipe-300,ipe-400,ipe-500,ipe-600,hea-200,heb-200,heb-300,heb-400,heb-600" source:"EN 10365, depths, widths and thicknesses from memory"`
	Length     float64 `key:"length" type:"length" doc:"from end to end" default:"1.8 m" min:"1" max:"500" source:"common practice, no source"`
	Pose       string  `key:"pose" type:"word" doc:"how it lies: on a flange, on its side, or standing on a base plate" default:"edge" words:"edge,flat,upright"`
	Raised     float64 `key:"raised" type:"height" doc:"its underside over its floor, on a block at each end, or on a plinth where it stands" default:"0" min:"0" max:"200"`
	Splice     bool    `key:"splice" type:"flag" doc:"with bolted plates over a joint in its middle" default:"true"`
	Stiffeners int     `key:"stiffeners" type:"count" doc:"plates across the web, on both sides of it; fewer are drawn where they would run into each other" default:"4" min:"0" max:"40" source:"common practice, no source"`
	Torn       string  `key:"torn" type:"word" doc:"which of its ends are torn off, and not sawn" default:"none" words:"none,one,both"`
	Wear       float64 `key:"wear" type:"number" doc:"0 new .. 1 eaten by rust" default:"0.4" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "girder", Stage: parts.Fitting, Group: "Works",
		Doc: "Rolled beams of two flanges and a web, by the published sections: lying, raised on blocks or standing, with bolted splices and torn ends.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "ballast"

[[girder]]
at = [[31, 30]]
length = "2.2 m"
turn = 12
raised = "150 mm"

[[girder]]
at = [[35, 14]]
turn = -20
torn = "one"
wear = 0.8
`,
		New: func() parts.Part { return &Girder{} },
	})
}

// section is a rolled section, mm of life.
type section struct{ depth, flange, web, thick float64 }

// sections are those of EN 10365, from memory.
var sections = map[string]section{
	"ipe-100": {100, 55, 4.1, 5.7},
	"ipe-160": {160, 82, 5, 7.4},
	"ipe-200": {200, 100, 5.6, 8.5},
	"ipe-240": {240, 120, 6.2, 9.8},
	"ipe-300": {300, 150, 7.1, 10.7},
	"ipe-400": {400, 180, 8.6, 13.5},
	"ipe-500": {500, 200, 10.2, 16},
	"ipe-600": {600, 220, 12, 19},
	"hea-200": {190, 200, 6.5, 10},
	"heb-200": {200, 200, 9, 15},
	"heb-300": {300, 300, 11, 19},
	"heb-400": {400, 300, 13.5, 24},
	"heb-600": {600, 300, 15.5, 30},
}

// girderSizes are those of a girder as it is drawn, mm.
type girderSizes struct {
	long, depth, flange, web, thick float64
	rust                            float64 // depth of the rust
	cover                           float64 // thickness of a splice plate, 0 for none
	bolt                            bolt
	plate                           float64 // thickness of the base plate
	block                           float64 // length of a block that it is raised on
	bulk                            r3.Vec
	notes                           parts.Notes
}

// baseShare is how far a base plate or a block reaches beyond a girder, over its sizes.
const baseShare = 1.35

func (g *Girder) settled(s *parts.Site) *girderSizes {
	return parts.Settled(s, g, func() *girderSizes {
		z := &girderSizes{notes: parts.Notes{Part: g.Name}}
		of, wall := sections[g.Section], s.Print.Wall
		z.rust = g.Wear * math.Max(2*s.Grain(), 0.25*wall)
		z.web = z.notes.AtLeast("section", s.OnPrint(of.web), wall+z.rust, "web, a wall and its rust")
		z.thick = z.notes.AtLeast("section", s.OnPrint(of.thick), wall+z.rust, "flange, a wall and its rust")
		z.depth = z.notes.AtLeast("section", s.OnPrint(of.depth), 2*z.thick+3*s.Print.Gap, "depth, two flanges and three gaps between them")
		z.flange = z.notes.AtLeast("section", s.OnPrint(of.flange), z.web+3*s.Print.Gap, "flange, the web and three gaps")
		z.long = z.notes.AtLeast("length", g.Length, 1.5*z.depth, "girder, one and a half times its depth")
		z.bolt = boltOf(s, 20)
		if g.Splice && math.Min(z.flange, z.depth) > 3*z.bolt.across {
			z.cover = math.Max(s.OnPrint(12), 0.7*s.Print.Relief)
		}
		out := 0.0 // of a splice plate and its bolts
		if z.cover > 0 {
			out = z.cover + z.bolt.high
		}
		z.block = math.Max(s.OnPrint(300), 2*wall)
		wide := z.flange
		if g.Raised > 0 {
			wide *= baseShare
		}
		switch g.Pose {
		case "flat":
			z.bulk = sdf.V(z.long, z.depth+2*out, z.flange+g.Raised)
		case "upright":
			z.plate = math.Max(s.OnPrint(25), wall)
			z.bulk = sdf.V(baseShare*z.depth+2*out, math.Max(baseShare*z.flange, z.flange+3*z.bolt.across), z.long+z.plate+g.Raised)
		default:
			z.bulk = sdf.V(z.long, wide, z.depth+out+g.Raised)
		}
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (g *Girder) Notes(s *parts.Site) []parts.Note { return g.settled(s).notes.List }

// Bulk is the size of one as it lies or stands.
func (g *Girder) Bulk(s *parts.Site) r3.Vec { return g.settled(s).bulk }

// tornEnds says which ends are torn off: the one at -x and the one at +x. One that stands
// is whole at its foot.
func (g *Girder) tornEnds() [2]bool {
	return [2]bool{g.Torn == "both" && g.Pose != "upright", g.Torn != "none"}
}

// Body is one: its section, laid on the floor, on blocks or on a base plate.
func (g *Girder) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := g.settled(s)
	rng := rand.New(rand.NewPCG(at.Seed, 1))
	cut := g.outlines(s, z, rng)
	beam := g.beam(s, z, cut, at.Seed)
	half, low := z.long/2, g.Raised
	var all []sdf.Field
	add := func(x0, x1, y, lo, hi float64) {
		all = append(all, sdf.BoxBetween(sdf.V(x0, -y, lo), sdf.V(x1, y, hi)))
	}
	blocks := func(wide, into float64) {
		end := math.Min(z.block, 0.4*z.long)
		cut := surface.Piece{Seed: at.Seed, Depth: s.Grain(), Most: 0.3 * s.Print.Wall}.Face(s, surface.Tooled)
		for _, way := range [2]float64{-1, 1} {
			mid := way * (half - end/2)
			block := sdf.BoxEased(sdf.V(mid-end/2, -wide/2, at.Foot), sdf.V(mid+end/2, wide/2, low+0.05), 0.1)
			all = append(all, relief.Carve(block, surface.AllRound(cut, 0)))
			add(mid-end/2+0.2, mid+end/2-0.2, math.Min(wide/2-0.2, into/2), low-0.1, low+0.3*z.thick)
		}
	}
	switch g.Pose {
	case "flat":
		all = append(all, sdf.Place(beam, sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.At(sdf.V(0, 0, z.flange/2+low)))))
		foot := at.Foot
		if g.Raised > 0 {
			blocks(z.depth, z.depth)
			foot = low
		} else {
			add(-0.6*half, 0.6*half, z.depth/2-0.5*z.thick, foot, z.flange/2)
		}
		for i, way := range [2]float64{-1, 1} { // the edges that it lies on, even
			o, y := cut[2*i], way*(z.depth-z.thick)/2
			edge := sdf.V(o[len(o)-1].X, y-z.thick/2+z.rust, foot)
			all = append(all, sdf.BoxBetween(edge, sdf.V(o[0].X, y+z.thick/2-z.rust, low+2*z.rust+0.1)))
		}
	case "upright":
		lift := low + z.plate
		all = append(all, sdf.Place(beam, sdf.Turn(sdf.V(0, 1, 0), -90).Then(sdf.At(sdf.V(0, 0, half+lift)))))
		x, y := z.bulk.X/2, z.bulk.Y/2
		if g.Raised > 0 {
			all = append(all, sdf.BoxEased(sdf.V(-x, -y, at.Foot), sdf.V(x, y, low), 0.15))
			x, y = 0.93*x, 0.93*y
		}
		add(-x, x, y, math.Min(at.Foot, low-0.1), lift)
		for _, i := range [2]float64{-1, 1} {
			for _, j := range [2]float64{-1, 1} {
				if r := z.bolt.across; x > 2*r && y > z.web/2+2*r {
					all = append(all, z.bolt.at(sdf.V(i*(x-0.8*r), j*(y-0.8*r), lift), sdf.Pose{}))
				}
			}
		}
	default:
		all = append(all, sdf.Place(beam, sdf.At(sdf.V(0, 0, z.depth/2+low))))
		foot := at.Foot
		if g.Raised > 0 {
			blocks(baseShare*z.flange, z.flange)
			foot = low
		}
		all = append(all, sdf.Prism(cut[0], foot, low+0.5*z.thick)) // even where it lies, free of rust
	}
	return sdf.Union(all...)
}

// outlines are those of the lower flange, the web and the upper flange, each about the
// origin with the length along x: anticlockwise, from one corner at +x to the other at -x.
func (g *Girder) outlines(s *parts.Site, z *girderSizes, rng *rand.Rand) (out [3][]r2.Vec) {
	half, torn := z.long/2, g.tornEnds()
	for n, wide := range [3]float64{z.flange, z.depth - z.thick, z.flange} {
		for i, way := range [2]float64{1, -1} {
			if !torn[1-i] {
				out[n] = append(out[n], r2.Vec{X: way * half, Y: -way * wide / 2}, r2.Vec{X: way * half, Y: way * wide / 2})
				continue
			}
			// A torn end lies back by chance, in teeth that print.
			teeth := max(2, int(math.Round(wide/(1.6*s.Print.Wall))))
			reach := z.reach()
			base, lean := reach*(0.1+0.3*rng.Float64()), reach*0.5*(2*rng.Float64()-1)
			tooth := math.Min(0.9*wide/float64(teeth), reach/3)
			for k := range teeth + 1 {
				t := float64(k)/float64(teeth) - 0.5
				back := math.Max(0, base+lean*t+tooth*rng.Float64())
				out[n] = append(out[n], r2.Vec{X: way * (half - back), Y: way * wide * t})
			}
		}
	}
	return out
}

// reach is how far a torn end may lie back.
func (z *girderSizes) reach() float64 { return math.Min(0.7*z.depth, 0.25*z.long) }

// beam is the section about the origin: its length along x, its web upright.
func (g *Girder) beam(s *parts.Site, z *girderSizes, cut [3][]r2.Vec, seed uint64) sdf.Field {
	half, h := z.long/2, z.depth/2
	web := sdf.Place(sdf.Prism(cut[1], -z.web/2, z.web/2), sdf.Turn(sdf.V(1, 0, 0), 90))
	all := []sdf.Field{sdf.Prism(cut[0], -h, -h+z.thick), sdf.Prism(cut[2], h-z.thick, h), web}
	iron := sdf.Union(all...)
	if z.rust > 0 {
		iron = relief.Carve(iron, surface.Rough(seed, math.Max(1.4, 4*s.Print.Gap), z.rust))
	}
	// What has air under it is even there: rust would print as crumbs.
	all = []sdf.Field{iron, sdf.Prism(cut[2], h-z.thick, h-0.6*z.thick),
		sdf.Place(sdf.Prism(cut[1], -z.web/2, -0.1*z.web), sdf.Turn(sdf.V(1, 0, 0), 90))}
	// Plates across the web, clear of torn ends and of the splice.
	clear, gap := half-math.Max(z.web, 0.1*z.depth), z.web+2*s.Print.Gap
	if g.Torn != "none" {
		clear = half - z.reach() - z.web
	}
	splice := math.Min(0.9*z.depth, 0.25*z.long) // half its length
	if n := min(g.Stiffeners, int(2*clear/gap)); n > 0 && clear > 0 {
		for k := range n {
			x := clear * (2*(float64(k)+0.5)/float64(n) - 1)
			if n > 1 {
				x = clear * (2*float64(k)/float64(n-1) - 1)
			}
			if z.cover > 0 && math.Abs(x) < splice+z.web {
				continue
			}
			thick := math.Max(s.OnPrint(12), s.Print.Wall)
			all = append(all, sdf.Place(sdf.Box(sdf.V(thick, 0.94*z.flange, z.depth-z.thick), 0), sdf.At(sdf.V(x, 0, 0))))
		}
	}
	if z.cover == 0 {
		return sdf.Union(all...)
	}
	return sdf.Union(append(g.splice(z, splice, clear), all...)...)
}

// splice is cover plates over a joint in the middle, with their bolts.
func (g *Girder) splice(z *girderSizes, half, clear float64) (all []sdf.Field) {
	half = math.Min(half, math.Max(clear, 2*z.bolt.across))
	// On the flanges, with bolts either side of the web; on the web between the flanges.
	on := func(pose sdf.Pose, out, wide float64) {
		plate := sdf.BoxBetween(sdf.V(-half, -wide/2, -0.5*z.thick), sdf.V(half, wide/2, z.cover))
		all = append(all, sdf.Place(plate, pose.Then(sdf.At(pose.Rotate(sdf.V(0, 0, out))))))
		rows := max(1, int(wide/(2.2*z.bolt.across)))
		lines := max(1, int(half/(2.2*z.bolt.across)))
		for i := range rows {
			y := wide * ((float64(i)+0.5)/float64(rows) - 0.5)
			for k := range lines {
				x := half * (float64(k) + 0.5) / float64(lines)
				for _, way := range [2]float64{-1, 1} {
					all = append(all, z.bolt.at(pose.Rotate(sdf.V(way*x, y, out+z.cover)), pose))
				}
			}
		}
	}
	on(sdf.Pose{}, z.depth/2, 0.9*z.flange)
	if g.Pose != "edge" {
		on(sdf.Turn(sdf.V(1, 0, 0), 180), z.depth/2, 0.9*z.flange)
	}
	if room := z.depth - 2*z.thick; room > 2*z.bolt.across && (z.flange-z.web)/2 > z.cover+z.bolt.high {
		for _, way := range [2]float64{-1, 1} {
			on(sdf.Turn(sdf.V(1, 0, 0), 90*way), z.web/2, 0.9*room)
		}
	}
	return all
}

// Matter is torn iron.
func (g *Girder) Matter(s *parts.Site) parts.Matter {
	z := g.settled(s)
	return parts.Matter{Form: parts.Plates, Unit: sdf.V(2*z.depth, z.flange, z.thick), Volume: z.long * (2*z.flange*z.thick + z.depth*z.web)}
}

// Measures is its depth beside a person.
func (g *Girder) Measures(s *parts.Site) []parts.Measure {
	depth := g.settled(s).depth
	m := parts.Unlimited("depth", "section", depth, s.FullSize(depth))
	m.Yardstick = s.Share(m.Full)
	return []parts.Measure{m}
}

// Remedies of girders.
func (g *Girder) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(g)
	switch {
	case t.Thin():
		r.To("torn", "ends that are sawn", "none")
		r.To("splice", "no splice", false)
		r.Scaled("wear", "less rust", g.Wear, 0.5, 0)
	case t.Hanging():
		r.Scaled("raised", "lower, or on the floor", g.Raised, 0.5, 0)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the girders, or the stand")
	}
	return r.All
}
