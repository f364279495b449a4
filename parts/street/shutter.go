package street

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/setout"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Shutter is a leaf of a shutter or a door that has come off, or several: it lies or leans.
type Shutter struct {
	setout.Places
	Length float64 `key:"length" type:"length" doc:"height of the leaf as it hung: along its own x" default:"1.4 m" min:"0.5" max:"100" source:"common practice, no source; a door is of 2 m"`
	Width  float64 `key:"width" type:"length" doc:"across that" default:"650 mm" min:"0.5" max:"100" source:"common practice, no source; a door is of 900 mm"`
	Thick  float64 `key:"thick" type:"length" doc:"of its boards" default:"30 mm" min:"0" max:"20" source:"common practice, no source"`
	Of     string  `key:"of" type:"word" doc:"boards on battens with a brace, or slats in a frame" default:"boards" words:"boards,slats"`
	Lean   float64 `key:"lean" type:"angle" doc:"how steeply it leans, its upper end towards its own x: 0 lies flat; under 45 degrees it lies on rubble" default:"0" min:"0" max:"80"`
	Wear   float64 `key:"wear" type:"number" doc:"0 new .. 1 its boards broken and gone" default:"0.4" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "shutter", Stage: parts.Fitting, Group: "Street furniture",
		Doc: "Leaves of shutters and doors that have come off: boards on battens or slats in a frame, lying or leaning.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["220 mm", "140 mm"]

[[shutter]]
at = [[27, 28]]
turn = 20
of = "slats"

[[shutter]]
at = [[42, 16]]
turn = -40
length = "900 mm"
`,
		New: func() parts.Part { return &Shutter{} },
	})
}

// shutterSizes are those of a leaf as it is drawn, mm.
type shutterSizes struct {
	long, wide, thick float64
	batten, proud     float64 // width of a batten or of the frame, and how far it stands out of the boards
	strap             float64 // how far a hinge stands out of a batten
	left              float64 // from the middle of what it covers to its foot
	root              float64 // that is let into the floor, along it
	bulk              r3.Vec
	notes             parts.Notes
}

const (
	shutterEnd   = 0.1 // of a batten's middle from the end, as a share of the length
	shutterSteep = 45  // degrees: less steep, it prints on what lies under it
)

