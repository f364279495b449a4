package street

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Kerb is kerb stones along a line, with a gutter of channel stones beside them.
type Kerb struct {
	Course
	Stone   float64 `key:"stone" type:"length" doc:"length of a stone; those of a straight side are made equal" default:"915 mm" min:"0.5" max:"200" source:"BS EN 1340 as made in Britain: 915 mm, from memory"`
	Width   float64 `key:"width" type:"length" doc:"of a kerb stone" default:"150 mm" min:"0" max:"100" source:"BS EN 1340 as made in Britain: 125 or 150 x 255 mm, from memory"`
	Upstand float64 `key:"upstand" type:"height" doc:"of the kerb over its floor" default:"110 mm" min:"0" max:"50" source:"common practice, no source: 100 to 125 mm"`
	Gutter  string  `key:"gutter" type:"word" doc:"the side of the line on which a gutter lies, as one walks along it" default:"right" words:"left,right,none"`
	Channel float64 `key:"channel" type:"length" doc:"width of the gutter" default:"255 mm" min:"0" max:"100" source:"BS EN 1340 as made in Britain: a channel of 255 x 125 mm, from memory"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "kerb", Stage: parts.Fitting, Group: "Kerbs",
		Doc: "Kerb stones along a line with joints between them, and a gutter of dished stones beside them.",
		Example: `
[[paving]]
level = "floor"
area = { polygon = [[0, 0], [64, 0], [64, 22], [0, 22]] }
stone = ["220 mm", "140 mm"]

[[deck]]
level = "floor + 110 mm"
area = { rect = [0, 24, 64, 24] }

[[kerb]]
line = [[6, 23], [58, 23]]

[[bollard]]
at = [[23, 33], [41, 33]]
`,
		New: func() parts.Part { return &Kerb{} },
	})
}

// kerbSizes are those of a kerb as it is drawn, mm.
type kerbSizes struct {
	stone, wide, up float64
	channel         float64 // 0 for none
	proud           float64 // of the gutter's edges over the floor
	joint           float64
	notes           parts.Notes
}

func (k *Kerb) settled(s *parts.Site) *kerbSizes {
	return parts.Settled(s, k, func() *kerbSizes {
		z := &kerbSizes{joint: math.Max(s.OnPrint(8), 1.15*s.Print.Gap), notes: parts.Notes{Part: k.Name}}
		z.wide = z.notes.AtLeast("width", k.Width, 1.2*s.Print.Wall, "kerb, a fifth more than a wall")
		z.stone = z.notes.AtLeast("stone", k.Stone, 2*z.wide, "stone, twice as long as wide")
		z.proud = 1.4 * s.Print.Relief
		least := 2 * s.Print.Relief
		if k.Gutter != "none" {
			z.channel = z.notes.AtLeast("channel", k.Channel, 1.2*s.Print.Wall, "gutter, a fifth more than a wall")
			least += z.proud
		}
		z.up = z.notes.AtLeast("upstand", k.Upstand, least, "kerb that shows")
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (k *Kerb) Notes(s *parts.Site) []parts.Note { return k.settled(s).notes.List }

// Pieces counts stones.
func (k *Kerb) Pieces(s *parts.Site) int {
	return 3*int(k.Length()/k.settled(s).stone) + 2*len(k.Points)
}

// beside is how far it reaches to the left and to the right of its line, mm.
func (k *Kerb) beside(z *kerbSizes) (left, right float64) {
	left, right = z.wide/2, z.wide/2
	switch k.Gutter {
	case "left":
		left += z.channel
	case "right":
		right += z.channel
	}
	return left, right
}

// Extents are its line.
func (k *Kerb) Extents(s *parts.Site) []parts.Extent {
	left, right := k.beside(k.settled(s))
	return []parts.Extent{{Key: course.Key, Points: k.Points, Wide: math.Max(left, right)}}
}

// Solid is its stones on their beds, side by side, mitred at the corners of the line.
func (k *Kerb) Solid(s *parts.Site) sdf.Field {
	z := k.settled(s)
	legs := k.legs()
	var all []sdf.Field
	for i, leg := range legs {
		rng := s.Rand(k.Name, k.Seed+uint64(i)*1000003, "kerb")
		side := sdf.Place(sdf.Union(k.side(s, z, rng, leg, i > 0, i+1 < len(legs))...), course.Frame(leg))
		within := []sdf.Field{side}
		dir := func(l planar.Leg) r3.Vec { return r3.Unit(r3.Sub(l.B, l.A)) }
		if i > 0 {
			n := r3.Scale(-1, r3.Unit(r3.Add(dir(legs[i-1]), dir(leg))))
			within = append(within, sdf.HalfSpace(n, r3.Dot(n, leg.A)))
		}
		if i+1 < len(legs) {
			n := r3.Unit(r3.Add(dir(leg), dir(legs[i+1])))
			within = append(within, sdf.HalfSpace(n, r3.Dot(n, leg.B)))
		}
		all = append(all, sdf.Intersection(within...))
	}
	return sdf.Union(all...)
}

// mitre is how far a side of a course reaches beyond a corner at most, over its own width.
const mitre = 1.5

// side is the stones of a straight side in its frame, longer by a mitre where it begins or
// ends at a corner.
func (k *Kerb) side(s *parts.Site, z *kerbSizes, rng *rand.Rand, leg planar.Leg, begins, ends bool) (all []sdf.Field) {
	long := leg.To - leg.From
	n := planar.EqualBays(long, z.stone*1.02)
	step := long / float64(n)
	left, right := k.beside(z)
	reach := mitre * (left + right)
	for i := range n {
		a, b := step*float64(i), step*float64(i+1)
		mid := planar.OnPlan(leg.At(leg.From + (a+b)/2))
		level, ok := s.StandingAt(k.Level, mid)
		if !ok {
			continue
		}
		foot := footUnder(s, level, mid, heading(leg), step/2, math.Max(left, right))
		lo, hi := a+z.joint/2, b-z.joint/2
		bed := [2]float64{a - 0.02, b + 0.02}
		if i == 0 {
			lo, bed[0] = a, a+0.02
			if begins {
				lo, bed[0] = a-reach, a-reach
			}
		}
		if i == n-1 {
			hi, bed[1] = b, b-0.02
			if ends {
				hi, bed[1] = b+reach, b+reach
			}
		}
		deep := math.Min(1.2*s.Print.Relief, 0.5*z.up)
		all = append(all, sdf.BoxBetween(sdf.V(bed[0], -z.wide/2+deep/2, foot), sdf.V(bed[1], z.wide/2-deep/2, level+z.up-deep)))
		all = append(all, k.stone(s, z, rng, lo, hi, foot, level))
		if z.channel == 0 {
			continue
		}
		way := 1.0
		if k.Gutter == "right" {
			way = -1
		}
		all = append(all, k.trough(s, z, rng, bed, [2]float64{lo, hi}, foot, level, way))
	}
	return all
}

// stone is a kerb stone: its edges eased, its faces rough, chipped, and with wear a little
// sunk and out of line.
func (k *Kerb) stone(s *parts.Site, z *kerbSizes, rng *rand.Rand, lo, hi, foot, level float64) sdf.Field {
	sunk := k.Wear * math.Min(0.25*z.up, s.HeightOnPrint(25)) * rng.Float64()
	aside := k.Wear * math.Min(0.08*z.wide, s.OnPrint(12)) * (2*rng.Float64() - 1)
	tilt := k.Wear * (2*rng.Float64() - 1)
	half := z.wide/2 - math.Abs(aside)
	ease := math.Min(0.18*z.wide, math.Max(s.OnPrint(20), 0.6*s.Print.Relief))
	top := level + z.up
	box := sdf.BoxEased(sdf.V(lo, -half, foot-ease), sdf.V(hi, half, top), ease)
	d := math.Min(1.3*s.Grain(), 0.1*z.up)
	f := relief.Carve(box, surface.Rough(rng.Uint64(), math.Max(1.2, s.OnPrint(90)), d))
	var chips []sdf.Field
	for range 1 + int(math.Round(3*k.Wear)) {
		x, side, size := lo+(hi-lo)*rng.Float64(), float64(1-2*rng.IntN(2)), z.wide*(0.15+0.3*rng.Float64())
		if rng.Float64() > 0.3+0.6*k.Wear {
			continue
		}
		n := r3.Unit(sdf.V(1.2*(rng.Float64()-0.5), side, 0.5+rng.Float64()))
		corner := sdf.V(x, side*half, top)
		wedge := sdf.Intersection(sdf.HalfSpace(r3.Scale(-1, n), -r3.Dot(n, corner)+0.45*size), sdf.Place(sdf.Sphere(1.6*size), sdf.At(corner)))
		chips = append(chips, wedge)
	}
	f = sdf.Difference(f, chips...)
	middle := sdf.V((lo+hi)/2, 0, level)
	rise := (hi - lo) / 2 * math.Abs(math.Sin(tilt*math.Pi/180)) // of its higher end
	pose := sdf.At(r3.Scale(-1, middle)).Then(sdf.Turn(sdf.V(0, 1, 0), tilt)).Then(sdf.At(r3.Add(middle, sdf.V(0, aside, -sunk-rise))))
	return sdf.Intersection(sdf.HalfSpace(sdf.V(0, 0, -1), -foot), sdf.Place(f, pose)) // less what is tilted out at its foot
}

// trough is a channel stone on its bed beside the kerb: dished along its middle.
func (k *Kerb) trough(s *parts.Site, z *kerbSizes, rng *rand.Rand, bed, ends [2]float64, foot, level, way float64) sdf.Field {
	in, out := way*(z.wide/2-0.3*z.wide), way*(z.wide/2+z.channel)
	y0, y1 := math.Min(in, out), math.Max(in, out)
	top := level + z.proud
	dish := 0.8 * z.proud
	half := z.channel / 2
	r := (half*half + dish*dish) / (2 * dish)
	ease := math.Min(0.5*s.Print.Relief, 0.1*z.channel)
	f := sdf.Difference(sdf.BoxEased(sdf.V(ends[0], y0, foot-ease), sdf.V(ends[1], y1, top), ease),
		sdf.Place(sdf.Cylinder(r, ends[1]-ends[0]+2, 0), sdf.Turn(sdf.V(0, 1, 0), 90).Then(sdf.At(sdf.V(ends[0]-1, way*(z.wide/2+half), top+r-dish)))))
	f = relief.Carve(f, surface.Rough(rng.Uint64(), math.Max(1, s.OnPrint(70)), math.Min(s.Grain(), 0.3*(z.proud-dish))))
	under := sdf.BoxBetween(sdf.V(bed[0], y0, foot), sdf.V(bed[1], y1-ease, level))
	return sdf.Intersection(sdf.HalfSpace(sdf.V(0, 0, -1), -foot), sdf.Union(f, under))
}

// Plan is the edges of the kerb and of the gutter.
func (k *Kerb) Plan(s *parts.Site) []parts.Stroke {
	z := k.settled(s)
	left, right := k.beside(z)
	strokes := []parts.Stroke{{Line: parts.LineEdge, Closed: true, Path: planar.Alongside(k.Points, z.wide/2)}}
	for _, leg := range k.legs() {
		n := planar.EqualBays(leg.To-leg.From, z.stone*1.02)
		across := planar.LeftNormal(planar.OnPlan(leg.A), planar.OnPlan(leg.B))
		if out := left - right; out != 0 { // the far edge of the gutter
			aside := r2.Scale(out+math.Copysign(z.wide/2, out), across)
			strokes = append(strokes, parts.Stroke{Line: parts.LineFine,
				Path: planar.Straight(r2.Add(planar.OnPlan(leg.A), aside), r2.Add(planar.OnPlan(leg.B), aside))})
		}
		for i := 1; i < n; i++ {
			at := planar.OnPlan(leg.At(leg.From + (leg.To-leg.From)*float64(i)/float64(n)))
			strokes = append(strokes, parts.Stroke{Line: parts.LineFine,
				Path: planar.Straight(r2.Add(at, r2.Scale(z.wide/2, across)), r2.Add(at, r2.Scale(-z.wide/2, across)))})
		}
	}
	return strokes
}

// Breaks gives stones, as many as lie along its line within the patch.
func (k *Kerb) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	z := k.settled(s)
	run := p.Run(k.Points, z.wide)
	if run == 0 {
		return nil
	}
	const deep = 255 // mm of life: BS EN 1340 as made in Britain, from memory
	high := math.Max(s.HeightOnPrint(deep), z.up)
	return []parts.Matter{{Form: parts.Blocks, Unit: sdf.V(z.stone, z.wide, high), Volume: run * z.wide * high}}
}

// Measures is its upstand.
func (k *Kerb) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "upstand", "upstand", k.settled(s).up)
}

// Remedies of kerbs.
func (k *Kerb) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(k)
	switch {
	case t.Thin():
		r.Scaled("width", "wider stones", k.Width, 1.25, 1.5)
		r.Scaled("wear", "less worn", k.Wear, 0.5, 0)
	case t.Of("narrow-gap", "shallow-relief"):
		r.To("gutter", "no gutter", "none")
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the kerb, or the stand")
	}
	return r.All
}
