package fieldwork

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Obstacle is what stops vehicles: rolled angles or beams, crossed and bolted.
type Obstacle struct {
	setout.Places
	Form   string  `key:"form" type:"word" doc:"three rolled angles crossed square to each other, which stand on their ends, or two beams in an X with a third as a prop" default:"angles" words:"angles,beams"`
	Length float64 `key:"length" type:"length" doc:"of each angle or beam" default:"1.8 m" min:"1" max:"200" source:"common practice, no source"`
	Leg    float64 `key:"leg" type:"length" doc:"of an angle's section, or the side of a beam's" default:"140 mm" min:"0.2" max:"50" source:"EN 10056-1: equal legs of 140 mm, from memory"`
	Thick  float64 `key:"thick" type:"length" doc:"thickness of an angle's legs" default:"13 mm" min:"0.005" max:"20" source:"EN 10056-1: 13 mm for legs of 140 mm, from memory"`
	Wear   float64 `key:"wear" type:"number" doc:"0 new .. 1 dented and split" default:"0.3" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "obstacle", Stage: parts.Fitting, Group: "Fieldworks",
		Doc: "Rolled angles or beams, crossed and bolted, that stand on their ends in the way of vehicles.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "sand"

[[obstacle]]
at = [[29, 27]]
turn = 20
leg = "180 mm"
`,
		New: func() parts.Part { return &Obstacle{} },
	})
}

// obstacleSizes are those of an obstacle as it is drawn, mm.
type obstacleSizes struct {
	long, leg, thick float64
	bulk             r3.Vec
	mid              float64 // height of the crossing
	notes            parts.Notes
}

// spread is how far the beams of an X lean off the upright, and prop how far the third does,
// degrees. Common practice, no source.
const (
	spread = 40
	prop   = 48
)

