package works

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

// Drum is a steel drum of 200 l, or several; upright or on its side.
type Drum struct {
	setout.Places
	Diameter float64 `key:"diameter" type:"length" doc:"over its rolling hoops" default:"585 mm" min:"0.5" max:"100" source:"ISO 15750, drums of about 216 l: 585 mm, from memory"`
	Height   float64 `key:"height" type:"height" doc:"from rim to rim" default:"880 mm" min:"0.5" max:"100" source:"ISO 15750, drums of about 216 l: 880 mm, from memory"`
	Lying    bool    `key:"lying" type:"flag" doc:"on its side" default:"false"`
	Wear     float64 `key:"wear" type:"number" doc:"0 new .. 1 dented all over" default:"0.4" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "drum", Stage: parts.Fitting, Group: "Works",
		Doc: "Steel drums of 200 litres with rolling hoops and bungs, upright or on their sides.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "cinders"

[[drum]]
at = [[25, 32], [37, 33]]

[[drum]]
at = [[35, 17]]
lying = true
turn = -20
wear = 0.8
`,
		New: func() parts.Part { return &Drum{} },
	})
}

// drumSizes are those of a drum as it is drawn, mm.
type drumSizes struct {
	high, radius float64 // over the hoops
	hoop         float64 // how far the hoops stand out
	notes        parts.Notes
}

func (d *Drum) settled(s *parts.Site) *drumSizes {
	return parts.Settled(s, d, func() *drumSizes {
		z := &drumSizes{notes: parts.Notes{Part: d.Name}}
		z.high = z.notes.AtLeast("height", d.Height, 3*s.Print.Wall, "drum, three walls")
		z.radius = z.notes.AtLeast("diameter", d.Diameter, 2.5*s.Print.Wall, "drum, two and a half walls") / 2
		z.hoop = math.Min(0.12*z.radius, math.Max(s.OnPrint(14), 0.8*s.Print.Relief))
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (d *Drum) Notes(s *parts.Site) []parts.Note { return d.settled(s).notes.List }

// bedded is how deep a drum that lies is let into its floor, over its radius.
const bedded = 0.08

// Bulk is the size of one as it lies or stands.
func (d *Drum) Bulk(s *parts.Site) r3.Vec {
	z := d.settled(s)
	if d.Lying {
		return sdf.V(z.high, 2*z.radius, (2-bedded)*z.radius)
	}
	return sdf.V(2*z.radius, 2*z.radius, z.high)
}

// IsRound says that one that stands is round on the plan.
func (d *Drum) IsRound() bool { return !d.Lying }

// Body is one: a shell with two hoops and two rims, and sunk heads with bungs.
func (d *Drum) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := d.settled(s)
	shell := z.radius - z.hoop
	chime := math.Min(0.1*z.high, math.Max(s.Print.Relief, s.OnPrint(20))) // how far the heads lie in
	rim := math.Max(1.2*s.Print.Wall+0.3*z.hoop, 2*z.hoop)
	in := z.radius - rim
	dents := surface.Rough(at.Seed, math.Max(1.6, 0.7*z.radius), d.Wear*math.Min(0.15*z.radius, math.Max(2*s.Grain(), s.OnPrint(18))))
	all := []sdf.Field{sdf.Place(sdf.Cylinder(shell, z.high-2*chime, 0), sdf.At(sdf.V(0, 0, chime)))}
	if d.Wear > 0 {
		all[0] = relief.Carve(all[0], dents)
		all = append(all, sdf.Place(sdf.Cylinder(0.8*shell, z.high-2.6*chime, 0), sdf.At(sdf.V(0, 0, 1.3*chime))))
	}
	half := math.Max(1.2*z.hoop, 0.5*s.Print.Gap)
	for _, t := range [2]float64{0.36, 0.66} { // swages
		m := t * z.high
		all = append(all, sdf.Revolve([]r2.Vec{{Y: m - 2*half}, {X: shell - 0.1*z.radius, Y: m - 2*half},
			{X: z.radius, Y: m - half/2}, {X: z.radius, Y: m + half/2},
			{X: shell - 0.1*z.radius, Y: m + 2*half}, {Y: m + 2*half}}))
	}
	deep := math.Max(chime+math.Max(1.2*z.hoop, 0.5*s.Print.Wall), s.Print.Wall)
	for _, low := range [2]float64{0, z.high - deep} { // rims
		out := z.radius - 0.3*z.hoop
		all = append(all, sdf.Revolve([]r2.Vec{{X: in, Y: low}, {X: out, Y: low}, {X: out, Y: low + deep}, {X: in, Y: low + deep}}))
	}
	for i, r := range [2]float64{0.13, 0.08} { // bungs of 2 and 3/4 inch, in the upper head
		r = math.Max(r*z.radius, 0.9*s.Print.Gap)
		off := (1 - 2*float64(i)) * math.Max(0, in-1.5*r)
		if off == 0 {
			continue
		}
		all = append(all, sdf.Place(sdf.Cylinder(r, chime, 0), sdf.At(sdf.V(off, 0, z.high-1.4*chime))))
	}
	upright := sdf.Union(all...)
	if !d.Lying {
		return sdf.Union(upright, sdf.Place(sdf.Cylinder(z.radius-0.5*z.hoop, chime+0.1-at.Foot, 0), sdf.At(sdf.V(0, 0, at.Foot))))
	}
	lie := sdf.At(sdf.V(0, 0, -z.high/2)).Then(sdf.Turn(sdf.V(0, 1, 0), 90)).Then(sdf.At(sdf.V(0, 0, (1-bedded)*z.radius)))
	bed := sdf.BoxBetween(sdf.V(-0.46*z.high, -0.45*z.radius, at.Foot), sdf.V(0.46*z.high, 0.45*z.radius, 0.2*z.radius)) // the ground drawn up to it
	return sdf.Union(sdf.Place(upright, lie), bed)
}

// Matter is torn plate.
func (d *Drum) Matter(s *parts.Site) parts.Matter {
	z := d.settled(s)
	return parts.Matter{Form: parts.Plates, Unit: sdf.V(z.radius, z.radius, s.Print.Wall), Volume: 0.4 * z.high * z.radius * z.radius}
}

// Measures is its height beside a person.
func (d *Drum) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", d.Bulk(s).Z)
}

// Remedies of drums.
func (d *Drum) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(d)
	switch {
	case t.Thin():
		r.Scaled("wear", "fewer dents", d.Wear, 0.5, 0)
		r.Scaled("diameter", "larger drums", d.Diameter, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the drums, or the stand")
	}
	return r.All
}
