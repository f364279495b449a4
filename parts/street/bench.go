package street

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/setout"
	"socle/sdf"
	"socle/sdf/relief"
)

// Bench is a seat of slats on cast ends, or several.
type Bench struct {
	setout.Places
	Length float64 `key:"length" type:"length" doc:"over all, along its own x" default:"1.8 m" min:"1" max:"200" source:"common practice, no source: 1.5 to 1.8 m for three"`
	Seat   float64 `key:"seat" type:"height" doc:"height of the seat over its floor" default:"440 mm" min:"0.3" max:"50" source:"common practice, no source: 400 to 450 mm"`
	Depth  float64 `key:"depth" type:"length" doc:"from the front of the seat to its back" default:"450 mm" min:"0.3" max:"50" source:"common practice, no source"`
	Back   float64 `key:"back" type:"height" doc:"height of the back over the floor; 0 for none" default:"850 mm" min:"0" max:"100" source:"common practice, no source"`
	Wear   float64 `key:"wear" type:"number" doc:"0 new .. 1 slats broken and gone" default:"0.4" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "bench", Stage: parts.Fitting, Group: "Street furniture",
		Doc: "Benches with slats on cast iron ends, with a back or without, some of their slats broken or gone.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
bond = "random"

[[bench]]
at = [[32, 28]]
turn = -15
`,
		New: func() parts.Part { return &Bench{} },
	})
}

// benchSizes are those of a bench as it is drawn, mm.
type benchSizes struct {
	long, seat, depth float64
	back              float64 // height over the floor; 0 for none
	end               float64 // thickness of a cast end
	ends              int
	thick             float64 // of a slat
	slats             int     // of the seat
	wide, gap         float64 // of a slat, and between two
	bulk              r3.Vec
	notes             parts.Notes
}

const (
	benchRake  = 12   // degrees that a back leans
	benchInset = 0.06 // of an end from the end of the slats, as a share of the length
	benchSpan  = 1300 // mm of life between ends at most. Common practice, no source
)

func (b *Bench) settled(s *parts.Site) *benchSizes {
	return parts.Settled(s, b, func() *benchSizes {
		z := &benchSizes{notes: parts.Notes{Part: b.Name}}
		z.end = math.Max(s.OnPrint(50), s.Print.Wall)
		z.thick = math.Max(s.OnPrint(35), 1.15*s.Print.Pin)
		z.gap = math.Max(s.OnPrint(15), 1.2*s.Print.Gap)
		z.long = z.notes.AtLeast("length", b.Length, 4*z.end, "bench, four times as long as an end is thick")
		z.depth = z.notes.AtLeast("depth", b.Depth, 2.2*s.Print.Pin, "seat, two pins and a gap")
		z.seat = z.notes.AtLeast("seat", b.Seat, z.thick+0.8*s.Print.Wall, "seat over its legs")
		slat := math.Max(s.OnPrint(65), 1.15*s.Print.Pin)
		z.slats = max(1, int((z.depth+z.gap)/(slat+z.gap)))
		z.wide = (z.depth+z.gap)/float64(z.slats) - z.gap
		z.ends = 1 + max(1, int(math.Ceil((z.long*(1-2*benchInset)-z.end)/s.OnPrint(benchSpan)-1e-9)))
		if z.long/float64(z.ends) < 2.5*z.end {
			z.ends = 2
		}
		z.bulk = sdf.V(z.long, z.depth+2*z.foot(), z.seat)
		if b.Back > 0 {
			z.back = z.notes.AtLeast("back", b.Back, z.seat+2*z.thick, "back over a seat")
			z.bulk.Z = z.back
			z.bulk.Y = math.Max(z.bulk.Y, 2*(z.depth/2+z.lean()))
		}
		return z
	})
}

// foot is how far a leg stands out before the seat, mm.
func (z *benchSizes) foot() float64 { return 0.04 * z.depth }

