package street

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/setout"
	"socle/sdf"
)

// LampPost is a cast iron post with a lantern, or several; whole, bent or broken off.
type LampPost struct {
	setout.Places
	Height  float64 `key:"height" type:"height" doc:"over its floor, with its lantern, as it stands whole and upright" default:"3.4 m" min:"1" max:"300" source:"common practice, no source: gas lamps of 3 to 4 m"`
	Base    float64 `key:"base" type:"length" doc:"side of its square plinth" default:"420 mm" min:"0.5" max:"100" source:"common practice, no source"`
	Post    float64 `key:"post" type:"length" doc:"diameter of the shaft at its foot" default:"150 mm" min:"0" max:"50" source:"common practice, no source"`
	Shaft   string  `key:"shaft" type:"word" doc:"what the shaft is like; flutes are drawn where they print" default:"fluted" words:"fluted,plain"`
	Bar     bool    `key:"bar" type:"flag" doc:"with a bar for the lamplighter's ladder" default:"true"`
	Lantern bool    `key:"lantern" type:"flag" doc:"with a lantern; else with a ball at its head" default:"true"`
	Bent    float64 `key:"bent" type:"angle" doc:"how far its upper part is bent over, along its own x" default:"0" min:"0" max:"35"`
	Broken  float64 `key:"broken" type:"number" doc:"0 whole .. 1 a stump: how much of the shaft is lost" default:"0" min:"0" max:"1"`
	Wear    float64 `key:"wear" type:"number" doc:"0 new .. 1 dented all over" default:"0.3" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "lamp-post", Stage: parts.Fitting, Group: "Street furniture",
		Doc: "Cast iron lamp posts with a lantern and a bar for the ladder, whole, bent or broken off.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
bond = "random"

[[lamp-post]]
at = [[28, 30]]
height = "2.7 m"

[[bollard]]
at = [[43, 20]]
`,
		New: func() parts.Part { return &LampPost{} },
	})
}

// Members of a lamp post as shares of its height. Common practice, no source.
const (
	lampBase    = 0.19
	lampLantern = 0.21
	lampBar     = 0.05 // under the lantern
	lampBarFull = 280  // mm of life, to either side
	lampTaper   = 0.8
	bendBends   = 6 // straight pieces of a bend
)

// tier is a level of a lantern: half its side at a height over the end of the shaft.
type tier struct{ half, up float64 }

// lampSizes are those of a lamp post as it is drawn, mm.
type lampSizes struct {
	base       float64 // half the side of the plinth
	foot, head float64 // radii of the shaft
	low, high  float64 // of the shaft, along it
	bar        float64 // how far it reaches to either side; 0 for none
	stick      float64 // radius of the bar
	tiers      []tier  // of the lantern; none where there is none
	knob       float64 // radius of the ball on top; 0 where it is broken off
	bent       float64
	end        r3.Vec // of the shaft
	bulk       r3.Vec
	notes      parts.Notes
}

func (l *LampPost) settled(s *parts.Site) *lampSizes {
	return parts.Settled(s, l, func() *lampSizes {
		z := &lampSizes{notes: parts.Notes{Part: l.Name}, bent: l.Bent}
		z.foot = z.notes.AtLeast("post", l.Post, 1.25*s.Print.Pin, "post, whose head is a pin") / 2
		z.head = math.Max(lampTaper*z.foot, s.Print.Pin/2)
		z.base = z.notes.AtLeast("base", l.Base, 3*z.foot, "plinth, half as wide again as the shaft") / 2
		high := z.notes.AtLeast("height", l.Height, 8*z.foot, "lamp post, four times as high as its shaft is thick")
		z.low, z.high = lampBase*high, high
		whole := l.Broken == 0
		z.knob = math.Max(s.Print.Pin/2, 0.018*high)
		if whole && l.Lantern {
			z.tiers = lanternTiers(math.Max(s.OnPrint(210), 1.5*s.Print.Pin), lampLantern*high, 1.1*z.knob)
			z.high -= lampLantern * high
		}
		if whole && !l.Lantern {
			z.knob = math.Max(z.knob, 1.5*z.head)
			z.high -= z.knob
		}
		if !whole {
			z.high, z.knob = z.low+(0.9*high-z.low)*(1-l.Broken)+z.foot, 0
			if l.Bent > 0 {
				z.bent = 0
				z.notes.Add("bent", "left out: it is broken off below the bend")
			}
		}
		z.stick = math.Max(s.OnPrint(40), 1.1*s.Print.Pin) / 2
		if bar := s.OnPrint(lampBarFull); l.Bar && whole {
			if z.bar = bar; bar < z.foot+3*z.stick {
				z.bar = 0
				z.notes.Add("bar", "left out: %.2f mm to either side is no more than the shaft is thick", bar)
			}
		}
		z.measure()
		return z
	})
}

