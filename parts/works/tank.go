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

// Tank is a vessel of plate with dished ends, or several; lying on saddles or standing.
type Tank struct {
	setout.Places
	Diameter float64 `key:"diameter" type:"length" doc:"of its shell" default:"1.2 m" min:"1" max:"300" source:"common practice, no source"`
	Length   float64 `key:"length" type:"length" doc:"from end to end, with the dished ends" default:"2 m" min:"1" max:"500" source:"common practice, no source"`
	Upright  bool    `key:"upright" type:"flag" doc:"on a skirt, and not lying on saddles" default:"false"`
	Bands    int     `key:"bands" type:"count" doc:"bands round the shell; fewer are drawn where they would run into each other" default:"4" min:"0" max:"40"`
	Manhole  bool    `key:"manhole" type:"flag" doc:"with a bolted cover on top" default:"true"`
	Wear     float64 `key:"wear" type:"number" doc:"0 new .. 1 dented" default:"0.4" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "tank", Stage: parts.Fitting, Group: "Works",
		Doc: "Tanks of plate with dished ends, bands and a manhole, lying on saddles or standing on a skirt.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
surface = "concrete"

[[tank]]
at = [[32, 27]]
diameter = "1.1 m"
length = "2.1 m"
turn = 15
`,
		New: func() parts.Part { return &Tank{} },
	})
}

// tankSizes are those of a tank as it is drawn, mm.
type tankSizes struct {
	radius, long, dish  float64
	band, proud         float64 // width of a band, and how far it stands out
	bands               int
	stand               float64 // of its shell over its floor
	neck, cover, manway float64 // height, thickness and radius of the manhole; 0 for none
	leaf                float64 // least thickness of its flange
	bolt                bolt
	notes               parts.Notes
}

func (k *Tank) settled(s *parts.Site) *tankSizes {
	return parts.Settled(s, k, func() *tankSizes {
		z := &tankSizes{notes: parts.Notes{Part: k.Name}, bolt: boltOf(s, 24)}
		z.radius = z.notes.AtLeast("diameter", k.Diameter, 4*s.Print.Wall, "tank, four walls") / 2
		z.dish = 2 * 0.194 * z.radius // DIN 28011, from memory
		z.long = z.notes.AtLeast("length", k.Length, 2.5*z.radius, "tank, one and a quarter of its diameter")
		z.band, z.proud = math.Max(s.OnPrint(60), s.Print.Wall), 0.8*s.Print.Relief
		z.bands = min(k.Bands, int((z.long-2*z.dish)/(2*z.band)))
		z.stand, z.leaf = math.Max(0.3*z.radius, s.Print.Wall), 1.1*s.Print.Wall
		if r := 300 / s.Scale.Ratio; k.Manhole { // a manhole of 600 mm
			z.manway = math.Min(0.5*z.radius, math.Max(r, 1.2*s.Print.Wall))
			z.neck, z.cover = 0.5*z.manway, math.Max(s.OnPrint(30), s.Print.Relief)
		}
		return z
	})
}

// hat is the height of the manhole over the top of the shell, with its bolts.
func (z *tankSizes) hat() float64 {
	if z.manway == 0 {
		return 0
	}
	return z.neck + z.cover + z.bolt.high
}

// Notes say what is drawn larger than the scene gives it.
func (k *Tank) Notes(s *parts.Site) []parts.Note { return k.settled(s).notes.List }

// Bulk is the size of one as it lies or stands.
func (k *Tank) Bulk(s *parts.Site) r3.Vec {
	z := k.settled(s)
	wide := 2 * z.radius
	if z.bands > 0 {
		wide += 2 * z.proud
	}
	if k.Upright {
		return sdf.V(wide, wide, z.stand+z.long+z.hat())
	}
	high := 2*z.radius + z.stand + z.hat()
	if z.manway == 0 && z.bands > 0 {
		high += z.proud
	}
	return sdf.V(z.long, wide, high)
}

// IsRound says that one that stands is round on the plan.
func (k *Tank) IsRound() bool { return k.Upright }

// shell is a round vessel about z with dished ends, from z = 0 up.
func (z *tankSizes) shell() []r2.Vec {
	const steps = 10
	dish := func(t float64) r2.Vec { // from the middle of an end to its edge
		sin, cos := math.Sincos(t * math.Pi / 2)
		return r2.Vec{X: z.radius * sin, Y: z.dish * cos}
	}
	var out []r2.Vec
	for i := range steps + 1 {
		q := dish(float64(i) / steps)
		out = append(out, r2.Vec{X: q.X, Y: z.dish - q.Y})
	}
	for i := range steps + 1 {
		q := dish(1 - float64(i)/steps)
		out = append(out, r2.Vec{X: q.X, Y: z.long - z.dish + q.Y})
	}
	return out
}

