package works

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/relief"
)

// Stack is the stub of a round chimney of brick or of plate, or several.
type Stack struct {
	setout.Places
	Diameter float64 `key:"diameter" type:"length" doc:"at its foot" default:"1.2 m" min:"1" max:"300" source:"common practice, no source"`
	Height   float64 `key:"height" type:"height" doc:"over its floor, at its highest" default:"2 m" min:"1" max:"500" source:"common practice, no source"`
	Of       string  `key:"of" type:"word" doc:"what it is built of" default:"brick" words:"brick,plate"`
	Taper    float64 `key:"taper" type:"number" doc:"how much its diameter falls off, over its height" default:"0.05" min:"0" max:"0.2" source:"1 in 20 or so, both sides together: common practice, no source"`
	Broken   float64 `key:"broken" type:"number" doc:"0 whole .. 1: how much of its height its broken top falls off by" default:"0.3" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "stack", Stage: parts.Fitting, Group: "Works",
		Doc: "Stubs of round chimneys of brick in courses or of riveted plate, open at the top, whole or broken off.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "cinders"

[[stack]]
at = [[30, 27]]
diameter = "1.5 m"
height = "1.9 m"
broken = 0.5
`,
		New: func() parts.Part { return &Stack{} },
	})
}

// stackSizes are those of a stack as it is drawn, mm.
type stackSizes struct {
	foot, head, high float64 // radii, and its height
	shell            float64 // thickness of its wall
	plinth           float64 // height of its plinth
	deep             float64 // depth of its joints
	notes            parts.Notes
}