// lanternTiers are those of a lantern of half a width at its eaves and a height, with a
// chimney no thinner than given.
func lanternTiers(half, high, chimney float64) []tier {
	chimney = math.Max(0.4*half, chimney)
	return []tier{{0.5 * half, 0.16 * high}, {0.82 * half, 0.6 * high}, {half, 0.65 * high}, {half, 0.71 * high},
		{chimney, 0.84 * high}, {chimney, 0.92 * high}, {0, high}}
}

// joints are the places where the axis of the shaft begins, bends and ends, with how far it
// leans there, degrees.
func (z *lampSizes) joints() (at []r3.Vec, lean []float64) {
	at, lean = []r3.Vec{sdf.V(0, 0, z.low)}, []float64{0}
	long := z.high - z.low
	add := func(length, by float64) {
		sin, cos := planar.SinCos(by)
		at, lean = append(at, r3.Add(at[len(at)-1], sdf.V(sin*length, 0, cos*length))), append(lean, by)
	}
	if z.bent == 0 {
		add(long, 0)
		return at, lean
	}
	const straight, arc = 0.3, 0.2 // shares of the shaft
	add(straight*long, 0)
	for i := range bendBends {
		add(arc/bendBends*long, z.bent*float64(i+1)/bendBends)
	}
	add((1-straight-arc)*long, z.bent)
	return at, lean
}

// measure finds how large it is, bent or not: about its foot, as far to either side as it
// reaches.
func (z *lampSizes) measure() {
	at, _ := z.joints()
	z.end = at[len(at)-1]
	sin, cos := planar.SinCos(z.bent)
	side, across, top := z.base, z.base, z.end.Z
	reach := func(half, up, wide float64) {
		side = math.Max(side, z.end.X+half*cos+up*sin)
		top = math.Max(top, z.end.Z+up*cos+half*sin)
		across = math.Max(across, wide)
	}
	reach(z.head, 0, z.head)
	for _, t := range z.tiers {
		reach(t.half, t.up, t.half)
	}
	if z.knob > 0 { // a ball, its middle so far over the end
		up := 0.0
		if n := len(z.tiers); n > 0 {
			up = z.tiers[n-1].up - z.knob
		}
		side = math.Max(side, z.end.X+up*sin+z.knob)
		top = math.Max(top, z.end.Z+up*cos+z.knob)
		across = math.Max(across, z.knob)
	}
	if z.bar > 0 {
		across = math.Max(across, z.bar+z.stick)
	}
	z.bulk = sdf.V(2*side, 2*across, top)
}

// Notes say what is drawn otherwise than the scene gives it.
func (l *LampPost) Notes(s *parts.Site) []parts.Note { return l.settled(s).notes.List }

// Bulk is the size of one: as far as it reaches to either side of its foot.
func (l *LampPost) Bulk(s *parts.Site) r3.Vec { return l.settled(s).bulk }

