package fieldwork

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Stakes are pickets driven in, upright or aslant.
type Stakes struct {
	setout.Places
	Height    float64 `key:"height" type:"height" doc:"of the head over the floor" default:"1.2 m" min:"0.5" max:"100" source:"common practice, no source"`
	Thickness float64 `key:"thickness" type:"length" doc:"of a stake" default:"135 mm" min:"0.2" max:"20" source:"common practice, no source"`
	Of        string  `key:"of" type:"word" doc:"round poles, or sawn ones" default:"round" words:"round,sawn"`
	Head      string  `key:"head" type:"word" doc:"cut to a point, or beaten flat" default:"pointed" words:"pointed,beaten"`
	Lean      float64 `key:"lean" type:"angle" doc:"how far each leans off the upright, towards its own +x" default:"0" min:"0" max:"60"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "stakes", Stage: parts.Fitting, Group: "Fieldworks",
		Doc: "Pickets and pointed stakes, driven in upright or aslant.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "mud"

[[stakes]]
area = { rect = [13, 14, 40, 22], turn = 8 }
spacing = "380 mm"
height = "1 m"
lean = 25
turn = -90
stray = 12
jitter = 0.8
`,
		New: func() parts.Part { return &Stakes{} },
	})
}

// stakeSizes are those of a stake as it is drawn, mm.
type stakeSizes struct {
	high, thick float64
	long        float64 // along its axis over its floor
	aside       float64 // how far its head lies off its foot
	notes       parts.Notes
}

func (k *Stakes) settled(s *parts.Site) *stakeSizes {
	return parts.Settled(s, k, func() *stakeSizes {
		z := &stakeSizes{notes: parts.Notes{Part: k.Name}}
		lean := k.Lean * math.Pi / 180
		const stout = 9 // times as long as thick: a longer one bends as it is peeled off. Common practice, no source.
		z.thick = z.notes.AtLeast("thickness", k.Thickness, math.Max(1.6*s.Print.Pin, k.Height/math.Cos(lean)/stout), "of a stake of its length that prints")
		z.high = z.notes.AtLeast("height", k.Height, 2*z.thick, "stake, twice as high as thick")
		z.aside, z.long = z.high*math.Tan(lean), z.high/math.Cos(lean)
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (k *Stakes) Notes(s *parts.Site) []parts.Note { return k.settled(s).notes.List }

// Bulk is the size of one.
func (k *Stakes) Bulk(s *parts.Site) r3.Vec {
	z := k.settled(s)
	return sdf.V(z.aside+z.thick/math.Cos(k.Lean*math.Pi/180), z.thick, z.high)
}

// Body is one: a pole with four cuts of an axe to its point, or a head beaten out by a mallet.
func (k *Stakes) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := k.settled(s)
	r := z.thick / 2
	// Its axis passes through the floor half its lean behind the middle.
	lean := math.Cos(k.Lean * math.Pi / 180)
	low := at.Foot/lean - r*math.Tan(k.Lean*math.Pi/180)
	var f sdf.Field
	if k.Of == "sawn" {
		grain := surface.Piece{Seed: at.Seed, Depth: 1.3 * s.Grain(), Most: 0.12 * z.thick}.Face(s, surface.Boards)
		f = relief.Carve(sdf.BoxEased(sdf.V(-0.92*r, -0.92*r, low), sdf.V(0.92*r, 0.92*r, z.long), 0.1*r), relief.Place(grain, sdf.Turn(sdf.V(1, 1, 1), -120)))
	} else {
		f = pole(s, at.Seed, z.thick, low, z.long+z.thick, 0)
	}
	all := []sdf.Field{f}
	if k.Head == "pointed" {
		// The point is as blunt as prints.
		blunt := math.Min(0.5*s.Print.Pin, 0.6*r)
		rise := math.Min(1.1*z.thick, 0.4*z.long)
		tip := math.Atan2(r-blunt, rise)
		for i := range 4 {
			turn := 90*float64(i) + 25*chance(at.Seed, int64(i))
			sin, cos := math.Sincos(tip * (0.85 + 0.3*chance(at.Seed, int64(10+i))))
			n := sdf.Turn(sdf.V(0, 0, 1), turn).Rotate(sdf.V(cos, 0, sin))
			all = append(all, sdf.HalfSpace(n, r3.Dot(n, sdf.Turn(sdf.V(0, 0, 1), turn).Rotate(sdf.V(blunt, 0, z.long)))))
		}
	} else {
		cut := sdf.Turn(sdf.V(0, 0, 1), 360*chance(at.Seed, 5)).Rotate(sdf.Turn(sdf.V(0, 1, 0), 12*chance(at.Seed, 6)).Rotate(sdf.V(0, 0, 1)))
		all = append(all, sdf.HalfSpace(cut, cut.Z*(z.long-0.1*r)))
	}
	stand := sdf.Turn(sdf.V(0, 1, 0), k.Lean).Then(sdf.At(sdf.V(-z.aside/2, 0, 0)))
	leant := sdf.Place(sdf.Intersection(all...), stand)
	return sdf.Intersection(leant, sdf.HalfSpace(sdf.V(0, 0, 1), z.high))
}

// Matter is ends of poles.
func (k *Stakes) Matter(s *parts.Site) parts.Matter {
	z := k.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.long, z.thick, z.thick), Volume: 0.7 * z.long * z.thick * z.thick}
}

// Measures is its height beside a person.
func (k *Stakes) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "height", k.settled(s).high)
}

// Remedies of stakes.
func (k *Stakes) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(k)
	z := k.settled(s)
	switch {
	case t.Thin():
		r.Scaled("thickness", "thicker stakes", z.thick, 1.25, 1.5)
		r.Scaled("height", "shorter stakes", z.high, 0.8, 0.6)
		if k.Head == "pointed" {
			r.To("head", `head = "beaten"`, "beaten")
		}
	case t.Hanging():
		r.Scaled("lean", "less lean", k.Lean, 0.7, 0.4)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the stakes, or the stand")
	}
	return r.All
}