// lean is how far the back reaches behind the seat, mm.
func (z *benchSizes) lean() float64 {
	return (z.back-z.seat)*math.Tan(benchRake*math.Pi/180) + 1.5*z.thick
}

// Notes say what is drawn larger than the scene gives it.
func (b *Bench) Notes(s *parts.Site) []parts.Note { return b.settled(s).notes.List }

// Bulk is the size of one: as far as it reaches before and behind the middle of its seat.
func (b *Bench) Bulk(s *parts.Site) r3.Vec { return b.settled(s).bulk }

// Body is one: its front looks along -y.
func (b *Bench) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := b.settled(s)
	rng := rand.New(rand.NewPCG(at.Seed, 1))
	var all []sdf.Field
	first := z.long * benchInset
	for i := range z.ends {
		x := -z.long/2 + first + z.end/2 + (z.long-2*first-z.end)*float64(i)/float64(z.ends-1)
		all = append(all, sdf.Place(b.end(s, z, at), sdf.At(sdf.V(x, 0, 0))))
	}
	for k := range z.slats {
		y := -z.depth/2 + z.wide/2 + float64(k)*(z.wide+z.gap)
		all = append(all, b.slat(s, z, rng, sdf.At(sdf.V(0, y, z.seat-z.thick/2)))...)
	}
	if z.back > 0 {
		long := (z.back - z.seat) / math.Cos(benchRake*math.Pi/180)
		lift := math.Min(0.3*long, z.thick+z.gap) // of the lowest over the seat
		n := max(1, int((long-lift+z.gap)/(z.wide+z.gap)))
		for k := range n {
			up := long - z.wide/2 - float64(k)*(z.wide+z.gap)
			lie := sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.At(sdf.V(0, 0, up))).Then(sdf.Turn(sdf.V(1, 0, 0), -benchRake))
			lie = lie.Then(sdf.At(sdf.V(0, z.depth/2+z.thick/2, z.seat)))
			all = append(all, b.slat(s, z, rng, lie)...)
		}
	}
	return sdf.Intersection(sdf.Union(all...), sdf.HalfSpace(sdf.V(0, 0, 1), z.bulk.Z))
}

// slat is one along x, its flat face up, set at a pose: whole, broken between its ends, of
// which stubs are left, or gone.
func (b *Bench) slat(s *parts.Site, z *benchSizes, rng *rand.Rand, pose sdf.Pose) []sdf.Field {
	chance, seed := rng.Float64(), rng.Uint64()
	half := z.long / 2
	long := [2]float64{0.8 + 0.9*rng.Float64(), 0.8 + 0.9*rng.Float64()} // of the stubs, past the ends, in widths
	box := sdf.BoxEased(sdf.V(-half, -z.wide/2, -z.thick/2), sdf.V(half, z.wide/2, z.thick/2), 0.12*z.thick)
	const over = 5 // mm: beyond its sides
	grain := relief.Place(grainOf(s, seed, 0.1*z.thick), sdf.Turn(sdf.V(0, 0, 1), 90))
	// Grain is on its upper face alone: below it would be what nothing holds as it prints.
	f := sdf.Intersection(box, relief.Carve(sdf.BoxBetween(sdf.V(-half-over, -over, -over), sdf.V(half+over, over, z.thick/2)), grain))
	switch {
	case chance < 0.12*b.Wear && z.slats > 2:
		return nil
	case chance < 0.4*b.Wear:
		w := z.wide
		from := -half + z.long*benchInset + z.end + long[0]*w
		to := half - z.long*benchInset - z.end - long[1]*w
		if to-from < 2*w {
			break
		}
		// Splinters at either end of the room between the stubs.
		gone := sdf.Prism(plan(from, -over, to, -over, to-0.9*w, -0.45*w, to-0.2*w, 0.1*w, to-0.7*w, over,
			from+0.8*w, over, from+0.2*w, 0.15*w, from+0.9*w, -0.4*w), -over, over)
		f = sdf.Difference(f, gone)
	}
	return []sdf.Field{sdf.Place(f, pose)}
}