func (k *Stack) settled(s *parts.Site) *stackSizes {
	return parts.Settled(s, k, func() *stackSizes {
		z := &stackSizes{notes: parts.Notes{Part: k.Name}}
		z.deep = 0.8 * s.Print.Relief
		life := 340.0 // one and a half bricks
		if k.Of == "plate" {
			life = 12
		}
		z.shell = math.Max(s.OnPrint(life), 1.2*s.Print.Wall+z.deep)
		z.foot = z.notes.AtLeast("diameter", k.Diameter, 2*z.shell+1.5*s.Print.Wall, "stack, its walls and a flue") / 2
		z.high = z.notes.AtLeast("height", k.Height, 1.5*z.shell, "stack, one and a half of its wall")
		z.head = math.Max(z.foot-k.Taper*z.high/2, math.Max(0.6*z.foot, z.shell+0.5*s.Print.Wall))
		z.plinth = math.Min(0.2*z.high, math.Max(s.HeightOnPrint(300), s.Print.Wall))
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (k *Stack) Notes(s *parts.Site) []parts.Note { return k.settled(s).notes.List }

// plinthShare is how much wider the plinth is than the foot of a stack.
const plinthShare = 1.15

// Bulk is the size of one.
func (k *Stack) Bulk(s *parts.Site) r3.Vec {
	z := k.settled(s)
	return sdf.V(2*plinthShare*z.foot, 2*plinthShare*z.foot, z.high)
}

// IsRound says that it is round on the plan.
func (k *Stack) IsRound() bool { return true }

// Body is one: a round wall about a flue that is filled with what fell in.
func (k *Stack) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := k.settled(s)
	rng := rand.New(rand.NewPCG(at.Seed, 1))
	high := z.high
	shaft := sdf.Cone(z.foot, z.head, high)
	// Bricks of 215 by 65 mm with joints of 10.
	course := math.Max(s.OnPrint(75), 3*s.Print.Gap)
	brick := math.Max(s.OnPrint(225), 2.6*course)
	var skin relief.Relief
	switch k.Of {
	case "plate": // rings of plate, riveted
		ring := math.Max(s.OnPrint(900), 8*s.Print.Gap)
		plates := relief.NewPanels(at.Seed, 3*ring, ring, s.Print.Gap, z.deep, 0.2*z.deep, 0)
		rivet := math.Max(s.OnPrint(20), 0.5*s.Print.Gap)
		heads := relief.NewHeads(plates, false, 3*rivet, 3.5*rivet, rivet, 0.4*s.Print.Gap, s.Grain())
		skin = relief.Sum(plates, heads)
	default:
		skin = relief.Sum(relief.NewPanels(at.Seed, brick, course, s.Print.Gap, 0.8*z.deep, 0.25*z.deep, 0),
			relief.NewFacets(at.Seed+1, math.Max(1.2, 4*s.Print.Gap), s.Grain(), 0.3))
	}
	shaft = relief.Carve(shaft, relief.Round(skin, (z.foot+z.head)/2))
	flue := z.head - z.shell
	lost := k.Broken * high
	fill := math.Max(0.15*high, math.Min(high-1.5*z.shell, high-lost-0.3*z.foot))
	body := sdf.Difference(shaft, sdf.Place(sdf.Cylinder(flue, 2*high, 0), sdf.At(sdf.V(0, 0, fill))))
	switch {
	case k.Broken > 0 && k.Of == "brick":
		body = sdf.Intersection(body, z.steps(rng, course, brick/2, lost))
	case k.Broken > 0: // torn: the top falls away from its highest place, and a shoulder stands beside it
		turn := 360 * rng.Float64()
		face := func(lean, turn, at float64) sdf.Field {
			n := sdf.Turn(sdf.V(0, 0, 1), turn).Rotate(sdf.Turn(sdf.V(0, 1, 0), lean).Rotate(sdf.V(0, 0, 1)))
			return sdf.HalfSpace(n, n.Z*at)
		}
		lean := math.Atan2(lost, 2*z.head) * 180 / math.Pi
		fall := face(lean, turn, high-lost/2)
		shoulder := sdf.Intersection(face(0.5*lean+5, turn+70+40*rng.Float64(), high-lost*(0.3+0.2*rng.Float64())), face(60, turn+200, high-0.6*lost),
			sdf.HalfSpace(sdf.V(0, 0, 1), high))
		body = sdf.Intersection(body, sdf.Union(fall, shoulder))
	}
	wide := plinthShare * z.foot
	plinth := sdf.Place(sdf.Cylinder(wide, z.plinth-at.Foot, 0.15*z.plinth), sdf.At(sdf.V(0, 0, at.Foot)))
	if k.Of == "plate" {
		return sdf.Union(body, plinth)
	}
	// A stepped footing, of brick too.
	step := sdf.Place(sdf.Cylinder((wide+z.foot)/2, z.plinth+1.5*course-at.Foot, 0), sdf.At(sdf.V(0, 0, at.Foot)))
	held := sdf.Place(sdf.Cylinder(0.8*z.foot, 0.1-at.Foot, 0), sdf.At(sdf.V(0, 0, at.Foot)))
	return sdf.Union(body, held, relief.Carve(sdf.Union(plinth, step), relief.Round(skin, wide)))
}

// steps is what is left of a wall of brick about z that has come down: as high as its height
// on one side, lower by lost on the other, in whole courses and steps of a width round it.
func (z *stackSizes) steps(rng *rand.Rand, course, wide, lost float64) sdf.Field {
	n := max(6, int(math.Round(2*math.Pi*z.head/wide)))
	turn := 2 * math.Pi * rng.Float64()
	var all []sdf.Field
	for i := range n {
		from, to := 2*math.Pi*(float64(i)-joined)/float64(n), 2*math.Pi*(float64(i)+1+joined)/float64(n)
		down := lost*(0.5-0.5*math.Cos((from+to)/2-turn)) + course*(2*rng.Float64()-1)
		high := z.high - course*math.Max(0, math.Round(down/course))
		a, b := r2.Vec{X: math.Cos(from), Y: math.Sin(from)}, r2.Vec{X: math.Cos(to), Y: math.Sin(to)}
		reach := 2 * z.foot
		all = append(all, sdf.Prism([]r2.Vec{r2.Scale(-0.01, r2.Add(a, b)), r2.Scale(reach, a), r2.Scale(reach, b)}, -1, high))
	}
	return sdf.Union(all...)
}

// Matter is bricks, or torn plate.
func (k *Stack) Matter(s *parts.Site) parts.Matter {
	z := k.settled(s)
	volume := 2 * math.Pi * z.foot * z.shell * z.high * math.Max(0.2, k.Broken)
	if k.Of == "plate" {
		return parts.Matter{Form: parts.Plates, Unit: sdf.V(z.foot, z.foot, math.Max(s.OnPrint(10), s.Print.Wall)), Volume: volume}
	}
	return parts.Matter{Form: parts.Bricks, Unit: sdf.V(s.OnPrint(215), s.OnPrint(102.5), s.OnPrint(65)), Volume: volume}
}

// Measures is its height beside a person.
func (k *Stack) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", k.settled(s).high)
}

// Remedies of stacks.
func (k *Stack) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(k)
	switch {
	case t.Thin():
		r.Scaled("broken", "less broken", k.Broken, 0.5, 0)
		r.Scaled("diameter", "wider stacks", k.Diameter, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the stacks, or the stand")
	}
	return r.All
}