// Body is one: a shell of plates with bands round it, on its saddles or its skirt.
func (k *Tank) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := k.settled(s)
	deep := math.Min(0.7*s.Print.Relief, 0.08*z.radius)
	girth := 2 * math.Pi * z.radius
	ring := (z.long - 2*z.dish) / math.Max(1, math.Round((z.long-2*z.dish)/math.Max(s.OnPrint(1000), 8*s.Print.Gap)))
	plates := relief.Place(relief.NewPanels(at.Seed, girth/3, ring, s.Print.Gap, deep, 0.2*deep, 0), sdf.At(sdf.V(0, z.dish, 0)))
	dents := surface.Rough(at.Seed+1, math.Max(2.5, 0.6*z.radius), k.Wear*math.Max(2*s.Grain(), 0.04*z.radius))
	skin := relief.Round(plates, z.radius)
	if k.Wear > 0 {
		skin = relief.Sum(skin, dents)
	}
	all := []sdf.Field{relief.Carve(sdf.Revolve(z.shell()), skin)}
	for i := range z.bands {
		mid := z.dish + (z.long-2*z.dish)*(float64(i)+0.5)/float64(z.bands)
		all = append(all, sdf.Place(sdf.Cylinder(z.radius+z.proud, z.band, 0), sdf.At(sdf.V(0, 0, mid-z.band/2))))
	}
	vessel := sdf.Union(all...)
	if k.Upright {
		skirt := sdf.Place(sdf.Cylinder(0.94*z.radius, z.stand+z.dish-at.Foot, 0), sdf.At(sdf.V(0, 0, at.Foot)))
		return sdf.Union(append(z.manhole(sdf.V(0, 0, z.stand+z.long)), skirt, sdf.Place(vessel, sdf.At(sdf.V(0, 0, z.stand))))...)
	}
	axis := z.stand + z.radius
	lie := sdf.At(sdf.V(0, 0, -z.long/2)).Then(sdf.Turn(sdf.V(0, 1, 0), 90)).Then(sdf.At(sdf.V(0, 0, axis)))
	out := append(z.manhole(sdf.V(0, 0, axis+z.radius)), sdf.Place(vessel, lie))
	half := math.Max(s.OnPrint(120), 1.2*s.Print.Wall)
	for _, way := range [2]float64{-1, 1} {
		x := way * 0.32 * (z.long - z.dish)
		out = append(out, sdf.BoxBetween(sdf.V(x-half, -0.9*z.radius, at.Foot), sdf.V(x+half, 0.9*z.radius, axis-0.35*z.radius)),
			sdf.BoxEased(sdf.V(x-1.6*half, -z.radius, at.Foot), sdf.V(x+1.6*half, z.radius, 0.4*z.stand), 0.1*z.stand))
	}
	sill := z.long/2 - 0.6*z.dish // under the seams of the ends too, beyond which they would begin in the air
	keel := sdf.BoxBetween(sdf.V(-sill, -0.3*z.radius, at.Foot), sdf.V(sill, 0.3*z.radius, z.stand+0.2*z.radius))
	return sdf.Union(append(out, keel)...) // a sill under it, so that its belly begins on something
}

// manhole is a neck with a bolted cover, its foot on the top of the shell.
func (z *tankSizes) manhole(top r3.Vec) (all []sdf.Field) {
	if z.manway == 0 {
		return nil
	}
	up := func(radius, lo, hi float64) sdf.Field {
		return sdf.Place(sdf.Cylinder(radius, hi-lo, 0), sdf.At(r3.Add(top, sdf.V(0, 0, lo))))
	}
	all = []sdf.Field{up(0.8*z.manway, -0.4*z.radius, z.neck), up(z.manway, math.Min(0.6*z.neck, z.neck+z.cover-z.leaf), z.neck+z.cover)}
	n := int(math.Min(12, 2*math.Pi*0.8*z.manway/(1.8*z.bolt.across)))
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		all = append(all, z.bolt.at(r3.Add(top, sdf.V(0.8*z.manway*cos, 0.8*z.manway*sin, z.neck+z.cover)), sdf.Pose{}))
	}
	return all
}

// Matter is torn plate.
func (k *Tank) Matter(s *parts.Site) parts.Matter {
	z := k.settled(s)
	return parts.Matter{Form: parts.Plates, Unit: sdf.V(z.radius, z.radius, math.Max(s.OnPrint(8), s.Print.Wall)), Volume: 0.3 * z.radius * z.radius * z.long}
}

// Measures is its height beside a person.
func (k *Tank) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "diameter", k.Bulk(s).Z)
}

// Remedies of tanks.
func (k *Tank) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(k)
	switch {
	case t.Thin():
		r.To("manhole", "no manhole", false)
		r.Scaled("diameter", "larger tanks", k.Diameter, 1.25, 1.5)
	case t.Hanging():
		r.To("upright", "standing tanks", true)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the tanks, or the stand")
	}
	return r.All
}
