package goods

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/relief"
)

// Barrel is a cask of staves in hoops, or several; upright or on its side.
type Barrel struct {
	setout.Places
	Height   float64 `key:"height" type:"height" doc:"from end to end" default:"870 mm" min:"0.5" max:"100" source:"a barrique of Bordeaux, 225 l: 950 mm; a barrel of 36 imperial gallons, about 870 mm: trade figures, from memory"`
	Diameter float64 `key:"diameter" type:"length" doc:"at its bulge" default:"650 mm" min:"0.5" max:"100" source:"a barrel of 36 imperial gallons, about 650 mm: trade figures, from memory"`
	Lying    bool    `key:"lying" type:"flag" doc:"on its side" default:"false"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "barrel", Stage: parts.Fitting, Group: "Goods",
		Doc: "Casks of staves with iron hoops, upright or on their sides.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["220 mm", "140 mm"]

[[barrel]]
at = [[24, 31], [37, 35]]
turn = 30

[[barrel]]
at = [[33, 18]]
turn = 25
lying = true
`,
		New: func() parts.Part { return &Barrel{} },
	})
}

// barrelSizes are those of a barrel as it is drawn, mm.
type barrelSizes struct {
	high, wide float64
	notes      parts.Notes
}

func (b *Barrel) settled(s *parts.Site) *barrelSizes {
	return parts.Settled(s, b, func() *barrelSizes {
		z := &barrelSizes{notes: parts.Notes{Part: b.Name}}
		z.high = z.notes.AtLeast("height", b.Height, 3*s.Print.Wall, "barrel, three walls")
		z.wide = z.notes.AtLeast("diameter", b.Diameter, 2.5*s.Print.Wall, "barrel, two and a half walls")
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (b *Barrel) Notes(s *parts.Site) []parts.Note { return b.settled(s).notes.List }

// Bulk is the size of one as it lies or stands.
func (b *Barrel) Bulk(s *parts.Site) r3.Vec {
	z := b.settled(s)
	if b.Lying {
		return sdf.V(z.high, z.wide, z.wide-sunkInto(z.wide))
	}
	return sdf.V(z.wide, z.wide, z.high)
}

// IsRound says that one that stands is round on the plan.
func (b *Barrel) IsRound() bool { return !b.Lying }

// sunkInto is how deep a thing of a diameter that lies on its round side is let into its
// floor, mm.
func sunkInto(diameter float64) float64 { return math.Min(0.3, 0.06*diameter) }

// Body is one: a bulging shaft with four hoops and sunk heads; the staves are cut into it.
func (b *Barrel) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := b.settled(s)
	const steps = 10
	bulge := func(t float64) float64 { // radius at a share of the height
		return z.wide / 2 * (1 - 0.17*(2*t-1)*(2*t-1))
	}
	chime := math.Min(0.12*z.high, math.Max(s.Print.Relief, 0.05*z.high))
	hoop, proud := math.Max(1.05*s.Print.Wall, 0.07*z.high), math.Min(0.6*s.Print.Relief, 0.05*z.wide)
	rim := math.Min(math.Max(1.1*s.Print.Wall-proud, 0.06*z.wide), 0.6*bulge(0)) // with its hoop, a wall that stands free
	in := bulge(0) - rim
	profile := []r2.Vec{{}, {X: bulge(0)}}
	for i := 1; i <= steps; i++ {
		t := float64(i) / steps
		profile = append(profile, r2.Vec{X: bulge(t), Y: t * z.high})
	}
	profile = append(profile, r2.Vec{Y: z.high})
	girth := math.Pi * z.wide
	stave := girth / math.Max(8, math.Round(girth/math.Max(s.OnPrint(110), 3.5*s.Print.Gap)))
	deep := math.Min(0.8*s.Print.Relief, 0.08*z.wide)
	// Staves run up it: the rows of panels lie across the girth.
	staves := relief.Place(relief.NewPanels(at.Seed, 9*z.high, stave, s.Print.Gap, deep, 0.3*deep, 0), sdf.Turn(sdf.V(0, 0, 1), 90))
	// The heads lie within the ends of the staves, of boards as well.
	boards := relief.NewPanels(at.Seed+1, 3*z.wide, math.Max(s.OnPrint(140), 4*s.Print.Gap), s.Print.Gap, deep, 0.3*deep, 0)
	head := relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), z.high-chime), relief.Place(boards, sdf.Turn(sdf.V(0, 0, 1), 25)))
	tun := sdf.Cylinder(in, 2*z.high, 0)
	body := relief.Carve(sdf.Revolve(profile), relief.Round(staves, z.wide/2))
	open := sdf.Intersection(tun, sdf.Complement(head))
	if b.Lying {
		open = sdf.Union(open, sdf.Place(sdf.Cylinder(in, chime+1, 0), sdf.At(sdf.V(0, 0, -1))))
	}
	all := []sdf.Field{sdf.Difference(body, open)}
	for _, t := range [4]float64{0, 0.27, 0.73, 1} {
		low := math.Max(0, math.Min(z.high-hoop, t*z.high-hoop/2))
		a, c := bulge(low/z.high)+proud, bulge((low+hoop)/z.high)+proud
		all = append(all, sdf.Revolve([]r2.Vec{{X: in, Y: low}, {X: a, Y: low}, {X: c, Y: low + hoop}, {X: in, Y: low + hoop}}))
	}
	upright := sdf.Union(all...)
	if !b.Lying {
		foot := sdf.Place(sdf.Cylinder(bulge(0), chime+0.1-at.Foot, 0), sdf.At(sdf.V(0, 0, at.Foot)))
		return sdf.Union(upright, foot)
	}
	lie := sdf.At(sdf.V(0, 0, -z.high/2)).Then(sdf.Turn(sdf.V(0, 1, 0), 90)).Then(sdf.At(sdf.V(0, 0, z.wide/2-sunkInto(z.wide))))
	// What holds it: the ground drawn up to it, under its ends too, whose hoops would begin in the air.
	bed := func(long, half float64) sdf.Field {
		return sdf.BoxBetween(sdf.V(-long*z.high, -half*z.wide, at.Foot), sdf.V(long*z.high, half*z.wide, 0.12*z.wide))
	}
	// Its staves have no joints beneath, where each would begin in the air beside the last.
	keel := sdf.Intersection(sdf.Place(sdf.Difference(sdf.Revolve(profile), open), lie), sdf.HalfSpace(sdf.V(0, 0, 1), 0.2*z.wide))
	return sdf.Union(sdf.Place(upright, lie), keel, bed(0.3, 0.25), bed(0.495, 0.15))
}

// Matter is staves.
func (b *Barrel) Matter(s *parts.Site) parts.Matter {
	z := b.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.high, math.Max(s.OnPrint(110), s.Print.Wall), math.Max(s.OnPrint(25), s.Print.Wall)),
		Volume: 0.25 * z.high * z.wide * z.wide}
}

// Measures is its height beside a person.
func (b *Barrel) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", b.Bulk(s).Z)
}

// Remedies of barrels.
func (b *Barrel) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(b)
	switch {
	case t.Thin():
		r.Scaled("diameter", "larger barrels", b.Diameter, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the barrels, or the stand")
	}
	return r.All
}
