package wild

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/fracture"
	"socle/parts/planar"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// Hedge is a bank of earth along a line, with stones in its sides and a broken hedge on it.
type Hedge struct {
	course.Line
	Level  *parts.Level `key:"level" type:"level" doc:"finished level that it stands on; left out, the highest floor under the middle of its legs"`
	Height float64      `key:"height" type:"height" doc:"of the bank over its floor" default:"700 mm" min:"0.5" max:"100" source:"field banks of 0.6 to 1.5 m: common practice, no source"`
	Width  float64      `key:"width" type:"length" doc:"of the bank at its foot" default:"1 m" min:"1" max:"200" source:"about as wide as one and a half times its height: common practice, no source"`
	Growth float64      `key:"growth" type:"height" doc:"of the hedge over the bank; 0: none" default:"700 mm" min:"0" max:"150" source:"common practice, no source"`
	Gaps   float64      `key:"gaps" type:"number" doc:"0 a whole hedge .. 1 bare stems: how much of it has lost its leaves" default:"0.3" min:"0" max:"1"`
	Stones float64      `key:"stones" type:"number" doc:"0 none .. 1 stones all over its sides" default:"0.75" min:"0" max:"1"`
	Seed   uint64       `key:"seed" type:"seed" doc:"picks its stones and how it grows" default:"1"`
}

func init() {
	parts.Register(parts.Kind{
		Word: "hedge", Stage: parts.Fitting, Group: "Nature",
		Doc: "A bank of earth and stones along a line with a broken hedge on it: masses of leaves, and bare stems no thinner than a pin.",
		Example: `
[[hedge]]
line = [[2, 22], [30, 29], [62, 25]]
height = "480 mm"
width = "850 mm"
growth = "650 mm"

[[boulder]]
at = [[38, 11]]
size = "450 mm"
`,
		New: func() parts.Part { return &Hedge{} },
	})
}

// hedgeSizes are those of a hedge as it is drawn, mm.
type hedgeSizes struct {
	high, half float64 // of the bank, and half its width at the foot
	top        float64 // half its width at the top
	growth     float64
	stem       float64 // thickness of one
	step       float64 // from bush to bush
	stone      float64 // about how long a stone is
	notes      parts.Notes
}

// mostHedge bounds how many bushes and stones a hedge has.
const mostHedge = 3000

func (h *Hedge) settled(s *parts.Site) *hedgeSizes {
	return parts.Settled(s, h, func() *hedgeSizes {
		z := &hedgeSizes{notes: parts.Notes{Part: h.Name}}
		z.high = z.notes.AtLeast("height", h.Height, s.Print.Wall, "bank, a wall")
		z.half = z.notes.AtLeast("width", h.Width, 2.5*s.Print.Wall, "bank, two and a half walls") / 2
		z.top = 0.55 * z.half
		z.stem = 1.1 * s.Print.Pin
		if h.Growth > 0 {
			z.growth = z.notes.AtLeast("growth", h.Growth, 1.5*s.Print.Wall, "hedge, one and a half walls")
			z.stem = math.Max(z.stem, z.growth/10)
		}
		z.step = 1.15 * z.bush()
		z.stone = math.Max(s.OnPrint(220), 1.6*s.Print.Wall)
		return z
	})
}

// bush is the radius of a mass of leaves.
func (z *hedgeSizes) bush() float64 { return math.Max(0.95*z.top, 1.2*z.stem) }

// Notes say what is drawn larger than the scene gives it.
func (h *Hedge) Notes(s *parts.Site) []parts.Note { return h.settled(s).notes.List }

// outline is what it covers on the plan.
func (h *Hedge) outline(z *hedgeSizes) *parts.Area {
	return &parts.Area{Polygon: planar.Band(h.Points, z.half)}
}

// level is the floor that it stands on: the highest under the middles of its legs.
func (h *Hedge) level(s *parts.Site) (level float64, ok bool) {
	level = math.Inf(-1)
	for _, middle := range h.Middles() {
		at, on := s.StandingAt(h.Level, middle)
		if !on {
			return 0, false
		}
		level = math.Max(level, at)
	}
	return level, true
}

