package wild

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// Stump is what is left of a felled or fallen tree, or several: roots run from it into the
// ground.
type Stump struct {
	setout.Places
	Height   float64 `key:"height" type:"height" doc:"of its cut, or of its highest splinter" default:"450 mm" min:"0.3" max:"100" source:"common practice, no source"`
	Diameter float64 `key:"diameter" type:"length" doc:"at its cut" default:"500 mm" min:"0.3" max:"100" source:"common practice, no source"`
	Spread   float64 `key:"spread" type:"number" doc:"how far its roots reach, as a share of its diameter, end to end" default:"2.6" min:"1.3" max:"4" source:"common practice, no source"`
	Roots    int     `key:"roots" type:"count" doc:"how many roots show; fewer are drawn where they would not print" default:"6" min:"3" max:"12" source:"common practice, no source"`
	Top      string  `key:"top" type:"word" doc:"sawn, with a step where it was notched to fall, or broken off in splinters" default:"sawn" words:"sawn,broken"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "stump", Stage: parts.Fitting, Group: "Nature",
		Doc: "Stumps of trees, sawn or snapped, with roots that run into the ground.",
		Example: `
[[stump]]
at = [[30, 27]]
diameter = "800 mm"
height = "700 mm"
top = "broken"

[[stump]]
at = [[45, 14]]
diameter = "350 mm"
height = "300 mm"
`,
		New: func() parts.Part { return &Stump{} },
	})
}

// stumpSizes are those of a stump as it is drawn, mm.
type stumpSizes struct {
	high, radius float64
	reach        float64 // of its roots, from its middle
	roots        int
	notes        parts.Notes
}

func (p *Stump) settled(s *parts.Site) *stumpSizes {
	return parts.Settled(s, p, func() *stumpSizes {
		z := &stumpSizes{notes: parts.Notes{Part: p.Name}, roots: p.Roots}
		z.radius = z.notes.AtLeast("diameter", p.Diameter, 1.5*s.Print.Wall, "stump, one and a half walls") / 2
		z.high = z.notes.AtLeast("height", p.Height, s.Print.Wall, "stump, a wall")
		z.reach = p.Spread * z.radius
		if most := int(2 * math.Pi * z.radius / (1.2 * s.Print.Wall)); z.roots > most {
			z.roots = max(3, most)
			z.notes.Add("roots", "%d roots are drawn in place of %d, which would run into each other", z.roots, p.Roots)
		}
		return z
	})
}

// Notes say what is drawn otherwise than the scene gives it.
func (p *Stump) Notes(s *parts.Site) []parts.Note { return p.settled(s).notes.List }

// Bulk is the size of one with its roots.
func (p *Stump) Bulk(s *parts.Site) r3.Vec {
	z := p.settled(s)
	return sdf.V(2*z.reach, 2*z.reach, z.high)
}

// IsRound says that one is round on the plan.
func (p *Stump) IsRound() bool { return true }

// flares is how high over the floor a trunk begins to widen to its roots, of its radius.
const flares = 1.1

// Body is one: a trunk that flares to its foot, with roots that fall away from it into the
// ground, under bark.
func (p *Stump) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := p.settled(s)
	rng := s.Rand(p.Name, at.Seed, "stump")
	flare := math.Min(flares*z.radius, 0.8*z.high)
	wide := math.Min(1.28*z.radius, z.radius+0.5*(z.reach-z.radius))
	profile := []r2.Vec{{X: 0, Y: at.Foot - under}, {X: wide, Y: at.Foot - under}}
	const steps = 5
	for i := range steps + 1 { // hollow, steepest at its top
		t := float64(i) / steps
		profile = append(profile, r2.Vec{X: z.radius + (wide-z.radius)*(1-t)*(1-t), Y: t * flare})
	}
	profile = append(profile, r2.Vec{X: z.radius, Y: z.high})
	if p.Top == sawn {
		profile = append(profile, rings(s, z.radius, z.high, 1)...)
	}
	profile = append(profile, r2.Vec{Y: z.high})
	all := []sdf.Field{sdf.Revolve(profile)}
	turn := rng.Float64()
	for i := range z.roots {
		heading := 360 * (turn + (float64(i)+between(rng, -0.2, 0.2))/float64(z.roots))
		reach := z.reach * between(rng, 0.78, 1)
		if i == 0 {
			reach = z.reach
		}
		thick := math.Max(between(rng, 0.36, 0.52)*z.radius, s.Print.Wall/2)
		all = append(all, root(z.radius, flare*between(rng, 0.75, 1), reach, thick, heading, at.Foot-under))
	}
	body := footed(relief.Carve(sdf.Union(all...), bark(s, at.Seed, z.radius, z.high, 0.2*z.radius)), at.Foot)
	switch {
	case p.Top == broken:
		deep := math.Min(0.6*z.high, 1.5*z.radius)
		lean := sdf.Turn(sdf.V(0, 0, 1), 360*rng.Float64()).Then(sdf.At(sdf.V(0, 0, z.high)))
		return sdf.Intersection(body, sdf.Place(splintered(at.Seed+3, 2*z.radius, deep), lean))
	case z.high > 3*s.Print.Relief:
		// The notch that a feller cuts on the side that the tree is to fall to.
		step := math.Max(s.Print.Relief, 0.09*z.high)
		notch := sdf.BoxBetween(sdf.V(0.45*z.radius, -2*z.radius, z.high-step), sdf.V(2*z.radius, 2*z.radius, z.high+1))
		return sdf.Difference(body, sdf.Place(notch, sdf.Turn(sdf.V(0, 0, 1), 360*rng.Float64())))
	}
	return body
}

// root is one from within a trunk of a radius at a height out to a reach at a heading, in
// degrees: it thins, bends level and runs into the ground.
func root(radius, high, reach, thick, heading, foot float64) sdf.Field {
	// Its ridge falls along two straight stretches; its sides fall to the ground.
	bend := radius + 0.4*(reach-radius)
	knots := []r2.Vec{{X: 0.3 * radius, Y: high}, {X: bend, Y: 0.4 * high}, {X: reach, Y: 0}}
	var all []sdf.Field
	for i, wide := range []float64{1.1 * thick, 0.8 * thick} {
		a, b := knots[i], knots[i+1]
		fall := sdf.V(a.Y-b.Y, 0, b.X-a.X) // the way up from the ridge
		planes := clipped([]convex.Plane{
			plane(fall, sdf.V(a.X, 0, a.Y)),
			plane(sdf.V(a.Y-b.Y, 0.9*(b.X-a.X), 0.6*(b.X-a.X)), sdf.V(a.X, 0.35*wide, a.Y)),
			plane(sdf.V(a.Y-b.Y, -0.9*(b.X-a.X), 0.6*(b.X-a.X)), sdf.V(a.X, -0.35*wide, a.Y)),
			plane(sdf.V(0.25, 1, 0), sdf.V(b.X, 0.5*wide, 0)), plane(sdf.V(0.25, -1, 0), sdf.V(b.X, -0.5*wide, 0)),
		}, sdf.V(0, -3*thick, foot), sdf.V(b.X, 3*thick, high))
		all = append(all, solidOf(planes))
	}
	return sdf.Place(sdf.Union(all...), sdf.Turn(sdf.V(0, 0, 1), heading))
}

// Matter is splintered wood.
func (p *Stump) Matter(s *parts.Site) parts.Matter {
	z := p.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.high, z.radius, z.radius/2), Volume: math.Pi * z.radius * z.radius * z.high}
}

// Measures is its height beside a person.
func (p *Stump) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", p.Bulk(s).Z)
}

// Remedies of stumps.
func (p *Stump) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(p)
	switch {
	case t.Thin():
		r.Scaled("diameter", "thicker stumps", p.Diameter, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the stumps, or the stand")
	}
	return r.All
}