// Body is one: a plinth, a turned base, the shaft, and its head where it still has one.
func (l *LampPost) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := l.settled(s)
	rng := rand.New(rand.NewPCG(at.Seed, 1))
	all := []sdf.Field{z.footing(s, at, rng, l.Wear)}
	joints, leans := z.joints()
	radius := func(i int) float64 {
		return z.foot + (z.head-z.foot)*math.Min(1, r3.Norm(r3.Sub(joints[i], joints[0]))/(z.high-z.low))
	}
	for i, b := range joints[1:] {
		a, long := joints[i], r3.Norm(r3.Sub(b, joints[i]))
		shaft := sdf.Cone(radius(i), radius(i+1), long)
		if l.Shaft == "fluted" && long > 6*z.foot {
			shaft = flutes(s, shaft, 0, long, radius(i), radius(i+1))
		}
		shaft = skin(s, shaft, at.Seed+uint64(i), radius(i))
		if l.Broken > 0 {
			shaft = sdf.Intersection(shaft, brokenEnd(rng, z.foot, long))
		}
		hits := dents(rng, int(math.Round(3*l.Wear)), radius(i), math.Min(0.15*radius(i), s.Print.Relief), 0.1*long, 0.7*long)
		all = append(all, sdf.Place(sdf.Difference(shaft, hits...), sdf.Turn(sdf.V(0, 1, 0), leans[i+1]).Then(sdf.At(a))))
		if z.bent > 0 && i+2 < len(joints) {
			all = append(all, sdf.Place(sdf.Sphere(radius(i+1)), sdf.At(b)))
		}
	}
	if z.knob > 0 {
		all = append(all, sdf.Place(z.crown(s), sdf.Turn(sdf.V(0, 1, 0), z.bent).Then(sdf.At(z.end))))
	}
	return sdf.Union(all...)
}

// footing is the plinth and the turned base.
func (z *lampSizes) footing(s *parts.Site, at setout.Spot, rng *rand.Rand, wear float64) sdf.Field {
	b, h, r := z.base, z.low, z.foot
	plinth := 0.16 * h
	drum := math.Max(1.3*r, 0.82*b)
	turned := sdf.Revolve([]r2.Vec{{Y: at.Foot}, {X: drum, Y: at.Foot}, {X: drum, Y: 0.24 * h}, {X: 0.9 * drum, Y: 0.3 * h}, {X: 0.86 * drum, Y: 0.6 * h},
		{X: 0.94 * drum, Y: 0.63 * h}, {X: 0.94 * drum, Y: 0.68 * h}, {X: 0.6*drum + 0.4*r, Y: 0.78 * h}, {X: 0.25*drum + 0.8*r, Y: 0.9 * h},
		{X: 1.35 * r, Y: 0.94 * h}, {X: 1.35 * r, Y: 0.98 * h}, {X: 0.99 * r, Y: 1.05 * h}, {Y: 1.05 * h}})
	ease := math.Min(0.2*plinth, s.Print.Relief/2)
	all := sdf.Union(sdf.BoxEased(sdf.V(-b, -b, at.Foot-ease), sdf.V(b, b, plinth), ease), skin(s, turned, at.Seed+50, 0.86*drum))
	hits := dents(rng, int(math.Round(4*wear)), 0.9*drum, math.Min(0.1*drum, s.Print.Relief), 0.25*h, 0.65*h)
	return sdf.Difference(all, hits...)
}

// brokenEnd is what lies under the break of a shaft that reaches a height at one side: two
// faces that meet in a notch.
func brokenEnd(rng *rand.Rand, radius, high float64) sdf.Field {
	turn := 360 * rng.Float64()
	face := func(lean, turn, edge float64) sdf.Field { // at the height high where its edge is highest
		sin, cos := planar.SinCos(lean)
		n := sdf.Turn(sdf.V(0, 0, 1), turn).Rotate(sdf.V(sin, 0, cos))
		return sdf.HalfSpace(n, cos*high-sin*edge)
	}
	return sdf.Intersection(sdf.HalfSpace(sdf.V(0, 0, 1), high), sdf.Union(face(35+20*rng.Float64(), turn, 0.8*radius),
		sdf.Intersection(face(20+20*rng.Float64(), turn+150, 0.6*radius), face(40, turn+250, 0.5*radius))))
}

