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

// Reel is a drum for cable: two flanges of boards on a core that is wound with it, lying on
// a flange or standing on its rims.
type Reel struct {
	setout.Places
	Diameter float64 `key:"diameter" type:"length" doc:"of its flanges" default:"1.25 m" min:"0.5" max:"100" source:"DIN 46391 drum 12: 1250 mm, from memory"`
	Width    float64 `key:"width" type:"length" doc:"over its flanges" default:"890 mm" min:"0.5" max:"100" source:"DIN 46391 drum 12: 890 mm, from memory"`
	Wound    float64 `key:"wound" type:"number" doc:"how much cable is on it: 0 none .. 1 as much as it holds" default:"0.6" min:"0" max:"1"`
	Upright  bool    `key:"upright" type:"flag" doc:"on its rims, as it rolls; else lying on a flange" default:"false"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "cable-drum", Stage: parts.Fitting, Group: "Goods",
		Doc: "Drums for cable: two flanges of boards on a wound core, lying or on their rims.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "cinders"

[[cable-drum]]
at = [[24, 30]]

[[cable-drum]]
at = [[43, 20]]
turn = 35
diameter = "900 mm"
width = "600 mm"
upright = true
`,
		New: func() parts.Part { return &Reel{} },
	})
}

// reelSizes are those of a drum as it is drawn, mm.
type reelSizes struct {
	wide, high float64 // diameter of the flanges, and over them
	flange     float64 // thickness
	notes      parts.Notes
}

func (d *Reel) settled(s *parts.Site) *reelSizes {
	return parts.Settled(s, d, func() *reelSizes {
		z := &reelSizes{notes: parts.Notes{Part: d.Name}}
		z.flange = math.Max(s.OnPrint(70), 1.15*s.Print.Wall) // its arris is eased
		z.wide = z.notes.AtLeast("diameter", d.Diameter, 4*s.Print.Wall, "drum, four walls")
		z.high = z.notes.AtLeast("width", d.Width, 2*z.flange+2*s.Print.Gap, "drum of two flanges that print")
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (d *Reel) Notes(s *parts.Site) []parts.Note { return d.settled(s).notes.List }

// Bulk is the size of one as it lies or stands.
func (d *Reel) Bulk(s *parts.Site) r3.Vec {
	z := d.settled(s)
	if d.Upright {
		return sdf.V(z.wide, z.high, z.wide-sunkInto(z.wide))
	}
	return sdf.V(z.wide, z.wide, z.high)
}

// IsRound says that one that lies on a flange is round on the plan.
func (d *Reel) IsRound() bool { return !d.Upright }

// Body is one.
func (d *Reel) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := d.settled(s)
	r := z.wide / 2
	core := r * (0.42 + 0.48*d.Wound)
	deep := math.Min(0.8*s.Print.Relief, 0.25*z.flange)
	boards := relief.NewPanels(at.Seed, 3*z.wide, math.Max(s.OnPrint(140), 3.5*s.Print.Gap), s.Print.Gap, deep, 0.3*deep, 0)
	hole := math.Max(0.09*r, s.Print.Gap)
	disc := func(low float64) sdf.Field {
		return sdf.Place(sdf.Cylinder(r, z.flange, math.Min(0.1*z.flange, 0.1)), sdf.At(sdf.V(0, 0, low)))
	}
	lid := relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), z.high), boards)
	upper := sdf.Intersection(sdf.Place(sdf.Cylinder(r, z.flange+1, 0), sdf.At(sdf.V(0, 0, z.high-z.flange))), lid)
	// A plate with bolts round the hole of the axle.
	stud := func(radius, high, x, y float64) sdf.Field { // its flank at 45 degrees, so that it prints on its side
		return sdf.Place(sdf.Cone(radius+0.1, radius-high, high+0.1), sdf.At(sdf.V(x, y, z.high-0.1)))
	}
	plate := stud(0.3*r, 0.6*s.Print.Relief, 0, 0)
	top := []sdf.Field{upper, plate}
	bolt := math.Max(0.06*r, s.Print.Relief+0.3*s.Print.Pin)
	for i := range 6 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 3)
		top = append(top, stud(bolt, s.Print.Relief, 0.55*r*cos, 0.55*r*sin))
	}
	shaft := sdf.Cylinder(core, z.high-z.flange/2, 0) // into the flange: its winding is cut into its end too
	if turns := math.Max(s.OnPrint(45), 2.2*s.Print.Gap); d.Wound > 0 && z.high-2*z.flange > 2*turns {
		wound := relief.NewGrooves(at.Seed+1, turns, turns, 0.7*deep, 0, 0)
		shaft = relief.Carve(shaft, relief.Round(relief.Place(wound, sdf.Turn(sdf.V(0, 0, 1), 90)), core))
	}
	const ledge = 1.2 // mm: the upper flange stands out over nothing by no more
	if out := math.Min(r-ledge-core, z.high-2*z.flange); out > 0 {
		shaft = sdf.Union(shaft, sdf.Place(sdf.Cone(core, core+out, out), sdf.At(sdf.V(0, 0, z.high-z.flange-out)))) // wound up to it, at 45 degrees
	}
	lying := sdf.Difference(sdf.Union(append(top, disc(0), shaft)...),
		sdf.Place(sdf.Cylinder(hole, z.flange+2, 0), sdf.At(sdf.V(0, 0, z.high-z.flange))))
	if !d.Upright {
		return sdf.Union(lying, sdf.Place(sdf.Cylinder(0.97*r, 0.2-at.Foot, 0), sdf.At(sdf.V(0, 0, at.Foot))))
	}
	axis := r - sunkInto(z.wide)
	stand := sdf.At(sdf.V(0, 0, -z.high/2)).Then(sdf.Turn(sdf.V(1, 0, 0), 90)).Then(sdf.At(sdf.V(0, 0, axis)))
	// A baulk under what is wound on it, which would begin in the air between the flanges.
	feet := []sdf.Field{sdf.BoxBetween(sdf.V(-0.3*core, -z.high/2, at.Foot), sdf.V(0.3*core, z.high/2, axis-0.93*core))}
	for _, side := range [2]float64{-1, 1} { // what holds its rims: the ground drawn up to them
		a, b := side*(z.high/2-z.flange), side*z.high/2
		feet = append(feet, sdf.Place(sdf.Prism([]r2.Vec{{X: -0.35 * r, Y: math.Min(a, b)}, {X: 0.35 * r, Y: math.Min(a, b)}, {X: 0.35 * r, Y: math.Max(a, b)},
			{X: -0.35 * r, Y: math.Max(a, b)}}, at.Foot, 0.05*r), sdf.At(r3.Vec{})))
	}
	return sdf.Union(append(feet, sdf.Place(lying, stand))...)
}

// Matter is boards.
func (d *Reel) Matter(s *parts.Site) parts.Matter {
	z := d.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(0.7*z.wide, math.Max(s.OnPrint(140), s.Print.Wall), z.flange), Volume: 0.4 * z.high * z.wide * z.wide}
}

// Measures is its height beside a person.
func (d *Reel) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "height", "diameter", d.Bulk(s).Z)
}

// Remedies of drums for cable.
func (d *Reel) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(d)
	switch {
	case t.Thin():
		r.Scaled("diameter", "larger drums", d.Diameter, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the drums, or the stand")
	}
	return r.All
}
