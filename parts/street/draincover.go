package street

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/setout"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// DrainCover is a cast cover in its frame, or a slotted gully, or several.
type DrainCover struct {
	setout.Places
	Shape   string  `key:"shape" type:"word" doc:"a round cover, a square one, or a square gully with slots" default:"round" words:"round,square,gully"`
	Opening float64 `key:"opening" type:"length" doc:"clear opening that it covers, across" default:"600 mm" min:"0.5" max:"100" source:"EN 124: 600 mm at least where a person goes in, from memory"`
	Frame   float64 `key:"frame" type:"length" doc:"width of the frame about it" default:"75 mm" min:"0" max:"50" source:"common practice, no source"`
	Proud   float64 `key:"proud" type:"height" doc:"how far it stands over its floor" default:"20 mm" min:"0" max:"20" source:"common practice, no source"`
	Wear    float64 `key:"wear" type:"number" doc:"0 new .. 1 chipped, its pattern worn away in places" default:"0.3" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "drain-cover", Stage: parts.Fitting, Group: "Street furniture",
		Doc: "Cast covers with a raised pattern in their frames, round or square, and gullies with slots.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["220 mm", "140 mm"]

[[drain-cover]]
at = [[25, 29]]
wear = 0.1

[[drain-cover]]
at = [[44, 20]]
shape = "gully"
opening = "450 mm"
`,
		New: func() parts.Part { return &DrainCover{} },
	})
}

// coverSizes are those of a cover as it is drawn, mm.
type coverSizes struct {
	lid   float64 // half the width of what lies in the frame
	half  float64 // of the frame, to its outside
	proud float64
	gap   float64 // between the lid and its frame
	notes parts.Notes
}

// coverSeat is how far a lid lies on its frame at each side, full-size mm. Common practice,
// no source.
const coverSeat = 25

