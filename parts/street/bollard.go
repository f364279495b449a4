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

// Bollard is a cast iron post that keeps carts off, or several.
type Bollard struct {
	setout.Places
	Height   float64 `key:"height" type:"height" doc:"over its floor, as it stands upright" default:"1 m" min:"0.5" max:"100" source:"common practice, no source"`
	Diameter float64 `key:"diameter" type:"length" doc:"at its foot" default:"260 mm" min:"0.2" max:"100" source:"common practice, no source"`
	Shaft    string  `key:"shaft" type:"word" doc:"what the shaft is like" default:"fluted" words:"fluted,plain"`
	Lean     float64 `key:"lean" type:"angle" doc:"how far it is knocked over, along its own x" default:"0" min:"0" max:"40"`
	Wear     float64 `key:"wear" type:"number" doc:"0 new .. 1 dented all over" default:"0.4" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "bollard", Stage: parts.Fitting, Group: "Street furniture",
		Doc: "Cast iron posts with rings and a domed cap, upright or knocked aslant.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["220 mm", "140 mm"]

[[bollard]]
at = [[20, 22], [34, 31]]

[[bollard]]
at = [[44, 17]]
lean = 22
turn = -50
`,
		New: func() parts.Part { return &Bollard{} },
	})
}

// bollardSizes are those of a bollard as it is drawn, mm.
type bollardSizes struct {
	high, wide float64
	profile    []r2.Vec // radius and height, from the foot to the top
	bulk       r3.Vec
	aside      float64 // from its foot to the middle of what it covers, along x
	notes      parts.Notes
}

// The heights of a bollard's members, as shares of its own, and the radii of its shaft, as
// shares of that of its foot. Common practice, no source.
const (
	bollardPlinth = 0.14
	bollardNeck   = 0.74
	bollardCap    = 0.86
	bollardFoot   = 0.76
	bollardHead   = 0.6
)

func (b *Bollard) settled(s *parts.Site) *bollardSizes {
	return parts.Settled(s, b, func() *bollardSizes {
		z := &bollardSizes{notes: parts.Notes{Part: b.Name}}
		z.wide = z.notes.AtLeast("diameter", b.Diameter, 1.9*s.Print.Pin, "bollard, whose neck is a pin")
		z.high = z.notes.AtLeast("height", b.Height, 1.5*s.Print.Wall, "bollard, a wall and a half")
		r, h := z.wide/2, z.high
		at := func(x, y float64) { z.profile = append(z.profile, r2.Vec{X: x * r, Y: y * h}) }
		at(1, 0)
		at(1, bollardPlinth-0.02)
		at(0.95, bollardPlinth)
		at(bollardFoot+0.06, bollardPlinth+0.03)
		at(bollardFoot, bollardPlinth+0.06)
		at(bollardHead, bollardNeck-0.05)
		at(bollardHead+0.16, bollardNeck-0.02) // a ring
		at(bollardHead+0.16, bollardNeck+0.02)
		at(bollardHead-0.05, bollardNeck+0.05)
		at(bollardHead-0.05, bollardNeck+0.07)
		at(0.84, bollardCap-0.01) // the cap
		at(0.84, bollardCap+0.02)
		z.profile = dome(z.profile, 0.76*r, (bollardCap+0.02)*h, h)
		sin, cos := planar.SinCos(b.Lean)
		left, right, top := r/cos, 0.0, 0.0 // its root comes out of the floor at the left
		for _, p := range z.profile {
			right = math.Max(right, p.X*cos+p.Y*sin)
			top = math.Max(top, p.Y*cos+p.X*sin)
		}
		z.bulk, z.aside = sdf.V(left+right, z.wide, top), (right-left)/2
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (b *Bollard) Notes(s *parts.Site) []parts.Note { return b.settled(s).notes.List }

// Bulk is the size of one as it stands or leans.
func (b *Bollard) Bulk(s *parts.Site) r3.Vec { return b.settled(s).bulk }

// IsRound says that one that stands upright is round on the plan.
func (b *Bollard) IsRound() bool { return b.Lean == 0 }

// Body is one: a turned shaft with flutes, dented; where it leans, its root is out of the
// floor on one side.
func (b *Bollard) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := b.settled(s)
	r, h := z.wide/2, z.high
	sin, cos := planar.SinCos(b.Lean)
	root := (-at.Foot + r*sin) / cos
	profile := append([]r2.Vec{{Y: -root}, {X: r, Y: -root}}, z.profile...)
	body := skin(s, sdf.Revolve(profile), at.Seed, r)
	if b.Shaft == "fluted" {
		body = flutes(s, body, (bollardPlinth+0.06)*h, (bollardNeck-0.05)*h, bollardFoot*r, bollardHead*r)
	}
	rng := rand.New(rand.NewPCG(at.Seed, 1))
	deep := math.Min(0.12*r, s.Print.Relief)
	hits := append(dents(rng, int(math.Round(5*b.Wear)), bollardHead*r, deep, 0.25*h, 0.65*h),
		dents(rng, int(math.Round(6*b.Wear)), 0.84*r, 1.5*deep, (bollardCap-0.01)*h, (bollardCap+0.02)*h)...)
	hits = append(hits, dents(rng, int(math.Round(4*b.Wear)), r, 1.5*deep, 0, bollardPlinth*h)...)
	body = sdf.Difference(body, hits...)
	if b.Lean == 0 {
		return body
	}
	return sdf.Intersection(sdf.Place(body, sdf.Turn(sdf.V(0, 1, 0), b.Lean).Then(sdf.At(sdf.V(-z.aside, 0, 0)))),
		sdf.HalfSpace(sdf.V(0, 0, -1), -at.Foot))
}

// Matter is lumps of iron.
func (b *Bollard) Matter(s *parts.Site) parts.Matter {
	z := b.settled(s)
	return parts.Matter{Form: parts.Drums, Unit: sdf.V(z.wide, z.wide, z.wide), Volume: 0.5 * z.wide * z.wide * z.high}
}

// Measures is its height beside a person.
func (b *Bollard) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", b.settled(s).bulk.Z)
}

// Remedies of bollards.
func (b *Bollard) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(b)
	switch {
	case t.Thin():
		r.Scaled("diameter", "thicker bollards", b.Diameter, 1.25, 1.5)
		r.To("shaft", "a plain shaft", "plain")
	case t.Hanging():
		r.Scaled("lean", "which leans less", b.Lean, 0.6, 0.3)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the bollards, or the stand")
	}
	return r.All
}
