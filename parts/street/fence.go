package street

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Fence is posts, rails and what is nailed to them, along a line.
type Fence struct {
	Course
	Height  float64 `key:"height" type:"height" doc:"of its palings or boards, or to its upper rail, over the floor" default:"1.2 m" min:"0.5" max:"200" source:"common practice, no source"`
	Of      string  `key:"of" type:"word" doc:"palings with gaps between them, boards that overlap, or rails alone" default:"palings" words:"palings,boards,rails"`
	Spacing float64 `key:"spacing" type:"length" doc:"widest spacing of the posts; the bays are made equal" default:"1.8 m" min:"1" max:"500" source:"common practice, no source: 1.8 to 3 m"`
	Post    float64 `key:"post" type:"length" doc:"thickness of a post" default:"100 mm" min:"0" max:"50" source:"common practice, no source"`
	Rails   int     `key:"rails" type:"count" doc:"number of rails" default:"2" min:"1" max:"6"`
	Paling  float64 `key:"paling" type:"length" doc:"width of a paling or a board" default:"75 mm" min:"0" max:"50" source:"common practice, no source"`
	Gap     float64 `key:"gap" type:"length" doc:"between palings" default:"50 mm" min:"0" max:"100" source:"common practice, no source"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "fence", Stage: parts.Fitting, Group: "Fences",
		Doc: "A wooden fence along a line: posts and rails with palings, boards or nothing on them, some of them broken or gone.",
		Example: `
[[fence]]
line = [[8, 24], [34, 34], [58, 30]]
wear = 0.6

[[stump]]
at = [[33, 18]]
diameter = "380 mm"
height = "260 mm"
`,
		New: func() parts.Part { return &Fence{} },
	})
}

// fenceSizes are those of a fence as it is drawn, mm.
type fenceSizes struct {
	high          float64
	post          float64
	railHigh      float64
	rail          float64 // its thickness
	paling, thick float64 // width and thickness of a paling or a board
	gap           float64
	wide          float64 // half of what the fence covers, across its line
	bays          []fenceBay
	notes         parts.Notes
}

// fenceBay is what stands between two posts.
type fenceBay struct {
	leg      planar.Leg
	from, to float64 // along the leg
	low      [2]float64
	last     bool // a post at its end is its own
}

func (f *Fence) settled(s *parts.Site) *fenceSizes {
	return parts.Settled(s, f, func() *fenceSizes {
		z := &fenceSizes{notes: parts.Notes{Part: f.Name}}
		z.post = z.notes.AtLeast("post", f.Post, 1.2*s.Print.Pin, "post, a fifth more than a pin")
		z.high = z.notes.AtLeast("height", f.Height, 2*z.post, "fence, twice as high as a post is thick")
		z.railHigh = math.Max(s.OnPrint(75), s.Print.Pin)
		z.rail = math.Max(s.OnPrint(40), s.Print.Pin)
		z.thick = math.Max(s.OnPrint(20), 1.2*s.Print.Pin)
		z.paling = z.notes.AtLeast("paling", f.Paling, 1.1*s.Print.Pin, "paling, a tenth more than a pin")
		z.gap = f.Gap
		if f.Of == "palings" {
			z.gap = z.notes.AtLeast("gap", f.Gap, 1.5*s.Print.Gap, "gap between palings")
		}
		z.wide = z.post / 2
		if f.Of != "rails" {
			z.wide = math.Max(z.wide, z.rail/2+1.4*z.thick)
		}
		spacing := math.Max(f.Spacing, 3*z.post)
		for _, leg := range f.legs() {
			long := leg.To - leg.From
			n := planar.EqualBays(long, spacing)
			for k := range n {
				b := fenceBay{leg: leg, from: long * float64(k) / float64(n), to: long * float64(k+1) / float64(n)}
				for i, at := range [2]float64{b.from, b.to} {
					b.low[i] = f.floor(s, planar.OnPlan(leg.At(leg.From+at)), b.low[0])
				}
				z.bays = append(z.bays, b)
			}
		}
		if len(z.bays) > 0 {
			z.bays[len(z.bays)-1].last = true
		}
		return z
	})
}

// floor is the level at a place, or where nothing lies there another.
func (f *Fence) floor(s *parts.Site, at r2.Vec, or float64) float64 {
	if level, ok := s.StandingAt(f.Level, at); ok {
		return level
	}
	return or
}

// Notes say what is drawn larger than the scene gives it.
func (f *Fence) Notes(s *parts.Site) []parts.Note { return f.settled(s).notes.List }

// Pieces counts posts, rails and palings.
func (f *Fence) Pieces(s *parts.Site) int {
	z := f.settled(s)
	return len(z.bays)*(2+f.Rails) + int(f.Length()/(z.paling+z.gap))
}

// Extents are its line.
func (f *Fence) Extents(s *parts.Site) []parts.Extent {
	return []parts.Extent{{Key: course.Key, Points: f.Points, Wide: f.settled(s).wide}}
}

// Solid is all bays.
func (f *Fence) Solid(s *parts.Site) sdf.Field {
	z := f.settled(s)
	var all []sdf.Field
	for i, b := range z.bays {
		rng := s.Rand(f.Name, f.Seed+uint64(i)*1000003, "fence")
		all = append(all, sdf.Place(sdf.Union(f.bay(s, z, rng, b)...), course.Frame(b.leg)))
	}
	return sdf.Union(all...)
}

// bay is one in the frame of its leg.
func (f *Fence) bay(s *parts.Site, z *fenceSizes, rng *rand.Rand, b fenceBay) []sdf.Field {
	all := []sdf.Field{f.post(s, z, rng, b, b.from, b.low[0])}
	if b.last || b.to >= b.leg.To-b.leg.From-parts.Nearly {
		all = append(all, f.post(s, z, rng, b, b.to, b.low[1]))
	}
	upright := func(outline []r2.Vec, from, to float64) sdf.Field { // x along, y up: set upright, thick from .. to across
		return sdf.Place(sdf.Prism(outline, -to, -from), sdf.Turn(sdf.V(1, 0, 0), 90))
	}
	over := math.Min(0.14*z.high, s.HeightOnPrint(150)) // of palings over the upper rail
	if f.Of == "rails" {
		over = z.railHigh / 2
	}
	least := math.Min(0.25*z.high, s.HeightOnPrint(250))
	for k := range f.Rails {
		up := least + (z.high-over-least)*(float64(k)+1)/float64(f.Rails)
		if f.Rails > 1 {
			up = least + (z.high-over-least)*float64(k)/float64(f.Rails-1)
		}
		ends := [2]float64{b.low[0] + up, b.low[1] + up}
		if chance, end := rng.Float64(), rng.IntN(2); f.Of == "rails" && chance < 0.5*f.Wear { // one end is down
			ends[end] = b.low[end] + 0.3*z.railHigh
		}
		h := z.railHigh / 2
		sag := 0.0
		if f.Of == "rails" {
			sag = 0.15 * h * rng.Float64()
		}
		mid := (b.from + b.to) / 2
		outline := plan(b.from, ends[0]-h, mid, (ends[0]+ends[1])/2-h-sag, b.to, ends[1]-h, b.to, ends[1]+h, mid, (ends[0]+ends[1])/2+h-sag, b.from, ends[0]+h)
		all = append(all, upright(outline, -z.rail/2, z.rail/2))
	}
	if f.Of == "rails" {
		return all
	}
	pitch := z.paling + z.gap
	if f.Of == "boards" {
		pitch = z.paling * 0.98
	}
	room := b.to - b.from
	n := math.Max(1, math.Round(room/pitch))
	for k := range int(n) {
		x := b.from + room*(float64(k)+0.5)/n
		wide := z.paling
		if f.Of == "boards" {
			wide = room / n * 1.06
		}
		chance, short, lean, lift := rng.Float64(), rng.Float64(), rng.NormFloat64(), rng.Float64()
		top := z.high * (1 - 0.03*lift*(0.3+f.Wear))
		switch {
		case chance < 0.16*f.Wear:
			continue // gone
		case chance < 0.4*f.Wear:
			top = z.high * (0.35 + 0.45*short)
		}
		at := planar.OnPlan(b.leg.At(b.leg.From + x))
		level := f.floor(s, at, b.low[0]+(b.low[1]-b.low[0])*(x-b.from)/room)
		foot := footUnder(s, level, at, heading(b.leg), wide/2, z.wide)
		outline := palingOutline(rng, wide, top, foot-level, top < 0.9*z.high, f.Of == "palings")
		in := z.rail/2 - 0.1
		piece := upright(outline, in, in+z.thick)
		piece = relief.Carve(piece, relief.Place(grainOf(s, rng.Uint64(), 0.15*z.thick), sdf.Turn(sdf.V(1, 0, 0), 90)))
		turn := sdf.Turn(sdf.V(0, 1, 0), math.Max(-6, math.Min(6, 3*f.Wear*lean)))
		if f.Of == "boards" { // one edge over the next
			turn = sdf.At(sdf.V(0, -in-z.thick/2, 0)).Then(sdf.Turn(sdf.V(0, 0, 1), math.Atan2(0.35*z.thick, wide)*180/math.Pi)).
				Then(sdf.At(sdf.V(0, in+z.thick/2, 0)))
		}
		all = append(all, sdf.Place(piece, turn.Then(sdf.At(sdf.V(x, 0, level)))))
	}
	return all
}

// palingOutline is that of a paling or a board about x = 0, from its foot to its top: broken
// off in splinters, pointed or square.
func palingOutline(rng *rand.Rand, wide, top, foot float64, broken, pointed bool) []r2.Vec {
	h := wide / 2
	a, b := rng.Float64(), rng.Float64()
	switch {
	case broken:
		return plan(-h, foot, h, foot, h, top-wide*a, 0.1*h, top-0.4*wide, -0.3*h, top, -h, top-wide*(0.4+0.8*b))
	case pointed:
		return plan(-h, foot, h, foot, h, top-0.8*h, 0.15*h, top, -0.15*h, top, -h, top-0.8*h)
	}
	return plan(-h, foot, h, foot, h, top-0.1*h*a, -h, top-0.1*h*b)
}

// post is a square post with a pointed head, a little higher than what it carries.
func (f *Fence) post(s *parts.Site, z *fenceSizes, rng *rand.Rand, b fenceBay, x, level float64) sdf.Field {
	half := z.post / 2
	foot := footUnder(s, level, planar.OnPlan(b.leg.At(b.leg.From+x)), heading(b.leg), half, half) - level
	top := z.high + 0.4*z.post
	grain := surface.AllRound(grainOf(s, rng.Uint64(), 0.1*z.post), 0)
	shaft := relief.Carve(sdf.BoxBetween(sdf.V(-half, -half, foot), sdf.V(half, half, top-half)), grain)
	return sdf.Place(sdf.Union(shaft, tapered(top-half-0.02, top, half, 0.45*half)), sdf.At(sdf.V(x, 0, level)))
}

// Plan is its line and its posts.
func (f *Fence) Plan(s *parts.Site) []parts.Stroke {
	z := f.settled(s)
	strokes := []parts.Stroke{{Line: parts.LineRail, Path: planar.Straight(f.Points...)}}
	post := func(b fenceBay, x float64) {
		strokes = append(strokes, parts.Stroke{Line: parts.LineRail, Closed: true, Covers: true,
			Path: planar.SquarePath(planar.OnPlan(b.leg.At(b.leg.From+x)), z.post, heading(b.leg))})
	}
	for _, b := range z.bays {
		post(b, b.from)
		if b.last {
			post(b, b.to)
		}
	}
	return strokes
}

// Breaks gives boards, as many as lie along its line within the patch.
func (f *Fence) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	z := f.settled(s)
	run := p.Run(f.Points, z.post)
	if run == 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Boards, Unit: sdf.V(z.high, z.paling, z.thick), Volume: 0.6 * run * z.high * z.thick}}
}

// Measures are its height beside a person and its longest bay.
func (f *Fence) Measures(s *parts.Site) []parts.Measure {
	z := f.settled(s)
	longest := 0.0
	for _, b := range z.bays {
		longest = math.Max(longest, b.to-b.from)
	}
	bay := parts.Unlimited("post spacing", "spacing", longest, s.FullSize(longest))
	bay.Yardstick = s.Share(bay.Full)
	return append(parts.TallBeside(s, "height", "height", z.high), bay)
}

// Sights is a bay of it that the piece shows.
func (f *Fence) Sights(l parts.Lookout) []parts.Sight {
	z := f.settled(l.Site())
	for _, b := range z.bays {
		mid := b.leg.At(b.leg.From + b.from)
		top := l.Pose().Invert(sdf.V(mid.X, mid.Y, b.low[0]+z.high+0.4*z.post))
		q := r2.Vec{X: top.X, Y: top.Y}
		if h, ok := l.Drop(q, l.Box().Max.Z); l.Top(q) > 0 || !ok || l.PartAt(sdf.V(q.X, q.Y, h)) != parts.Part(f) {
			continue
		}
		return []parts.Sight{{Kind: parts.WordOf(f), Part: f, Name: parts.WordOf(f) + "-" + f.Name,
			Box: l.Framed(parts.About(q, z.high, top.Z-z.high-1, top.Z+1)), From: l.Freest([]r3.Vec{top}, parts.AroundFront())}}
	}
	return nil
}

// Remedies of fences.
func (f *Fence) Remedies(_ *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(f)
	switch {
	case t.Thin():
		r.Scaled("paling", "wider palings", f.Paling, 1.25, 1.5)
		r.Scaled("wear", "less worn", f.Wear, 0.5, 0)
		r.Scaled("height", "a lower fence", f.Height, 0.85, 0.7)
	case t.Hanging():
		r.To("of", "palings, which carry the rails", "palings", "boards")
		r.Scaled("wear", "less worn", f.Wear, 0.5, 0)
	case t.Of("narrow-gap"):
		r.Scaled("gap", "wider gaps", f.Gap, 1.3, 1.6)
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the fence, or the stand")
	}
	return r.All
}