// Check reports lines that are none, that run too close to themselves, or that are too long.
func (h *Hedge) Check(s *parts.Site) []parts.Fault {
	if faults := h.Line.Check(s); len(faults) > 0 {
		return faults
	}
	const most = 200
	if n := len(h.Points); n > most {
		return h.Fault(fmt.Sprintf("has %d points", n), fmt.Sprintf("at most %d", most))
	}
	z := h.settled(s)
	if n := h.Length() * (1/z.step + 2.4*h.rows(z)/z.stone); n > mostHedge {
		return h.Fault(fmt.Sprintf("is so long that it takes %.0f bushes and stones", n), fmt.Sprintf("at most %d: a shorter line, or a larger hedge", mostHedge))
	}
	if len(h.outline(z).Check(h.Name, course.Key)) > 0 {
		return h.Fault("the sides of the bank run into each other", "longer legs, wider turns, or a narrower bank")
	}
	return nil
}

// CheckPlace reports a leg under which no floor lies.
func (h *Hedge) CheckPlace(s *parts.Site) []parts.Fault {
	return h.Stands(s, h.Level, h.Middles()...)
}

// rows is how many rows of stones its sides have, at most.
func (h *Hedge) rows(z *hedgeSizes) float64 {
	if h.Stones == 0 {
		return 0
	}
	return math.Max(1, math.Round(math.Hypot(z.high, z.half-z.top)/(0.72*z.stone)))
}

// Pieces counts bushes and stones, each for several.
func (h *Hedge) Pieces(s *parts.Site) int {
	z := h.settled(s)
	const bush = 40
	return 4 + int(h.Length()*(bush/z.step+2.4*h.rows(z)/z.stone))
}

// Solid is the bank with its stones and its hedge.
func (h *Hedge) Solid(s *parts.Site) sdf.Field {
	level, ok := h.level(s)
	if !ok {
		return sdf.Nothing()
	}
	z := h.settled(s)
	area := h.outline(z)
	rng := s.Rand(h.Name, h.Seed, "bank")
	foot := math.Min(level, s.BearingUnder(level, area.Outline()))
	rise := math.Atan2(z.high, z.half-z.top) * 180 / math.Pi
	sin, cos := planar.SinCos(rise)
	sides := &planar.Bank{Shape: area.Shape(), Box: area.Bounds(), At: level, Lo: foot - under, Hi: level + z.high + 1, Sin: sin, Cos: cos}
	lumps := relief.Sum(relief.NewFacets(rng.Uint64(), math.Max(3, z.half), 0.12*z.high, 0.1), surface.Soil(s, "earth", rng.Uint64()))
	top := relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), level+z.high), lumps)
	skin := relief.Sum(surface.Bank(s, "earth", rng.Uint64()), surface.Rough(rng.Uint64(), math.Max(4, z.half), math.Min(0.1*z.high, 0.08*z.half)))
	all := []sdf.Field{sdf.Intersection(relief.Carve(sides, skin), top)}
	for i, leg := range h.Legs(level) {
		leg.To -= leg.From
		leg.From = 0
		pose := course.Frame(leg)
		for _, f := range h.facing(s, z, s.Rand(h.Name, h.Seed+uint64(i), "stones"), leg.To, sdf.V(cos, sin, rise)) {
			all = append(all, sdf.Place(f, pose))
		}
		if z.growth == 0 {
			continue
		}
		grow := s.Rand(h.Name, h.Seed+uint64(i), "growth")
		n := math.Max(1, math.Round((leg.To-2*z.top)/z.step))
		for k := range int(n) {
			x := leg.To/2 + (leg.To-2*z.top)*((float64(k)+0.5)/n-0.5)
			at := sdf.V(x+between(grow, -0.15, 0.15)*z.step, between(grow, -0.15, 0.15)*z.top, 0)
			all = append(all, sdf.Place(h.bush(s, z, grow), sdf.At(at).Then(pose)))
		}
	}
	return footed(sdf.Union(all...), foot)
}

// facing are the stones in both sides of a leg: in rows, each with its broad face out.
func (h *Hedge) facing(s *parts.Site, z *hedgeSizes, rng *rand.Rand, long float64, slope r3.Vec) (all []sdf.Field) {
	rows := h.rows(z)
	for _, side := range [2]float64{-1, 1} {
		for r := range int(rows) {
			up := (float64(r) + 0.4) / (rows + 0.2) // of the way up the side
			n := int(long / (0.85 * z.stone))
			for k := range n {
				size := 0.5 * z.stone * between(rng, 0.75, 1.15)
				at := sdf.V(long*(float64(k)+0.5+0.5*float64(r%2)+between(rng, -0.2, 0.2))/float64(n),
					side*(z.half-(z.half-z.top)*up), z.high*up)
				flat, turn, seed, stays := between(rng, 0.2, 0.45), 360*rng.Float64(), rng.Uint64(), rng.Float64() < h.Stones
				planes := lump(rng, 0.6)
				if !stays || at.X < size || at.X > long-size {
					continue
				}
				planes[0].D = 0.8
				for i := range planes {
					planes[i].D *= size
				}
				stone := relief.Carve(solidOf(planes), surface.Rough(seed, math.Max(1, size), math.Min(s.Grain(), 0.1*size)))
				// Its broad face looks out of the side, drawn in by the rest of its height.
				pose := sdf.Turn(sdf.V(0, 0, 1), turn).Then(sdf.At(sdf.V(0, 0, -flat*size))).
					Then(sdf.Turn(sdf.V(1, 0, 0), -side*(slope.Z*0.8))).Then(sdf.At(at))
				all = append(all, sdf.Place(stone, pose))
			}
		}
	}
	return all
}

