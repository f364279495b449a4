package wild

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/relief"
)

// Reeds is a clump of stout blades, or several.
type Reeds struct {
	setout.Places
	Height float64 `key:"height" type:"height" doc:"of the tallest blade" default:"500 mm" min:"0.5" max:"100" source:"common practice, no source"`
	Clump  float64 `key:"clump" type:"length" doc:"how wide a clump is, with its mud" default:"400 mm" min:"0.5" max:"100" source:"common practice, no source"`
	Count  int     `key:"count" type:"count" doc:"how many blades a clump has; fewer are drawn where they would run together" default:"14" min:"3" max:"40" source:"common practice, no source"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "reeds", Stage: parts.Fitting, Group: "Nature",
		Doc: "Clumps of reeds and reed mace: stems no thinner than a pin that prints, on a tuft of mud.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "mud"

[[reeds]]
at = [[24, 32], [35, 36], [45, 30], [17, 23]]
height = "1 m"
count = 20

[[reeds]]
at = [[41, 20], [28, 20], [33, 11]]
height = "550 mm"
`,
		New: func() parts.Part { return &Reeds{} },
	})
}

// reedsSizes are those of a clump as it is drawn, mm.
type reedsSizes struct {
	high, radius float64
	blade        float64 // diameter of one
	count        int
	notes        parts.Notes
}

// slender is the most that a blade is tall, in its diameters: thicker ones are drawn where
// reeds are taller. Common practice, no source.
const slender = 14

func (p *Reeds) settled(s *parts.Site) *reedsSizes {
	return parts.Settled(s, p, func() *reedsSizes {
		z := &reedsSizes{notes: parts.Notes{Part: p.Name}, count: p.Count}
		z.high = z.notes.AtLeast("height", p.Height, 1.5*s.Print.Pin, "reed, one and a half pins")
		z.blade = math.Max(1.1*s.Print.Pin, z.high/slender)
		z.radius = z.notes.AtLeast("clump", p.Clump, 3*z.blade, "clump, three blades") / 2
		if most := max(3, int(1.3*z.radius*z.radius/(z.blade*z.blade))); z.count > most {
			z.count = most
			z.notes.Add("count", "%d blades are drawn in place of %d, which would run together", most, p.Count)
		}
		return z
	})
}

// Notes say what is drawn otherwise than the scene gives it.
func (p *Reeds) Notes(s *parts.Site) []parts.Note { return p.settled(s).notes.List }

// Bulk is the size of a clump.
func (p *Reeds) Bulk(s *parts.Site) r3.Vec {
	z := p.settled(s)
	return sdf.V(2*z.radius, 2*z.radius, z.high)
}

// IsRound says that a clump is round on the plan.
func (p *Reeds) IsRound() bool { return true }

// Body is a clump: blades in a spiral from its middle, which lean out the more the further
// out they stand, some of them snapped off short, on a tuft of mud.
func (p *Reeds) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := p.settled(s)
	rng := s.Rand(p.Name, at.Seed, "reeds")
	tuft := math.Min(0.14*z.high, 0.35*z.radius)
	turn := rng.Float64()
	var mud []sdf.Field // low mounds that run into each other
	for i := range 4 {
		sin, cos := math.Sincos(2 * math.Pi * (turn + 0.25*float64(i)))
		wide := z.radius * between(rng, 0.55, 0.68)
		off := z.radius - wide
		lump := sdf.Revolve([]r2.Vec{{Y: at.Foot - under}, {X: wide, Y: at.Foot - under}, {X: wide, Y: -0.5},
			{X: 0.55 * wide, Y: tuft * between(rng, 0.7, 1)}, {Y: tuft}})
		mud = append(mud, sdf.Place(lump, sdf.At(sdf.V(off*cos, off*sin, 0))))
	}
	all := []sdf.Field{relief.Carve(sdf.Union(mud...), grit(s, at.Seed, z.radius, 0.3*tuft))}
	const golden = 0.381966 // of a turn
	for i := range z.count {
		out := math.Sqrt(float64(i) / float64(z.count)) // of the way to the edge
		long := z.high * between(rng, 0.6, 0.95)
		lean := (4 + 16*out) * between(rng, 0.5, 1)
		switch {
		case i == 0: // the tallest stands upright
			long, lean = z.high, 0
		case rng.IntN(5) == 0:
			long *= 0.5
		}
		reach := math.Max(0, z.radius-z.blade/2-long*math.Sin(lean*math.Pi/180)) // its tip stays over the clump
		from := math.Min(out*0.72*z.radius, reach)
		heading := 360 * (turn + golden*float64(i))
		stem := long - at.Foot - z.blade
		blade := sdf.Union(sdf.Cone(z.blade*0.6, z.blade*0.5, stem), sdf.Place(sdf.Cone(z.blade*0.5, z.blade*0.46, z.blade), sdf.At(sdf.V(0, 0, stem))))
		if i%3 == 0 { // a reed mace
			const thick = 0.75
			blade = sdf.Union(blade, sdf.Capsule(sdf.V(0, 0, stem-0.3*long), sdf.V(0, 0, stem-thick*z.blade), thick*z.blade))
		}
		pose := sdf.At(sdf.V(0, 0, at.Foot)).Then(sdf.Turn(sdf.V(0, 1, 0), lean)).Then(sdf.At(sdf.V(from, 0, 0))).Then(sdf.Turn(sdf.V(0, 0, 1), heading))
		all = append(all, sdf.Place(blade, pose))
	}
	return footed(sdf.Union(all...), at.Foot)
}

// Measures is its height beside a person.
func (p *Reeds) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", p.Bulk(s).Z)
}

// Remedies of reeds.
func (p *Reeds) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(p)
	switch {
	case t.Thin():
		r.Scaled("height", "taller reeds, which are thicker", p.Height, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the reeds, or the stand")
	}
	return r.All
}