func (d *DrainCover) settled(s *parts.Site) *coverSizes {
	return parts.Settled(s, d, func() *coverSizes {
		z := &coverSizes{gap: 1.15 * s.Print.Gap, notes: parts.Notes{Part: d.Name}}
		z.lid = z.notes.AtLeast("opening", d.Opening, 3*s.Print.Wall, "cover, three walls")/2 + s.OnPrint(coverSeat)
		z.half = z.lid + z.gap + z.notes.AtLeast("frame", d.Frame, 0.7*s.Print.Wall, "frame that shows")
		z.proud = z.notes.AtLeast("proud", d.Proud, 1.4*s.Print.Relief, "height at which its pattern shows")
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (d *DrainCover) Notes(s *parts.Site) []parts.Note { return d.settled(s).notes.List }

// Bulk is the size of one with its frame.
func (d *DrainCover) Bulk(s *parts.Site) r3.Vec {
	z := d.settled(s)
	return sdf.V(2*z.half, 2*z.half, z.proud)
}

// IsRound says that a round one is round on the plan.
func (d *DrainCover) IsRound() bool { return d.Shape == "round" }

// Body is one: a frame, and a lid in it whose top is lower but for its rim and its pattern.
func (d *DrainCover) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := d.settled(s)
	rng := rand.New(rand.NewPCG(at.Seed, 1))
	deep := math.Min(s.Print.Relief, 0.75*z.proud)
	low := z.proud - deep // the ground of the pattern
	plate := func(half, from, to float64) sdf.Field {
		if d.IsRound() {
			return sdf.Place(sdf.Cylinder(half, to-from, 0), sdf.At(sdf.V(0, 0, from)))
		}
		return sdf.BoxBetween(sdf.V(-half, -half, from), sdf.V(half, half, to))
	}
	const over = 1 // mm: beyond a face
	rim := math.Max(0.5*s.Print.Wall, s.OnPrint(35))
	whole := sdf.Difference(plate(z.half, at.Foot, z.proud), // a groove about the lid, and the ground within its rim
		sdf.Difference(plate(z.lid+z.gap, low, z.proud+over), plate(z.lid, low-over, z.proud+2*over)),
		plate(z.lid-rim, low, z.proud+over))
	all := []sdf.Field{whole}
	inner := z.lid - rim
	switch d.Shape {
	case "round":
		all = append(all, rosette(s, inner, low-0.05, z.proud)...)
	case "square":
		all = append(all, diaper(s, inner, low-0.05, z.proud)...)
	default:
		all = append(all, slats(s, inner, low-0.05, z.proud)...)
	}
	f := sdf.Union(all...)
	if d.Shape != "gully" { // two holes for the keys
		hole, out := math.Max(1.2*s.Print.Gap, s.OnPrint(30)), 0.62*inner
		var keys []sdf.Field
		for _, side := range [2]float64{-1, 1} {
			x := side * out
			keys = append(keys, sdf.BoxBetween(sdf.V(x-1.6*hole, -hole, low-0.1), sdf.V(x+1.6*hole, hole, z.proud+over)))
		}
		f = sdf.Union(sdf.Difference(f, keys...), plate(z.lid, at.Foot, low-0.1))
	}
	worn := relief.NewFacets(at.Seed, math.Max(1.5, s.OnPrint(200)), math.Min(1.2*s.Grain(), 0.5*deep)*(0.4+0.6*d.Wear), 0.6-0.3*d.Wear)
	f = surface.CutTop(f, z.proud, worn)
	var chips []sdf.Field
	for range int(math.Round(5 * d.Wear)) { // off the outside of the frame
		turn, size := 360*rng.Float64(), s.Print.Wall*(0.5+0.4*rng.Float64())
		sin, cos := planar.SinCos(turn)
		reach := z.half
		if !d.IsRound() {
			reach /= math.Max(math.Abs(sin), math.Abs(cos))
		}
		ball := sdf.Place(sdf.Sphere(size), sdf.At(sdf.V((reach+0.55*size)*cos, (reach+0.55*size)*sin, z.proud+0.3*size)))
		chips = append(chips, ball)
	}
	return sdf.Difference(f, chips...)
}

// rosette is the pattern of a round cover: a boss, and rings of short bars about it that
// turn by a half from each to the next.
func rosette(s *parts.Site, inner, low, high float64) []sdf.Field {
	pitch := math.Max(s.OnPrint(75), 3.2*s.Print.Gap)
	boss := 0.75 * pitch
	all := []sdf.Field{sdf.Place(sdf.Cylinder(boss, high-low, 0), sdf.At(sdf.V(0, 0, low)))}
	n := math.Floor((inner - boss - 0.5*s.Print.Gap) / pitch)
	if n < 1 {
		return all
	}
	step := (inner - boss - 0.3*pitch) / n
	for k := range int(n) {
		r := boss + step*(float64(k)+0.65)
		count := 6 * (k + 1)
		for i := range count {
			turn := 360 * (float64(i) + 0.5*float64(k%2)) / float64(count)
			half := r2.Vec{X: 0.3 * step, Y: math.Min(0.38*2*math.Pi*r/float64(count), math.Pi*r/float64(count)-0.6*s.Print.Gap)}
			bar := sdf.BoxBetween(sdf.V(r-half.X, -half.Y, low), sdf.V(r+half.X, half.Y, high))
			all = append(all, sdf.Place(bar, sdf.Turn(sdf.V(0, 0, 1), turn)))
		}
	}
	return all
}

// diaper is the pattern of a square cover: a cross, and in each quarter bars that run
// aslant to those of the next.
func diaper(s *parts.Site, inner, low, high float64) []sdf.Field {
	pitch := math.Max(s.OnPrint(70), 3*s.Print.Gap)
	bar := 0.27 * pitch
	quarter := sdf.BoxBetween(sdf.V(bar+0.6*pitch, bar+0.6*pitch, low), sdf.V(inner-0.4*pitch, inner-0.4*pitch, high))
	var aslant []sdf.Field
	for k := -math.Floor(inner / pitch); k*pitch <= inner; k++ {
		strip := sdf.BoxBetween(sdf.V(-2*inner, k*pitch-bar, low), sdf.V(2*inner, k*pitch+bar, high))
		aslant = append(aslant, sdf.Place(strip, sdf.Turn(sdf.V(0, 0, 1), 45).Then(sdf.At(sdf.V(inner/2, inner/2, 0)))))
	}
	field := sdf.Intersection(quarter, sdf.Union(aslant...))
	all := []sdf.Field{sdf.BoxBetween(sdf.V(-bar, -inner-bar, low), sdf.V(bar, inner+bar, high)),
		sdf.BoxBetween(sdf.V(-inner-bar, -bar, low), sdf.V(inner+bar, bar, high))}
	for k := range 4 {
		all = append(all, sdf.Place(field, sdf.Turn(sdf.V(0, 0, 1), 90*float64(k))))
	}
	return all
}

// slats are the bars of a gully on either side of a bar across its middle. Slots of 32 mm:
// EN 124, from memory.
func slats(s *parts.Site, inner, low, high float64) []sdf.Field {
	slot := math.Max(s.OnPrint(32), 1.3*s.Print.Gap)
	bar := math.Max(s.OnPrint(32), 1.3*s.Print.Gap)
	n := math.Max(1, math.Floor((2*inner-slot)/(slot+bar)))
	bar = (2*inner - (n+1)*slot) / n
	middle := math.Max(s.OnPrint(60), 0.5*s.Print.Wall) / 2
	all := []sdf.Field{sdf.BoxBetween(sdf.V(-middle, -inner-0.05, low), sdf.V(middle, inner+0.05, high))}
	for k := range int(n) {
		y := -inner + slot + float64(k)*(slot+bar)
		all = append(all, sdf.BoxBetween(sdf.V(-inner-0.05, y, low), sdf.V(inner+0.05, y+bar, high)))
	}
	return all
}

// Matter is a plate.
func (d *DrainCover) Matter(s *parts.Site) parts.Matter {
	z := d.settled(s)
	thick := math.Max(s.OnPrint(60), s.Print.Wall)
	return parts.Matter{Form: parts.Plates, Unit: sdf.V(2*z.lid, 2*z.lid, thick), Volume: 4 * z.lid * z.lid * thick}
}

// Measures is its opening.
func (d *DrainCover) Measures(s *parts.Site) []parts.Measure {
	open := 2 * (d.settled(s).lid - s.OnPrint(coverSeat))
	m := parts.Unlimited("clear opening", "opening", open, s.FullSize(open))
	m.Yardstick = s.Share(m.Full)
	return []parts.Measure{m}
}

// Remedies of covers.
func (d *DrainCover) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(d)
	switch {
	case t.Thin(), t.Of("narrow-gap", "shallow-relief"):
		r.Scaled("opening", "larger covers", d.Opening, 1.25, 1.5)
		r.Scaled("wear", "less worn", d.Wear, 0.5, 0)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the covers, or the stand")
	}
	return r.All
}