// bush is one of the hedge over z = 0, the floor of its bank: a mass of leaves, or bare
// stems where it has lost them.
func (h *Hedge) bush(s *parts.Site, z *hedgeSizes, rng *rand.Rand) sdf.Field {
	low := 0.45 * z.high // within the bank
	var all []sdf.Field
	leafless := rng.Float64() < h.Gaps
	stems := 2 + rng.IntN(2)
	if !leafless {
		stems = 1
	}
	turn := rng.Float64()
	for i := range stems {
		high := z.high + z.growth*between(rng, 0.35, 0.95)
		lean := between(rng, 6, 20)
		heading := 360 * (turn + float64(i)/float64(stems) + between(rng, -0.1, 0.1))
		cut := convex.Unit(sdf.V(between(rng, -0.8, 0.8), between(rng, -0.8, 0.8), 1))
		stem := sdf.Intersection(sdf.Cone(0.6*z.stem, 0.5*z.stem, high-low+z.stem), sdf.HalfSpace(cut, cut.Z*(high-low-0.4*z.stem)))
		if z.growth > 6*z.stem { // a fork
			b := sdf.Capsule(sdf.V(0, 0, 0.55*(high-low)), sdf.V(0.22*z.growth, 0, 0.55*(high-low)+0.3*z.growth), 0.5*z.stem)
			stem = sdf.Union(stem, b)
		}
		out := between(rng, 0.1, 0.5) * z.top
		all = append(all, sdf.Place(stem, sdf.Turn(sdf.V(0, 1, 0), lean).Then(sdf.At(sdf.V(out, 0, low))).Then(sdf.Turn(sdf.V(0, 0, 1), heading))))
	}
	share, wide := between(rng, 0.6, 1), z.bush()*between(rng, 0.85, 1.1)
	if leafless { // what is left lies about the foot
		share *= 0.3
	}
	all = append(all, foliage(s, rng, wide, z.high, z.high+share*z.growth))
	return sdf.Intersection(sdf.Union(all...), sdf.HalfSpace(sdf.V(0, 0, 1), z.high+z.growth))
}

// foliage is a mass of leaves from the top of a bank up to a height: a core that stands in
// the bank, with clumps on it whose middles lie in the core, so that none hangs.
func foliage(s *parts.Site, rng *rand.Rand, wide, bank, high float64) sdf.Field {
	tall := high - bank
	clump := math.Max(0.3*wide, 0.75*s.Print.Wall)
	core := wide - 0.55*clump
	peak := math.Max(high-clump, bank+0.65*tall)
	body := []sdf.Field{sdf.Revolve([]r2.Vec{{Y: 0.4 * bank}, {X: 0.7 * core, Y: 0.4 * bank}, {X: core, Y: bank + 0.25*tall},
		{X: 0.9 * core, Y: bank + 0.6*tall}, {X: 0.45 * core, Y: peak}, {Y: peak}})}
	const golden = 0.381966 // of a turn
	turn := rng.Float64()
	n := int(math.Max(7, math.Min(52, 3.2*(core*core+core*tall)/(clump*clump))))
	for i := range n {
		t := (float64(i) + 0.5) / float64(n) // of the way up
		r, z := 0.93*core, bank+t*(peak-bank)
		if over := (z - bank - 0.6*tall) / math.Max(1e-9, peak-bank-0.6*tall); over > 0 {
			r *= 0.95 - 0.6*over
		}
		spray := leaves(rng, clump*between(rng, 0.85, 1.1))
		body = append(body, sdf.Place(spray, sdf.At(sdf.V(r, 0, z)).Then(sdf.Turn(sdf.V(0, 0, 1), 360*(turn+golden*float64(i))))))
	}
	return relief.Carve(sdf.Union(body...), surface.Rough(rng.Uint64(), math.Max(s.OnPrint(45), 3*s.Print.Gap), math.Min(s.Print.Relief, 0.25*clump)))
}