// crown is what the shaft carries, in the frame of its end: the bar, the lantern, the ball.
func (z *lampSizes) crown(s *parts.Site) sdf.Field {
	var all []sdf.Field
	if z.bar > 0 {
		up := -lampBar * z.high
		for _, side := range [2]float64{-1, 1} {
			end := sdf.V(0, side*z.bar, up)
			all = append(all, sdf.Capsule(sdf.V(0, 0, up), end, z.stick), // and a stay under it
				sdf.Capsule(sdf.V(0, 0.9*side*z.bar, up), sdf.V(0, 0, up-z.bar), z.stick))
		}
		collar := math.Max(2.4*z.stick, 1.1*s.Print.Wall)
		all = append(all, sdf.Place(sdf.Cylinder(1.35*z.head, collar, 0), sdf.At(sdf.V(0, 0, up-collar/2))))
	}
	n := len(z.tiers)
	if n == 0 {
		return sdf.Union(append(all, sdf.Sphere(z.knob),
			sdf.Place(sdf.Cone(z.head, 0.8*z.knob, z.knob), sdf.At(sdf.V(0, 0, -z.knob))))...)
	}
	t, top := z.tiers, z.tiers[n-1].up
	all = append(all, sdf.Place(sdf.Cylinder(0.9*z.head, z.head, 0), sdf.At(sdf.V(0, 0, -z.head/2))), // across the joint
		sdf.Cone(z.head, t[0].half, t[0].up+0.05), z.panes(s))
	for i := 1; i+2 < n; i++ {
		all = append(all, tapered(t[i].up-0.02, t[i+1].up, t[i].half, t[i+1].half))
	}
	chimney := t[n-2].half
	all = append(all, sdf.Place(sdf.Cylinder(chimney, t[n-2].up-t[n-3].up+0.05, 0), sdf.At(sdf.V(0, 0, t[n-3].up-0.05))),
		sdf.Place(sdf.Cone(chimney, 0.5*z.knob, top-z.knob-t[n-2].up), sdf.At(sdf.V(0, 0, t[n-2].up))),
		sdf.Place(sdf.Sphere(z.knob), sdf.At(sdf.V(0, 0, top-z.knob))))
	return sdf.Union(all...)
}

// panes are the sides of the lantern: glass, sunk between bars.
func (z *lampSizes) panes(s *parts.Site) sdf.Field {
	a, b := z.tiers[0], z.tiers[1]
	bar := math.Max(0.2*b.half, 0.7*s.Print.Wall)
	deep := math.Min(s.Print.Relief, 0.3*a.half)
	frame := tapered(a.up, b.up, a.half, b.half)
	if a.half < 1.6*bar {
		return frame
	}
	share := bar / (b.up - a.up) // of its height
	if share > 0.3 {
		return frame
	}
	low, high := a.up+bar, b.up-bar
	wide := func(up float64) float64 { return a.half + (b.half-a.half)*(up-a.up)/(b.up-a.up) }
	var cut []sdf.Field
	for k := range 4 {
		n := sdf.Turn(sdf.V(0, 0, 1), 90*float64(k))
		pane := tapered(low, high, wide(low)-bar, wide(high)-bar)
		far := sdf.Place(pane, sdf.At(sdf.V(2*(wide(low)-bar)-0.01, 0, 0))) // out to the side
		rise, run := b.up-a.up, a.half-b.half
		in := sdf.Complement(sdf.HalfSpace(sdf.V(rise, 0, run), ((a.half-deep)*rise+a.up*run)/math.Hypot(rise, run)))
		cut = append(cut, sdf.Place(sdf.Intersection(in, sdf.Union(pane, far, sdf.Place(pane, sdf.At(sdf.V(wide(low)-bar, 0, 0))))), n))
	}
	return sdf.Difference(frame, cut...)
}

// Matter is lengths of iron.
func (l *LampPost) Matter(s *parts.Site) parts.Matter {
	z := l.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.high, 2*z.foot, 2*z.foot), Volume: 4 * z.foot * z.foot * z.high}
}

// Measures is its height beside a person.
func (l *LampPost) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", l.settled(s).bulk.Z)
}

// Remedies of lamp posts.
func (l *LampPost) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(l)
	switch {
	case t.Thin():
		r.Scaled("post", "a thicker shaft", l.Post, 1.25, 1.5)
		if t.Of("slender-pin") {
			r.Scaled("height", "a lower post", l.Height, 0.85, 0.7)
		}
		r.To("bar", "no bar", false)
	case t.Hanging():
		r.Scaled("bent", "less bent", l.Bent, 0.6, 0.3)
		r.To("bar", "no bar", false)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the lamp posts, or the stand")
	}
	return r.All
}
