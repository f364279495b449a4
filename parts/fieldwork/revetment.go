package fieldwork

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// The words for what a revetment is of.
const (
	ofBoards = "boards"
	ofWattle = "wattle"
	ofSheet  = "sheet"
)

// Revetment is a lining behind stakes that holds earth up.
type Revetment struct {
	Line
	Height  float64 `key:"height" type:"height" doc:"over its floor" default:"1.2 m" min:"1" max:"100" source:"common practice, no source"`
	Of      string  `key:"of" type:"word" doc:"upright boards, rods woven between stakes, or corrugated sheet of 76 mm pitch and 18 mm depth" default:"boards" words:"boards,wattle,sheet" source:"the corrugation: trade figures, from memory"`
	Lean    float64 `key:"lean" type:"angle" doc:"how far it leans back, to the left of the line as it runs; its stakes are on the right" default:"6" min:"0" max:"30" source:"common practice, no source"`
	Spacing float64 `key:"spacing" type:"length" doc:"from stake to stake at most" default:"900 mm" min:"1" max:"200" source:"common practice, no source"`
	Stake   float64 `key:"stake" type:"length" doc:"thickness of a stake" default:"80 mm" min:"0.2" max:"20" source:"common practice, no source"`
	Wear    float64 `key:"wear" type:"number" doc:"0 new .. 1: how uneven and dented it is" default:"0.4" min:"0" max:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "revetment", Stage: parts.Fitting, Group: "Fieldworks",
		Doc: "Boards, wattle or corrugated sheet behind stakes, leaning back a little.",
		Example: `
[ground]
size = [64, 48]
level = "floor"
of = "mud"

[[revetment]]
line = [[54, 31], [34, 33], [10, 23]]
of = "wattle"
height = "1 m"

[[duckboards]]
line = [[10, 12], [32, 20], [58, 20]]
width = "550 mm"
`,
		New: func() parts.Part { return &Revetment{} },
	})
}

// revetSizes are those of a revetment as it is drawn, mm.
type revetSizes struct {
	high    float64
	stake   float64
	spacing float64
	thick   float64 // of the lining, over its corrugations
	leaf    float64 // of a sheet or a core
	pitch   float64 // of corrugations, boards or rods
	wave    float64 // depth of the corrugations
	back    float64 // how far its head lies behind its foot
	proud   float64 // how far its stakes stand out of it
	notes   parts.Notes
}

func (v *Revetment) settled(s *parts.Site) *revetSizes {
	return parts.Settled(s, v, func() *revetSizes {
		z := &revetSizes{notes: parts.Notes{Part: v.Name}}
		z.high = z.notes.AtLeast("height", v.Height, 3*s.Print.Wall, "revetment, three walls")
		z.stake = z.notes.AtLeast("stake", v.Stake, s.Print.Pin, "pin")
		z.spacing = math.Max(v.Spacing, 3*z.stake)
		z.back = z.high * math.Tan(v.Lean*math.Pi/180)
		z.proud = 0.65 * z.stake
		switch v.Of {
		case ofSheet:
			const pitch, depth = 76, 18 // full-size mm: trade figures, from memory
			z.pitch = math.Max(s.OnPrint(pitch), 3*s.Print.Gap)
			z.wave = math.Max(s.OnPrint(depth), s.Print.Relief)
			z.leaf = 1.15 * s.Print.Wall
			z.thick = z.leaf + z.wave
			z.proud = 0.3 * z.stake
		case ofWattle:
			const rod = 40 // full-size mm: common practice, no source
			z.pitch = math.Max(s.OnPrint(rod), math.Max(2.6*s.Print.Relief, 1.05*s.Print.Pin))
			z.leaf = 0.55 * s.Print.Wall // the rods on both sides thicken it
			z.thick = math.Max(0.8*z.stake, z.leaf) + 1.4*z.pitch
			z.proud = 0
		default:
			const board, thick = 150, 32 // full-size mm: common practice, no source
			z.pitch = math.Max(s.OnPrint(board), 4*s.Print.Gap)
			z.leaf = math.Max(s.OnPrint(thick), s.Print.Wall)
			z.thick = 1.15 * z.leaf
		}
		return z
	})
}

// Notes say what is drawn larger than the scene gives it.
func (v *Revetment) Notes(s *parts.Site) []parts.Note { return v.settled(s).notes.List }

func (v *Revetment) across(s *parts.Site) (wide, high float64) {
	z := v.settled(s)
	return z.thick + z.proud + z.back, z.high
}

func (v *Revetment) unit(s *parts.Site) (long float64, abreast int) {
	z := v.settled(s)
	if v.Of == ofWattle {
		return z.spacing / sails, 1 + int(z.high/z.pitch)
	}
	return z.pitch, 2
}

// sails is how many uprights wattle has for each stake of the spacing. Common practice, no
// source.
const sails = 3

func (v *Revetment) bodies(s *parts.Site) (all []body) {
	z := v.settled(s)
	for _, g := range v.legs(s) {
		rng := s.Rand(v.Name, v.Seed+uint64(g.n), "bays")
		// The lining stands in a frame of its own, its foot on y = 0 and leaning back.
		lie := sdf.Turn(sdf.V(1, 0, 0), -v.Lean).Then(sdf.At(sdf.V(0, z.proud/2-z.back/2, 0)))
		b := bays{v: v, z: z, s: s, low: g.foot - 0.5*z.thick, top: z.high / math.Cos(v.Lean*math.Pi/180)}
		// The corners that the lean lifts go no higher than it is told to.
		b.top -= z.thick / 2 * math.Tan(v.Lean*math.Pi/180)
		pose := lie.Then(g.pose)
		n := math.Max(1, math.Ceil(g.long/z.spacing-parts.Nearly))
		for i := range int(n) {
			from, to := g.long*float64(i)/n, g.long*float64(i+1)/n
			solids := b.lining(rng.Uint64(), from, to, i == int(n)-1)
			in := math.Min(1.2*z.stake, (to-from)/3) // of the ends of the lining
			if v.Of == ofWattle {
				in = z.stake / 2 // rods end at a sail
			}
			solids = append(solids, b.stake(rng.Uint64(), math.Max(from, in)))
			if i == int(n)-1 {
				solids = append(solids, b.stake(rng.Uint64(), to-in))
			}
			all = append(all, body{solid: sdf.Place(sdf.Union(solids...), pose), frame: pose,
				box: r3.Box{Min: sdf.V(from, -z.thick/2, g.foot), Max: sdf.V(to, z.thick/2, b.top)}})
		}
	}
	return all
}

// bays makes the bays of one leg, in the frame of the lining.
type bays struct {
	v        *Revetment
	z        *revetSizes
	s        *parts.Site
	low, top float64
}

// chance is a number of a seed, 0 to 1.
func chance(seed uint64, k int64) float64 { return float64(sdf.Hash(seed, k, 0, 5)&0xffff) / 0xffff }

// stake is one, in front of the lining or in the middle of it, with an axe-cut head.
func (b *bays) stake(seed uint64, at float64) sdf.Field {
	z := b.z
	y := -z.thick/2 - z.proud + z.stake/2
	if b.v.Of == ofWattle {
		y = 0
	}
	top := b.top - 0.5*z.stake*chance(seed, 1)
	return sdf.Place(pole(b.s, seed, z.stake, b.low, top, 20), sdf.At(sdf.V(at, y, 0)))
}

// pole is a round piece of wood in seven faces about the axis, with a head cut aslant.
func pole(s *parts.Site, seed uint64, thick, low, top, aslant float64) sdf.Field {
	const faces = 7
	var section []r2.Vec
	for i := range faces {
		sin, cos := planar.SinCos(360 / faces * (float64(i) + 0.3*chance(seed, int64(i))))
		section = append(section, r2.Vec{X: thick / 2 * cos, Y: thick / 2 * sin})
	}
	bark := relief.Place(relief.NewFacets(seed, math.Max(0.9, 0.7*thick), math.Min(1.6*s.Grain(), 0.1*thick), 0.1), sdf.Turn(sdf.V(1, 1, 1), -120))
	cut := sdf.Turn(sdf.V(0, 0, 1), 360*chance(seed, 9)).Rotate(sdf.Turn(sdf.V(0, 1, 0), aslant).Rotate(sdf.V(0, 0, 1)))
	return sdf.Intersection(relief.Carve(sdf.Prism(section, low, top), bark), sdf.HalfSpace(cut, cut.Z*(top-0.15*thick)))
}

// lining is that of one bay, the last of its leg or not.
func (b *bays) lining(seed uint64, from, to float64, last bool) []sdf.Field {
	switch b.v.Of {
	case ofWattle:
		return b.wattle(seed, from, to)
	case ofSheet:
		if !last { // it laps the next
			to += 0.5 * b.z.pitch
		}
		return b.sheet(seed, from, to)
	}
	return b.boards(seed, from, to)
}

// boards stand side by side, each a little off the others, with a pole across them behind
// the stakes.
func (b *bays) boards(seed uint64, from, to float64) (all []sdf.Field) {
	z, wear := b.z, b.v.Wear
	n := math.Max(1, math.Round((to-from)/z.pitch))
	wide := (to - from) / n
	for i := range int(n) {
		k := sdf.Hash(seed, int64(i), 0, 6)
		top := b.top - wear*chance(k, 1)*math.Min(0.12*b.top, 2*wide)
		half := r2.Vec{X: (top - b.low) / 2, Y: wide / 2}
		grain := surface.Piece{Seed: k, Half: half, Depth: 1.4 * b.s.Grain(), Most: 0.25 * z.leaf}.Face(b.s, surface.Boards)
		plain := sdf.Box(sdf.V(1.02*wide, z.leaf, 2*half.X), math.Min(0.5*b.s.Print.Gap, 0.2*z.leaf))
		board := relief.Carve(plain, relief.Place(grain, sdf.Turn(sdf.V(1, 1, 1), -120)))
		lie := sdf.Turn(sdf.V(0, 1, 0), wear*1.2*(2*chance(k, 2)-1)).
			Then(sdf.At(sdf.V(from+wide*(float64(i)+0.5), (z.thick-z.leaf)/2*(2*chance(k, 3)-1), (top+b.low)/2)))
		if chance(k, 4) < 0.4*wear { // its head is split off
			tip := sdf.Turn(sdf.V(0, 1, 0), 50*(2*chance(k, 5)-1)).Rotate(sdf.V(0, 0, 1))
			board = sdf.Intersection(board, sdf.HalfSpace(tip, tip.Z*(half.X-0.3*wide)))
		}
		all = append(all, sdf.Place(board, lie))
	}
	// One pole behind the stakes, so far down that no head is below it.
	r := 0.4 * z.stake
	tip := sdf.Turn(sdf.V(0, 1, 0), 90+1.5*(2*chance(seed, 7)-1)).Then(sdf.At(sdf.V((from+to)/2, -z.thick/2+0.1*r, 0.68*b.top)))
	return append(all, sdf.Place(pole(b.s, seed+1, 2*r, (from-to)/2, (to-from)/2, 0), tip))
}

// wattle is rods that run before and behind the sails in turn, about a core that closes it.
func (b *bays) wattle(seed uint64, from, to float64) (all []sdf.Field) {
	z := b.z
	all = append(all, sdf.BoxBetween(sdf.V(from, -z.leaf/2, b.low), sdf.V(to, z.leaf/2, b.top-1.5*z.pitch)))
	step := (to - from) / sails
	sail := 0.8 * z.stake
	for i := 1; i < sails; i++ {
		k := sdf.Hash(seed, int64(i), 0, 8)
		all = append(all, sdf.Place(pole(b.s, k, sail, b.low, b.top-0.7*sail*chance(k, 1), 15), sdf.At(sdf.V(from+step*float64(i), 0, 0))))
	}
	r := z.pitch / 2
	out := (z.thick - z.pitch) / 2
	rows := int((b.top - r) / (0.94 * z.pitch))
	for j := range rows {
		up := r*0.6 + 0.94*z.pitch*float64(j)
		if up > b.top-1.5*z.pitch {
			break
		}
		for i := range sails {
			// Beside sail i on one side, beside the next on the other.
			side := out * float64(1-2*((i+j)%2))
			high := func(i int) float64 { return up + 0.2*r*(2*chance(sdf.Hash(seed, int64(i), int64(j), 10), 1)-1) }
			a, c := sdf.V(from+step*float64(i), side, high(i)), sdf.V(from+step*float64(i+1), -side, high(i+1))
			// Lowest where the core holds it: no part of it begins in the air.
			mid := sdf.V((a.X+c.X)/2, 0, math.Min(a.Z, c.Z)-0.06*r-out*math.Tan(b.v.Lean*math.Pi/180))
			all = append(all, sdf.Capsule(a, mid, r), sdf.Capsule(mid, c, r))
		}
	}
	return all
}

// sheet is a corrugated sheet, dented, a little off the next.
func (b *bays) sheet(seed uint64, from, to float64) []sdf.Field {
	z, wear := b.z, b.v.Wear
	const steps = 8 // along a corrugation
	n := int(math.Ceil((to - from) / z.pitch * steps))
	var outline []r2.Vec
	at := func(i int, side float64) r2.Vec {
		x := from + (to-from)*float64(i)/float64(n)
		sin, _ := planar.SinCos(360 * x / z.pitch)
		return r2.Vec{X: x, Y: z.wave/2*sin + side*z.leaf/2}
	}
	for i := range n + 1 {
		outline = append(outline, at(i, -1))
	}
	for i := n; i >= 0; i-- {
		outline = append(outline, at(i, 1))
	}
	top := b.top - wear*chance(seed, 1)*0.08*b.top
	sheet := sdf.Prism(outline, b.low, top)
	dents := relief.Place(relief.NewFacets(seed, math.Max(2.2*z.pitch, 3), wear*math.Min(b.s.Print.Relief, 0.2*z.leaf), 0.3), sdf.Turn(sdf.V(1, 1, 1), -120))
	f := relief.Carve(sheet, dents)
	for i := range 1 + int(3*wear) { // bites of rust and knocks out of its top
		at := from + (to-from)*chance(seed, int64(20+i))
		r := z.pitch * (0.3 + 0.6*chance(seed, int64(30+i)))
		if wear > 0 {
			lie := sdf.Turn(sdf.V(0, 1, 0), 30+30*chance(seed, int64(40+i))).Then(sdf.At(sdf.V(at, 0, top+0.4*r)))
			f = sdf.Difference(f, sdf.Place(sdf.Box(sdf.V(2*r, 4*z.thick, 2*r), 0), lie))
		}
	}
	return []sdf.Field{f}
}

// Breaks gives what it is lined with.
func (v *Revetment) Breaks(s *parts.Site, patch *parts.Patch) []parts.Matter {
	z := v.settled(s)
	volume := v.fallen(patch, 0.5*z.leaf*z.high)
	if volume == 0 {
		return nil
	}
	if v.Of == ofSheet {
		return []parts.Matter{{Form: parts.Plates, Unit: sdf.V(z.high, 8*z.pitch, s.Print.Wall), Volume: volume}}
	}
	return []parts.Matter{{Form: parts.Boards, Unit: sdf.V(z.high, z.pitch, math.Max(z.leaf, s.Print.Wall)), Volume: volume}}
}

// Remedies of a revetment.
func (v *Revetment) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(v)
	z := v.settled(s)
	switch {
	case t.Thin():
		r.Scaled("stake", "thicker stakes", z.stake, 1.25, 1.5)
		r.Scaled("wear", "less worn", v.Wear, 0.5, 0)
	case t.Hanging():
		r.Scaled("lean", "less lean", v.Lean, 0.5, 0)
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the revetment, or the stand")
	}
	return r.All
}