func (o *Obstacle) settled(s *parts.Site) *obstacleSizes {
	return parts.Settled(s, o, func() *obstacleSizes {
		z := &obstacleSizes{notes: parts.Notes{Part: o.Name}}
		if o.Form == "angles" {
			z.thick = z.notes.AtLeast("thick", o.Thick, s.Print.Wall, "wall")
		}
		least := math.Max(1.4*s.Print.Pin, 2*z.thick)
		z.leg = z.notes.AtLeast("leg", o.Leg, least, "leg, two walls")
		z.long = z.notes.AtLeast("length", o.Length, 5*z.leg, "length, five legs")
		if o.Form == "angles" {
			// Square to each other, each rises by its length over the root of three.
			z.mid = z.long / math.Sqrt(3) / 2
			for i := range 3 {
				pose := z.bar(i)
				for _, c := range z.section() {
					top := pose.Apply(sdf.V(c.X, c.Y, z.long/2))
					z.bulk = sdf.V(math.Max(z.bulk.X, 2*math.Abs(top.X)), math.Max(z.bulk.Y, 2*math.Abs(top.Y)), math.Max(z.bulk.Z, top.Z))
				}
				foot := pose.Apply(sdf.V(0, 0, -z.long/2))
				z.bulk.X, z.bulk.Y = math.Max(z.bulk.X, 2*(math.Abs(foot.X)+earth*z.leg)), math.Max(z.bulk.Y, 2*(math.Abs(foot.Y)+earth*z.leg))
			}
			return z
		}
		sin, cos := math.Sincos(spread * math.Pi / 180)
		z.mid = 0.5 * z.long * cos
		z.bulk = sdf.V(z.long*sin+1.2*z.leg, 2*(z.mid*math.Tan(prop*math.Pi/180)+z.leg), z.long*cos+0.5*z.leg)
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (o *Obstacle) Notes(s *parts.Site) []parts.Note { return o.settled(s).notes.List }

// Bulk is the size of one.
func (o *Obstacle) Bulk(s *parts.Site) r3.Vec { return o.settled(s).bulk }

// Body is one.
func (o *Obstacle) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := o.settled(s)
	if o.Form == "beams" {
		return o.cross(s, z, at)
	}
	return o.caltrop(s, z, at)
}

// earth is the radius of what is thrown up about the end of an angle, in legs.
const earth = 0.95

// section is that of an angle, its axis in the middle of what it weighs.
func (z *obstacleSizes) section() []r2.Vec {
	lo, hi := -0.32*z.leg, 0.68*z.leg
	in := lo + z.thick
	return []r2.Vec{{X: lo, Y: lo}, {X: hi, Y: lo}, {X: hi, Y: in}, {X: in, Y: in}, {X: in, Y: hi}, {X: lo, Y: hi}}
}

// axis is the direction of one of three angles that are square to each other.
func axis(i int) r3.Vec {
	return sdf.Turn(sdf.V(0, 0, 1), 120*float64(i)).Rotate(sdf.V(math.Sqrt(2), 0, 1))
}

// bar takes an angle from along z to its place.
func (z *obstacleSizes) bar(i int) sdf.Pose {
	return aimed(axis(i), 45+120*float64(i%2)).Then(sdf.At(sdf.V(0, 0, z.mid)))
}

// aimed turns what runs along z to a direction, with a turn about its own axis first.
func aimed(dir r3.Vec, roll float64) sdf.Pose {
	dir = r3.Unit(dir)
	lean := math.Acos(math.Max(-1, math.Min(1, dir.Z))) * 180 / math.Pi
	return sdf.Turn(sdf.V(0, 0, 1), roll).Then(sdf.Turn(sdf.V(0, 1, 0), lean)).Then(sdf.Turn(sdf.V(0, 0, 1), math.Atan2(dir.Y, dir.X)*180/math.Pi))
}

// caltrop is three angles square to each other about one middle, with plates and bolts there.
func (o *Obstacle) caltrop(s *parts.Site, z *obstacleSizes, at setout.Spot) sdf.Field {
	var all []sdf.Field
	half := z.long / 2
	lie := sdf.At(sdf.V(0, 0, z.mid))
	rust := relief.Sum(surface.Piece{Seed: at.Seed, Depth: s.Grain(), Most: 0.15 * z.thick}.Face(s, surface.Rubbed),
		relief.NewFacets(at.Seed+1, 3*z.leg, o.Wear*math.Min(s.Grain(), 0.12*z.thick), 0.4))
	for i := range 3 {
		low := half * (1 + 0.06*chance(at.Seed, int64(i))) // let into the floor by its end
		bar := sdf.Prism(z.section(), -low, half)
		if o.Wear > 0 { // an end torn off askew
			n := sdf.Turn(sdf.V(0, 0, 1), 360*chance(at.Seed, int64(4+i))).Rotate(sdf.Turn(sdf.V(0, 1, 0), 35*o.Wear).Rotate(sdf.V(0, 0, 1)))
			bar = sdf.Intersection(bar, sdf.HalfSpace(n, n.Z*half*0.98))
		}
		pose := z.bar(i)
		all = append(all, relief.Carve(sdf.Place(bar, pose), rust))
		all = append(all, z.foot(pose.Apply(sdf.V(0, 0, -half)), at.Foot))
	}
	// Gusset plates where they cross: a thick one about each axis, and the heads of its bolts.
	g := 0.95 * z.leg
	all = append(all, sdf.Place(sdf.Sphere(0.55*z.leg), lie))
	for i := range 3 {
		plate := sdf.Box(sdf.V(2*g, 2*g, 1.5*z.thick), 0.1*z.thick)
		pose := aimed(axis(i), 45).Then(lie)
		all = append(all, sdf.Place(plate, pose))
		head := math.Max(0.8*s.Print.Gap, 0.12*z.leg)
		for k := range 4 {
			sin, cos := math.Sincos(math.Pi/4 + math.Pi/2*float64(k))
			bolt := sdf.Cylinder(head, 1.5*z.thick+1.6*s.Print.Relief, 0)
			all = append(all, sdf.Place(bolt, sdf.At(sdf.V(0.98*g*cos, 0.98*g*sin, -0.75*z.thick-0.8*s.Print.Relief)).Then(pose)))
		}
	}
	return sdf.Union(all...)
}

// foot is a cone of earth thrown up about what stands on its end.
func (z *obstacleSizes) foot(at r3.Vec, low float64) sdf.Field {
	high := 0.3 * z.leg
	return sdf.Union(
		sdf.Place(sdf.Cone(earth*z.leg, 0.35*z.leg, high), sdf.At(sdf.V(at.X, at.Y, 0))),
		sdf.Place(sdf.Cylinder(earth*z.leg, -low+0.01, 0), sdf.At(sdf.V(at.X, at.Y, low))))
}

// cross is two beams that lie on each other in an X, bolted, and a third from their crossing
// to the floor behind.
func (o *Obstacle) cross(s *parts.Site, z *obstacleSizes, at setout.Spot) sdf.Field {
	var all []sdf.Field
	a := z.leg
	grain := surface.Piece{Seed: at.Seed, Depth: 1.4 * s.Grain(), Most: 0.12 * a}.Face(s, surface.Boards)
	beam := func(low, high float64, seed uint64) sdf.Field {
		f := relief.Carve(sdf.BoxEased(sdf.V(-a/2, -a/2, low), sdf.V(a/2, a/2, high), 0.08*a), relief.Place(grain, sdf.Turn(sdf.V(1, 1, 1), -120)))
		n := sdf.Turn(sdf.V(0, 0, 1), 360*chance(seed, 1)).Rotate(sdf.Turn(sdf.V(0, 1, 0), 25*o.Wear).Rotate(sdf.V(0, 0, 1)))
		return sdf.Intersection(f, sdf.HalfSpace(n, n.Z*(high-0.1*a*o.Wear)))
	}
	half := z.long / 2
	deep := 0.7*a - at.Foot/math.Cos(spread*math.Pi/180) // of their feet beyond the floor
	for i, side := range [2]float64{-1, 1} {
		pose := sdf.Turn(sdf.V(0, 1, 0), side*spread).Then(sdf.At(sdf.V(0, side*0.42*a, z.mid)))
		all = append(all, sdf.Place(beam(-half-deep, half, at.Seed+uint64(i)), pose))
	}
	behind := z.mid / math.Cos(prop*math.Pi/180)
	rest := sdf.Turn(sdf.V(1, 0, 0), -prop).Then(sdf.At(sdf.V(0, 0.2*a, z.mid)))
	all = append(all, sdf.Place(beam(-behind-deep, 0.9*a, at.Seed+2), rest))
	bolt := sdf.Cylinder(math.Max(0.18*a, s.Print.Gap), 1.9*a, 0)
	all = append(all, sdf.Place(bolt, sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.At(sdf.V(0, 0.92*a, z.mid)))))
	return sdf.Intersection(sdf.Union(all...), sdf.HalfSpace(sdf.V(0, 0, -1), -at.Foot))
}

// Matter is the bars.
func (o *Obstacle) Matter(s *parts.Site) parts.Matter {
	z := o.settled(s)
	form, thick := parts.Plates, z.thick
	if o.Form == "beams" {
		form, thick = parts.Boards, z.leg
	}
	return parts.Matter{Form: form, Unit: sdf.V(z.long, z.leg, math.Max(thick, s.Print.Wall)), Volume: z.long * z.leg * thick}
}

// Measures is its height beside a person.
func (o *Obstacle) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", o.settled(s).bulk.Z)
}

// Remedies of obstacles.
func (o *Obstacle) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(o)
	z := o.settled(s)
	switch {
	case t.Thin():
		r.Scaled("leg", "stouter bars", z.leg, 1.25, 1.5)
		if o.Form == "angles" {
			r.Scaled("thick", "thicker legs", z.thick, 1.25, 1.5)
		}
		r.Scaled("length", "shorter bars", z.long, 0.8, 0.65)
	case t.Hanging():
		r.Scaled("length", "shorter bars", z.long, 0.8, 0.65)
		r.To("form", `form = "beams"`, "beams")
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the obstacle, or the stand")
	}
	return r.All
}
