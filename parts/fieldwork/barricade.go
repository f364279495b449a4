package fieldwork

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// Barricade is a heap of what was at hand across a way.
type Barricade struct {
	Line
	Height float64 `key:"height" type:"height" doc:"of its highest ends over the floor" default:"1.5 m" min:"1" max:"100" source:"common practice, no source"`
	Width  float64 `key:"width" type:"length" doc:"across it, on the floor" default:"1.6 m" min:"1" max:"200" source:"common practice, no source"`
	Doors  float64 `key:"doors" type:"number" doc:"share of doors among what leans on it; the rest are planks and beams" default:"0.3" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "barricade", Stage: parts.Fitting, Group: "Fieldworks",
		Doc: "A heap of crates, planks, doors and beams across a way, leaning on each other.",
		Example: `
[[paving]]
level = "floor"
area = { rect = [0, 0, 64, 48] }
stone = ["220 mm", "140 mm"]

[[barricade]]
line = [[13, 22], [33, 29], [52, 27]]
height = "1.3 m"
seed = 3
`,
		New: func() parts.Part { return &Barricade{} },
	})
}

// heapSizes are those of a barricade as it is drawn, mm.
type heapSizes struct {
	high, wide   float64
	crate        float64 // about how long a crate is
	plank, thick float64
	door         r2.Vec // width and height
	beam         float64
	notes        parts.Notes
}

func (b *Barricade) settled(s *parts.Site) *heapSizes {
	return parts.Settled(s, b, func() *heapSizes {
		z := &heapSizes{notes: parts.Notes{Part: b.Name}}
		// Full-size mm: a door is 762 x 1981 mm (2 ft 6 in by 6 ft 6 in, trade sizes, from
		// memory); the others are common practice, no source.
		const crate, plank, thick, beam, doorWide, doorHigh = 750, 200, 38, 150, 762, 1981
		z.high = z.notes.AtLeast("height", b.Height, 6*s.Print.Wall, "heap, six walls")
		z.wide = z.notes.AtLeast("width", b.Width, 6*s.Print.Wall, "heap, six walls")
		z.crate = math.Max(s.OnPrint(crate), 4*s.Print.Wall)
		z.plank = math.Max(s.OnPrint(plank), 1.6*s.Print.Wall)
		z.thick = math.Max(s.OnPrint(thick), s.Print.Wall)
		z.beam = math.Max(s.OnPrint(beam), 1.3*s.Print.Pin)
		z.door = r2.Vec{X: math.Max(s.OnPrint(doorWide), 2.2*z.plank), Y: math.Max(s.OnPrint(doorHigh), 5*z.plank)}
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (b *Barricade) Notes(s *parts.Site) []parts.Note { return b.settled(s).notes.List }

func (b *Barricade) across(s *parts.Site) (wide, high float64) {
	z := b.settled(s)
	return z.wide, z.high
}

func (b *Barricade) unit(s *parts.Site) (long float64, abreast int) { return b.settled(s).crate, 6 }

func (b *Barricade) bodies(s *parts.Site) (all []body) {
	z := b.settled(s)
	for _, g := range b.legs(s) {
		rng := s.Rand(b.Name, b.Seed+uint64(g.n), "heap")
		n := math.Max(1, math.Round(g.long/z.crate))
		each := g.long / n
		for i := range int(n) {
			from := each * float64(i)
			solids := []sdf.Field{z.rubble(s, rng.Uint64(), &g, from, each)}
			solids = append(solids, z.stack(s, rng, &g, from, each, i == int(n)-1)...)
			for _, side := range [2]float64{-1, 1} {
				for k := range 2 {
					solids = append(solids, z.leaning(s, rng, &g, from+each*(0.28+0.44*float64(k)+0.16*(rng.Float64()-0.5)), side,
						rng.Float64() < b.Doors && k == 0))
				}
			}
			// Nothing reaches beyond its place, above or below.
			room := sdf.BoxBetween(sdf.V(-0.02*z.wide, -z.wide/2, g.foot), sdf.V(g.long+0.02*z.wide, z.wide/2, z.high))
			all = append(all, body{solid: sdf.Place(sdf.Intersection(sdf.Union(solids...), room), g.pose), frame: g.pose,
				box: r3.Box{Min: sdf.V(from, -z.wide/2, g.foot), Max: sdf.V(from+each, z.wide/2, z.high)}})
		}
	}
	return all
}

// Shares of the heap's height and width. Common practice, no source.
const (
	lowCrate = 0.46 // height of the crates on the floor
	crateIn  = 0.44 // their depth, over the width of the heap
	rubbleUp = 0.08
)

// rubble is the low ridge of small stuff that all of it stands in.
func (z *heapSizes) rubble(s *parts.Site, seed uint64, g *leg, from, each float64) sdf.Field {
	h := rubbleUp * z.high
	if small := 16 * s.Print.Wall; z.wide < small { // what leans would close rooms that resin stays in
		h = 0.9 * lowCrate * z.high
	}
	wide, crest := 0.47*z.wide, 0.2*z.wide
	section := []r2.Vec{{X: -wide, Y: g.foot}, {X: wide, Y: g.foot}, {X: wide, Y: 0.02}, {X: crest, Y: h}, {X: -crest, Y: h}, {X: -wide, Y: 0.02}}
	ridge := sdf.Place(sdf.Prism(section, from, from+each*1.02), sdf.Turn(sdf.V(1, 1, 1), 120))
	return relief.Carve(ridge, surface.Rough(seed, math.Max(1.6, s.OnPrint(120)), math.Min(2.5*s.Print.Relief, 0.6*h)))
}

// stack is a crate on the floor, a smaller one aslant on it, and now and then a beam over both.
func (z *heapSizes) stack(s *parts.Site, rng *rand.Rand, g *leg, from, each float64, last bool) []sdf.Field {
	mid, low := from+each/2, lowCrate*z.high*(0.9+0.2*rng.Float64())
	deep := crateIn * z.wide * (0.9 + 0.2*rng.Float64())
	// Corner to corner with the next, however it is turned.
	first := z.box(s, rng.Uint64(), sdf.V(1.12*each, deep, low-g.foot))
	lie := sdf.Turn(sdf.V(0, 0, 1), 14*(rng.Float64()-0.5)).Then(sdf.At(sdf.V(mid, 0.08*z.wide*(rng.Float64()-0.5), (low+g.foot)/2)))
	all := []sdf.Field{sdf.Place(first, lie)}
	up := 0.3 * z.high * (0.8 + 0.5*rng.Float64())
	second := z.box(s, rng.Uint64(), sdf.V(0.72*each, 0.8*deep, up))
	tip := sdf.Turn(sdf.V(1, 0, 0), 16*(rng.Float64()-0.5)).Then(sdf.Turn(sdf.V(0, 1, 0), 16*(rng.Float64()-0.5))).
		Then(sdf.Turn(sdf.V(0, 0, 1), 50*(rng.Float64()-0.5)))
	all = append(all, sdf.Place(second, tip.Then(sdf.At(sdf.V(mid+0.1*each*(rng.Float64()-0.5), 0, low+0.36*up)))))
	beam, turn, pitch := rng.Float64() < 0.5 && !last, 40*(rng.Float64()-0.5), 10*(rng.Float64()-0.5)
	if beam {
		lie := sdf.Turn(sdf.V(0, 1, 0), pitch).Then(sdf.Turn(sdf.V(0, 0, 1), turn)).Then(sdf.At(sdf.V(mid+0.3*each, 0, low+0.8*up)))
		all = append(all, sdf.Place(z.timber(s, rng.Uint64(), sdf.V(2.1*each, z.beam, z.beam)), lie))
	}
	return all
}

// leaning is a plank, a beam or a door, with its foot on the floor to a side of the crates and
// its back let into their upper edge.
func (z *heapSizes) leaning(s *parts.Site, rng *rand.Rand, g *leg, at, side float64, door bool) sdf.Field {
	seed, kind := rng.Uint64(), rng.Float64()
	turn, aslant, out, over, tall := 26*(rng.Float64()-0.5), 24*(rng.Float64()-0.5), 0.36+0.1*rng.Float64(), rng.Float64(), rng.Float64() < 0.5
	// It rests on the edge of a crate on the floor, or of one on that.
	back, rest := (crateIn/2-0.05)*z.wide, 0.95*lowCrate*z.high
	if tall && !door {
		back, rest = 0.8*crateIn/2*z.wide-0.03*z.wide, (lowCrate+0.25)*z.high
	}
	if door {
		out, turn, aslant = 0.26+0.06*over, turn/2, aslant/3
	}
	foot := out * z.wide
	long := math.Hypot(foot-back, rest) * (1.06 + 0.24*over)
	size := sdf.V(z.plank, z.thick, long)
	switch {
	case door:
		size = sdf.V(z.door.X, 1.3*z.thick, math.Min(z.door.Y, 1.25*long))
	case kind < 0.25:
		size = sdf.V(z.beam, z.beam, long)
	}
	below := size.Y - g.foot // of its foot beyond the floor
	size.Z += below
	var f sdf.Field
	if door {
		f = z.leaf(s, seed, size)
	} else {
		f = z.timber(s, seed, sdf.V(size.Z, size.X, size.Y))
		f = sdf.Place(f, sdf.Turn(sdf.V(1, 1, 1), -120)) // along z, its width along x
	}
	lean := math.Atan2(foot-back, rest) * 180 / math.Pi
	lie := sdf.At(sdf.V(0, 0, size.Z/2-below)).Then(sdf.Turn(sdf.V(0, 1, 0), aslant)).Then(sdf.Turn(sdf.V(1, 0, 0), -lean)).
		Then(sdf.At(sdf.V(0, -foot, 0)))
	if side > 0 {
		lie = lie.Then(sdf.Turn(sdf.V(0, 0, 1), 180))
	}
	return sdf.Place(f, lie.Then(sdf.Turn(sdf.V(0, 0, 1), turn/4)).Then(sdf.At(sdf.V(at, 0, 0))))
}

// timber is a plank or a beam along x about its middle, with one end split off aslant.
func (z *heapSizes) timber(s *parts.Site, seed uint64, size r3.Vec) sdf.Field {
	grain := surface.Piece{Seed: seed, Half: r2.Vec{X: size.X / 2, Y: size.Y / 2}, Depth: 1.4 * s.Grain(), Most: 0.2 * size.Z}.Face(s, surface.Boards)
	f := relief.Carve(sdf.Box(size, 0.1*size.Z), grain)
	n := sdf.Turn(sdf.V(1, 0, 0), 360*chance(seed, 1)).Rotate(sdf.Turn(sdf.V(0, 0, 1), 50*chance(seed, 2)).Rotate(sdf.V(1, 0, 0)))
	return sdf.Intersection(f, sdf.HalfSpace(n, n.X*(size.X/2-0.4*size.Y)))
}

// leaf is a door about its middle, its height along z: stiles and rails about four panels, and
// a knob.
func (z *heapSizes) leaf(s *parts.Site, seed uint64, size r3.Vec) sdf.Field {
	stile := math.Max(0.14*size.X, s.Print.Gap)
	sunk := math.Min(s.Print.Relief, 0.2*size.Y)
	half := r3.Scale(0.5, size)
	var panels []sdf.Field
	for _, face := range [2]float64{-1, 1} {
		for _, x := range [2][2]float64{{-half.X + stile, -stile / 2}, {stile / 2, half.X - stile}} {
			for _, up := range [2][2]float64{{-half.Z + 1.6*stile, -0.05 * size.Z}, {0.05*size.Z + stile, half.Z - stile}} {
				a, b := face*(half.Y-sunk), face*(half.Y+1)
				panels = append(panels, sdf.BoxBetween(sdf.V(x[0], math.Min(a, b), up[0]), sdf.V(x[1], math.Max(a, b), up[1])))
			}
		}
	}
	knob := math.Max(s.OnPrint(35), 0.8*s.Print.Gap)
	f := sdf.Difference(sdf.Box(size, 0.1*size.Y), panels...)
	return sdf.Union(f, sdf.Place(sdf.Sphere(knob), sdf.At(sdf.V(half.X-0.6*stile, -half.Y, 0))),
		sdf.Place(sdf.Sphere(knob), sdf.At(sdf.V(half.X-0.6*stile, half.Y, 0))))
}

// box is a crate about its middle: boards let into a frame of battens.
func (z *heapSizes) box(s *parts.Site, seed uint64, size r3.Vec) sdf.Field {
	h := r3.Scale(0.5, size)
	short := math.Min(size.X, math.Min(size.Y, size.Z))
	b, d := math.Min(0.2*short, math.Max(s.OnPrint(90), 0.8*s.Print.Wall)), math.Min(s.Print.Relief, 0.1*short)
	boards := relief.NewPanels(seed, 3*size.X, math.Max(s.OnPrint(120), 3.5*s.Print.Gap), s.Print.Gap, 0.8*d, 0.3*d, 0)
	// Its top and its underside are flush: a panel sunk in them would be shut by what lies on it.
	core := relief.Carve(sdf.Box(r3.Sub(size, sdf.V(2*d, 2*d, 0)), 0), surface.AllRound(boards, 0))
	through := func(x, y, z float64) sdf.Field { return sdf.Box(sdf.V(2*x, 2*y, 2*z), 0) }
	const over = 1 // mm: beyond the outside
	frame := sdf.Difference(sdf.Box(size, 0.3*d), through(h.X+over, h.Y-b, h.Z-b), through(h.X-b, h.Y+over, h.Z-b))
	return surface.CutTop(sdf.Union(core, frame), h.Z, boards)
}

// Breaks gives boards and splinters.
func (b *Barricade) Breaks(s *parts.Site, patch *parts.Patch) []parts.Matter {
	z := b.settled(s)
	volume := b.fallen(patch, 0.2*z.wide*z.high)
	if volume == 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Boards, Unit: sdf.V(z.high, z.plank, z.thick), Volume: volume}}
}

// Remedies of a barricade.
func (b *Barricade) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(b)
	z := b.settled(s)
	switch {
	case t.Thin(), t.Hanging(), t.Trapped():
		r.Seeds(b.Seed)
		r.Scaled("width", "a wider heap", z.wide, 1.2, 1.4)
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the barricade, or the stand")
	}
	return r.All
}