func (d *Shutter) settled(s *parts.Site) *shutterSizes {
	return parts.Settled(s, d, func() *shutterSizes {
		z := &shutterSizes{notes: parts.Notes{Part: d.Name}}
		z.thick = z.notes.AtLeast("thick", d.Thick, s.Print.Wall, "wall")
		z.long = z.notes.AtLeast("length", d.Length, 4*s.Print.Wall, "leaf, four walls")
		z.wide = z.notes.AtLeast("width", d.Width, 3*s.Print.Wall, "leaf, three walls")
		z.batten = math.Min(0.2*math.Min(z.long, z.wide), math.Max(s.OnPrint(110), 0.8*s.Print.Wall))
		z.proud = math.Max(s.OnPrint(20), 1.2*s.Print.Relief)
		z.strap = 0.4 * s.Print.Relief
		high := z.thick + z.proud
		if d.Of == "boards" {
			high += z.strap
		}
		z.bulk = sdf.V(z.long, z.wide, high)
		z.left = z.long / 2
		if d.Lean == 0 {
			return z
		}
		sin, cos := planar.SinCos(d.Lean)
		z.root = math.Min(2*high, (parts.Embed+high*cos)/sin)
		in := 0.0 // how far what stands highest lies within the ends
		if d.Of == "boards" {
			in = shutterEnd*z.long - z.batten/2
		} else {
			z.root = math.Min(z.root, 2*z.batten)
		}
		front := z.thick
		if d.Of != "boards" {
			front = high
		}
		left, right, top := math.Max(high*sin-in*cos, math.Min(front/sin, front*sin+z.root*cos)), 0.0, 0.0
		for _, p := range plan(z.long, 0, z.long, front, z.long-in, high) {
			right, top = math.Max(right, p.X*cos-p.Y*sin), math.Max(top, p.X*sin+p.Y*cos)
		}
		z.bulk = sdf.V(left+right, z.wide, top)
		z.left = (left+right)/2 - left
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (d *Shutter) Notes(s *parts.Site) []parts.Note { return d.settled(s).notes.List }

// Bulk is the size of one as it lies or leans.
func (d *Shutter) Bulk(s *parts.Site) r3.Vec { return d.settled(s).bulk }

// Body is one.
func (d *Shutter) Body(s *parts.Site, at setout.Spot) sdf.Field {
	z := d.settled(s)
	rng := rand.New(rand.NewPCG(at.Seed, 1))
	under := at.Foot // of the boards, where they lie flat
	if d.Lean > 0 {
		under = 0
	}
	var leaf []sdf.Field
	if d.Of == "boards" {
		leaf = append(d.boards(s, z, rng, under), d.battens(s, z)...)
	} else {
		leaf = d.slats(s, z, rng, under)
	}
	f := sdf.Union(leaf...) // its foot at x = 0
	if d.Lean == 0 {
		return sdf.Place(f, sdf.At(sdf.V(-z.left, 0, 0)))
	}
	f = sdf.Place(f, sdf.Turn(sdf.V(0, 1, 0), -d.Lean).Then(sdf.At(sdf.V(-z.left, 0, 0))))
	all := []sdf.Field{f}
	if d.Lean < shutterSteep {
		all = append(all, d.heap(s, z, at))
	}
	return sdf.Intersection(sdf.Union(all...), sdf.HalfSpace(sdf.V(0, 0, -1), -at.Foot))
}

// boards run along the leaf side by side, their edges eased; some of those between the
// outer two are broken off or gone.
func (d *Shutter) boards(s *parts.Site, z *shutterSizes, rng *rand.Rand, under float64) (all []sdf.Field) {
	width := math.Max(s.OnPrint(110), 3.5*s.Print.Gap)
	n := int(math.Max(2, math.Round(z.wide/width)))
	width = z.wide / float64(n)
	ease := math.Min(0.6*s.Print.Gap, 0.2*z.thick)
	for k := range n {
		chance, share, tooth, seed := rng.Float64(), rng.Float64(), rng.Float64(), rng.Uint64()
		y := -z.wide/2 + width*(float64(k)+0.5)
		half := width/2 + 0.01
		inner := k > 0 && k+1 < n
		if inner && chance < 0.25*d.Wear {
			continue
		}
		lo, hi := -half, half
		if k == 0 {
			lo = -width / 2
		}
		if k+1 == n {
			hi = width / 2
		}
		board := sdf.BoxEased(sdf.V(-z.root, y+lo, under-ease), sdf.V(z.long, y+hi, z.thick), ease)
		board = sdf.Intersection(board, sdf.HalfSpace(sdf.V(0, 0, -1), -under))
		grain := relief.Place(grainOf(s, seed, 0.12*z.thick), sdf.Turn(sdf.V(0, 0, 1), 90))
		board = surface.CutTop(board, z.thick, grain)
		if inner && chance < 0.7*d.Wear { // broken off past the batten
			end := z.long * (1 - shutterEnd - 0.45*share)
			far := 2 * z.long
			cut := sdf.Prism(plan(end, y-2*half, end-0.4*width, y-half*tooth, end+0.9*width, y+half*(0.2-tooth),
				end+0.1*width, y+0.5*half, end+0.6*width, y+2*half, far, y+2*half, far, y-2*half),
				under-1, z.thick+1)
			board = sdf.Difference(board, sdf.Intersection(cut, sdf.BoxBetween(sdf.V(0, y-half-0.01, under-1), sdf.V(far, y+half+0.01, z.thick+1))))
		}
		all = append(all, board)
	}
	return all
}

// battens hold the boards: one near each end, with a strap hinge on it, and a brace aslant
// between them.
func (d *Shutter) battens(s *parts.Site, z *shutterSizes) (all []sdf.Field) {
	low, top := 0.5*z.thick, z.thick+z.proud
	y := z.wide / 2
	ease := math.Min(0.3*z.proud, 0.2*z.batten)
	ends := [2]float64{shutterEnd * z.long, (1 - shutterEnd) * z.long}
	for _, x := range ends {
		all = append(all, sdf.BoxEased(sdf.V(x-z.batten/2, -y, low), sdf.V(x+z.batten/2, y, top), ease))
		strap := 0.28 * z.batten
		all = append(all, sdf.Prism(plan(x-strap, -y, x+strap, -y, x+strap, 0.2*y, x, 0.5*y, x-strap, 0.2*y), top-0.1, top+z.strap))
	}
	rise, run := 2*y-z.batten, ends[1]-ends[0]-z.batten
	if run < 2*z.batten || rise < z.batten {
		return all
	}
	brace := sdf.Box(sdf.V(math.Hypot(rise, run)+z.batten, 0.8*z.batten, z.proud+0.5*z.thick), 0)
	aslant := sdf.Turn(sdf.V(0, 0, 1), math.Atan2(rise, run)*180/math.Pi).Then(sdf.At(sdf.V(z.long/2, 0, (low+top-0.3*z.proud)/2)))
	return append(all, sdf.Intersection(sdf.Place(brace, aslant), sdf.BoxBetween(sdf.V(ends[0], -y, 0), sdf.V(ends[1], y, top-0.15*z.proud))))
}

// slats are thin boards aslant in a frame with a rail across its middle; some have dropped
// out, and the back shows.
func (d *Shutter) slats(s *parts.Site, z *shutterSizes, rng *rand.Rand, under float64) []sdf.Field {
	y, b, top := z.wide/2, z.batten, z.thick+z.proud
	ease := math.Min(0.25*b, 0.3*z.proud)
	frame := sdf.BoxEased(sdf.V(-z.root, -y, under-ease), sdf.V(z.long, y, top), ease)
	frame = sdf.Intersection(frame, sdf.HalfSpace(sdf.V(0, 0, -1), -under))
	var rooms []sdf.Field
	var all []sdf.Field
	back := 0.7 * z.thick
	pitch := math.Max(s.OnPrint(45), 2.4*s.Print.Gap)
	for i := range 2 {
		lo, hi := b, z.long/2-b/2
		if i == 1 {
			lo, hi = z.long/2+b/2, z.long-b
		}
		if hi-lo < pitch {
			continue
		}
		rooms = append(rooms, sdf.BoxBetween(sdf.V(lo, -y+b, back), sdf.V(hi, y-b, top+1)))
		n := math.Max(1, math.Floor((hi-lo)/pitch))
		step := (hi - lo) / n
		for k := range int(n) {
			if chance := rng.Float64(); chance < 0.3*d.Wear {
				continue
			}
			x := lo + step*float64(k)
			rise := top - back - 0.25*z.proud
			all = append(all, sdf.Place(sdf.Prism(plan(x-0.02, back-0.05, x+step*0.98, back-0.05, x+0.3*step, back+rise, x-0.02,
				back+0.8*rise), -y+b-0.05, y-b+0.05),
				sdf.Turn(sdf.V(1, 0, 0), 90)))
		}
	}
	return append(all, sdf.Difference(frame, rooms...))
}

// heap is rubble under a leaf that is not steep, within its edges.
func (d *Shutter) heap(s *parts.Site, z *shutterSizes, at setout.Spot) sdf.Field {
	sin, cos := planar.SinCos(d.Lean)
	y := 0.42 * z.wide
	far := 0.93 * z.long
	under := plan(0, at.Foot, far*cos, at.Foot, far*cos+0.1*sin, far*sin-0.1*cos+0.2, 0, 0.2)
	wedge := sdf.Place(sdf.Prism(under, -y, y), sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.At(sdf.V(-z.left, 0, 0))))
	return relief.Carve(wedge, surface.Rough(at.Seed+9, math.Max(1.5, s.OnPrint(180)), math.Min(0.08*z.wide, 2*s.Print.Relief)))
}

// Matter is boards.
func (d *Shutter) Matter(s *parts.Site) parts.Matter {
	z := d.settled(s)
	return parts.Matter{Form: parts.Boards, Unit: sdf.V(z.long, math.Max(s.OnPrint(110), s.Print.Wall), z.thick), Volume: z.long * z.wide * z.thick}
}

// Measures is its length beside a person.
func (d *Shutter) Measures(s *parts.Site) []parts.Measure {
	long := d.settled(s).long
	m := parts.Unlimited("length", "length", long, s.FullSize(long))
	m.Yardstick = s.Beside(m.Full)
	return []parts.Measure{m}
}

// Remedies of leaves.
func (d *Shutter) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(d)
	switch {
	case t.Thin():
		r.Scaled("thick", "thicker boards", d.Thick, 1.3, 1.6)
		r.Scaled("wear", "less worn", d.Wear, 0.5, 0)
	case t.Hanging():
		r.To("lean", "steeper, or flat", 65.0, 0.0)
		r.Scaled("wear", "less worn", d.Wear, 0.5, 0)
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the leaf, or the stand")
	}
	return r.All
}