// end is a cast end in its own frame, across the bench: two legs that spread from under the
// seat, an arch between them, a bearer under the slats and one behind those of the back.
func (b *Bench) end(s *parts.Site, z *benchSizes, at setout.Spot) sdf.Field {
	h, d := z.seat-z.thick+0.05, z.depth/2
	bar := math.Max(s.Print.Pin, math.Min(0.22*h, s.OnPrint(60)))
	out := d + z.foot()
	profile := plan(-out, at.Foot, -out+1.5*bar, at.Foot, -out+1.5*bar, 0.08*h)
	// The arch: a half ellipse between the legs, under the bearer.
	const steps = 10
	wide, rise := out-1.5*bar, math.Max(0.1*h, h-bar-0.08*h)
	for i := 1; i < steps; i++ {
		sin, cos := math.Sincos(math.Pi * float64(i) / steps)
		profile = append(profile, r2.Vec{X: -wide * cos, Y: 0.08*h + rise*sin})
	}
	profile = append(profile, plan(out-1.5*bar, 0.08*h, out-1.5*bar, at.Foot, out, at.Foot, out, 0.06*h, d-0.15*bar, 0.35*h, d, h,
		-d, h, -d+0.15*bar, 0.35*h, -out, 0.06*h)...)
	upright := sdf.Turn(sdf.V(0, 0, 1), 90) // the profile's x is the bench's y
	half := z.end / 2
	set := func(outline []r2.Vec, half float64) sdf.Field {
		return sdf.Place(sdf.Prism(outline, -half, half), sdf.Turn(sdf.V(1, 0, 0), 90).Then(upright))
	}
	if wide < 2*s.Print.Gap { // no room for an arch
		profile = plan(-out, at.Foot, out, at.Foot, out, 0.06*h, d, h, -d, h, -out, 0.06*h)
	}
	all := []sdf.Field{set(profile, half)}
	if z.back > 0 {
		rise := z.back - z.seat
		tan := math.Tan(benchRake * math.Pi / 180)
		behind := d + 0.6*z.thick
		all = append(all, set(plan(d-0.4*bar, 0.4*h, behind+z.thick, z.seat, behind+z.thick*0.9+rise*tan, z.back,
			behind+rise*tan, z.back, behind-0.3*z.thick, z.seat, d-0.6*bar, h), half))
		// An arm: a post at the front, and a rest aslant up to the back.
		if arm := z.seat + 0.55*rise; rise > 4*bar && 2*d > 5*bar {
			front := -d + bar
			all = append(all, set(plan(front-bar/2, h-bar, front+bar/2, h-bar, front+bar/2, arm, front-bar/2, arm), half),
				set(plan(front-bar, arm-bar, front-bar, arm, behind+0.55*rise*tan, arm, behind+0.5*rise*tan, arm-bar,
					front+1.6*bar, arm-bar, front+bar/2, arm-2*bar, front-bar/2, arm-2*bar), half))
		}
	}
	return sdf.Union(all...)
}

// Matter is slats.
func (b *Bench) Matter(s *parts.Site) parts.Matter {
	z := b.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.long, z.wide, z.thick), Volume: 2 * float64(z.slats) * z.long * z.wide * z.thick}
}

// Measures is the height of its seat beside a person.
func (b *Bench) Measures(s *parts.Site) []parts.Measure {
	return parts.TallBeside(s, "seat", "seat", b.settled(s).seat)
}

// Remedies of benches.
func (b *Bench) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(b)
	switch {
	case t.Thin(), t.Of("narrow-gap"):
		r.Scaled("depth", "a deeper seat", b.Depth, 1.2, 1.4)
		r.Scaled("wear", "less worn", b.Wear, 0.5, 0)
	case t.Hanging():
		r.Scaled("length", "a shorter bench", b.Length, 0.8, 0.6)
		r.Scaled("wear", "less worn", b.Wear, 0.5, 0)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the benches, or the stand")
	}
	return r.All
}