// leaves are a spray of them about the origin, x out of the bush: a few flat faces, and an
// underside that falls back into the bush, so that nothing of it begins in the air.
func leaves(rng *rand.Rand, size float64) sdf.Field {
	const faces = 9
	planes := []convex.Plane{{N: convex.Unit(sdf.V(1, 0, -1)), D: 0.45 * size}, {N: convex.Unit(sdf.V(-1, 0, -0.4)), D: 1.1 * size}}
	turn := rng.Float64()
	for i := range faces {
		z := -0.15 + 1.1*(float64(i)+between(rng, 0.1, 0.9))/faces
		flat := math.Sqrt(math.Max(0, 1-z*z))
		sin, cos := math.Sincos(2 * math.Pi * (turn + 0.382*float64(i)))
		planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(flat*cos, flat*sin, z)), D: size * between(rng, 0.72, 1)})
	}
	return solidOf(planes)
}

// Bitten is what bites leave of it: its legs break apart in clods.
func (h *Hedge) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	z := h.settled(s)
	area := h.outline(z)
	level, ok := h.level(s)
	if !ok {
		return nil
	}
	work := h.Solid(s)
	box := area.Bounds()
	size := math.Max(fracture.Size(s, z.half/2, bites), 2*s.Print.Wall)
	b := fracture.Break{Work: work, Frame: sdf.At(sdf.V(0, 0, level)), Size: fracture.Even(size),
		Box:  r3.Box{Min: sdf.V(box.Min.X, box.Min.Y, work.Bounds().Min.Z-level), Max: sdf.V(box.Max.X, box.Max.Y, z.high+z.growth)},
		Held: func(q r3.Vec) bool { return q.Z < level+size }}
	return []parts.Remains{{Work: work, Taken: b.Taken(bites)}}
}

// Breaks gives stones and clods of its bank.
func (h *Hedge) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	z := h.settled(s)
	run := p.Run(h.Points, z.half)
	if p.Whole {
		run = h.Length()
	}
	if run == 0 {
		return nil
	}
	const kept = 0.3 // of a broken bank, in pieces: common practice, no source
	volume := kept * run * z.high * (z.half + z.top)
	if h.Stones == 0 {
		return []parts.Matter{{Form: parts.Clods, Volume: volume}}
	}
	return []parts.Matter{{Form: parts.Stones, Volume: h.Stones * volume}, {Form: parts.Clods, Volume: (1 - 0.9*h.Stones) * volume}}
}

// Extents are what it covers.
func (h *Hedge) Extents(s *parts.Site) []parts.Extent {
	return []parts.Extent{{Key: course.Key, Points: h.outline(h.settled(s)).Outline(), Closed: true}}
}

// Plan is the foot and the top of the bank.
func (h *Hedge) Plan(s *parts.Site) []parts.Stroke {
	z := h.settled(s)
	return []parts.Stroke{{Line: parts.LineEdge, Closed: true, Covers: true, Path: h.outline(z).Path()},
		{Line: parts.LineMass, Closed: true, Path: planar.Straight(planar.Band(h.Points, z.top)...)}}
}

// Measures is its height beside a person.
func (h *Hedge) Measures(s *parts.Site) []parts.Measure {
	z := h.settled(s)
	return parts.TallBeside(s, "height", "height", z.high+z.growth)
}

// Sights is the first stretch of it that the piece shows.
func (h *Hedge) Sights(l parts.Lookout) []parts.Sight {
	s := l.Site()
	z := h.settled(s)
	level, ok := h.level(s)
	if !ok {
		return nil
	}
	high := z.high + z.growth
	sides := h.Legs(level + high)
	for d := z.half; d < h.Length(); d += z.half {
		if sight, ok := parts.SightOf(l, h, planar.PointAt(sides, d), high, math.Max(2*z.half, l.Person()), z.half); ok {
			return []parts.Sight{sight}
		}
	}
	return nil
}

// Remedies of a hedge.
func (h *Hedge) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(h)
	z := h.settled(s)
	switch {
	case t.Thin():
		r.Scaled("gaps", "fewer bare stems", h.Gaps, 0.5, 0)
	case t.Hanging():
		r.Scaled("stones", "fewer stones", h.Stones, 0.5, 0)
		r.Scaled("width", "a wider bank", 2*z.half, 1.25, 1.5)
	case t.Of("stand", "rough-stand"):
		r.Words("line", "move the hedge, or the stand")
	}
	return r.All
}
