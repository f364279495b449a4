// Package scenestest draws random scenes, for tests.
package scenestest

import (
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"

	"socle/parts"
	"socle/scenes"
)

// A random scene is drawn kind by kind, each from a random stream of its own, in the
// order of rows; kinds without a row come last, by their keys. Of those, each refers to,
// and stands on, kinds with rows only. So a new kind leaves what a seed gave of the others
// as it was.

// row is how the parts of a kind are drawn: up to most of them, each with a chance.
type row struct {
	word   string
	most   int
	chance float64
	draw   func(s *sketch)
}

var rows = []row{
	{"deck", 2, 0.5, (*sketch).deck},
	{"stair", 1, 0.5, (*sketch).stair},
	{"wall", 2, 0.4, (*sketch).wall},
	{"column", 2, 0.4, (*sketch).column},
	{"paving", 2, 0.45, (*sketch).paving},
	{"rail", 2, 0.4, (*sketch).rail},
	{"crater", 2, 0.45, (*sketch).crater},
	{"gouge", 2, 0.35, (*sketch).gouge},
	{"breach", 2, 0.7, (*sketch).breach},
	{"spill", 2, 0.4, (*sketch).spill},
	{"trim", 1, 0.35, (*sketch).trim},
	{"storey", 1, 0.4, (*sketch).storey},
	{"roof", 1, 0.4, (*sketch).roof},
	{"collapse", 1, 0.6, (*sketch).collapse},
	{"pockmarks", 2, 0.4, (*sketch).pockmarks},
}

// narrowed are the kinds that a damage may be narrowed to, or spare.
var narrowed = []string{"deck", "stair", "wall", "column", "paving", "rail"}

// Block is the text of one part, or of a variant.
type Block struct {
	kind, name, text string
	length, height   float64 // of a wall, mm
}

// Drawn is a random scene: its head and its parts.
type Drawn struct {
	Cell   float64 // mm, what to build it at
	Blocks []Block // in the order that they were drawn in
	head   string
	plot   *plot
}

// draws is how often the parts of a kind are drawn until they keep the rules.
const draws = 200

// Text is the scene.
func (d *Drawn) Text() string { return d.Without() }

// Without is the scene without the parts of some kinds.
func (d *Drawn) Without(kinds ...string) string {
	text := d.head
	for _, b := range d.Blocks {
		if !slices.Contains(kinds, b.kind) {
			text += b.text
		}
	}
	return text
}

// Of gives the parts of some kinds, in the order that they were drawn in.
func (d *Drawn) Of(kinds ...string) (all []Block) {
	for _, b := range d.Blocks {
		if slices.Contains(kinds, b.kind) {
			all = append(all, b)
		}
	}
	return all
}

// Draw draws a scene of all kinds that reads without fault. Each is drawn once: several tests
// build the same ones.
func Draw(seed uint64) *Drawn {
	once, _ := drawn.LoadOrStore(seed, sync.OnceValue(func() *Drawn { return DrawOf(seed, parts.Kinds()) }))
	d := *once.(func() *Drawn)()
	return &d
}

// drawn has what draws each scene once, by its seed.
var drawn sync.Map

// DrawOf draws one of some kinds.
func DrawOf(seed uint64, kinds []*parts.Kind) *Drawn { return drawKinds(seed, rows, kinds) }

// drawKinds draws a scene of some kinds, those without a row by their keys. These are drawn
// beside the scene as it is; where one of its variants then breaks a rule, they are drawn again
// beside every variant, which takes several times as long.
func drawKinds(seed uint64, rows []row, kinds []*parts.Kind) *Drawn {
	d := drawRows(seed, rows, kinds)
	more := *d
	more.byKeys(rows, kinds, false)
	if len(d.Of("variant")) > 0 && !reads(d.plot, more.Blocks) {
		more = *d
		more.byKeys(rows, kinds, true)
	}
	return &more
}

// drawRows draws the kinds that have rows, and variants.
func drawRows(seed uint64, rows []row, kinds []*parts.Kind) *Drawn {
	p := newPlot(seed)
	d := &Drawn{Cell: p.cell, head: p.head, plot: p}
	if !d.add("base", draws, d, (*sketch).bases) {
		panic(fmt.Sprintf("seed %d: %d draws of its bases, and all of them break rules\n%s", seed, draws, d.head))
	}
	for _, r := range rows {
		if slices.ContainsFunc(kinds, func(k *parts.Kind) bool { return k.Word == r.word }) {
			d.add(r.word, draws, d, func(s *sketch) { s.many(r.most, r.chance, r.draw) })
		}
	}
	d.add("variant", 1, d, (*sketch).variants)
	return d
}

// byKeys draws the kinds that have no row, beside the variants or beside the scene alone.
func (d *Drawn) byKeys(rows []row, kinds []*parts.Kind, varied bool) {
	variants := d.Of("variant")
	if !varied {
		d.Blocks = slices.DeleteFunc(slices.Clone(d.Blocks), func(b Block) bool { return b.kind == "variant" })
	}
	rowed := *d
	for _, k := range kinds {
		if k.Word == "base" || k.Word == "ground" || slices.ContainsFunc(rows, func(r row) bool { return r.word == k.Word }) {
			continue
		}
		d.add(k.Word, draws, &rowed, func(s *sketch) { s.many(2, 0.5, func(s *sketch) { s.byKeys(k) }) })
	}
	if !varied {
		d.Blocks = slices.Insert(d.Blocks, len(rowed.Blocks), variants...)
	}
}

// add draws the parts of a kind, again from the kind's next stream where they break a
// rule, as a rail that finds no edge may: beside those drawn before, and beside some of
// those alone. It says whether a draw kept them all.
func (d *Drawn) add(kind string, draws int, some *Drawn, draw func(s *sketch)) bool {
	for try := range draws {
		s := &sketch{Rand: stream(d.plot.seed, kind, try), plot: d.plot, kind: kind, before: some}
		draw(s)
		if len(s.blocks) == 0 {
			return true
		}
		all := slices.Concat(d.Blocks, s.blocks)
		if reads(d.plot, slices.Concat(some.Blocks, s.blocks)) && (len(some.Blocks) == len(d.Blocks) || reads(d.plot, all)) {
			d.Blocks = all
			return true
		}
	}
	return false
}

// reads says whether a scene keeps all rules.
func reads(p *plot, blocks []Block) bool {
	text := (&Drawn{head: p.head, Blocks: blocks}).Text()
	_, err := scenes.Read("random.toml", []byte(text), nil)
	if err != nil && strings.Contains(err.Error(), "fault of socle") {
		panic(fmt.Sprintf("seed %d: %v\n%s", p.seed, err, text))
	}
	return err == nil
}

// stream is a kind's own random stream.
func stream(seed uint64, kind string, try int) *rand.Rand {
	h := fnv.New64a()
	fmt.Fprintf(h, "%d\x00%s", seed, kind)
	return rand.New(rand.NewPCG(h.Sum64(), uint64(try)))
}

// plot is what all kinds share: the ground, the levels, and coordinates, so that parts
// share planes, edges and centres.
type plot struct {
	seed         uint64
	cell, height float64 // of the mesh and of every rim, mm
	low, high    float64 // levels
	xs, ys       []float64
	head         string
}

const plotWide, plotDeep = 76.0, 64.0 // mm

func newPlot(seed uint64) *plot {
	p := &plot{seed: seed}
	s := &sketch{Rand: stream(seed, "scene", 0), plot: p}
	p.cell = pick(s, 0.5, 0.6, 0.8)
	p.height = pick(s, 3.0, 4, 6)
	p.low = pick(s, 0, 3.0, s.onPlane(2))
	p.high = p.low + pick(s, 2.0, s.onPlane(4)-p.height, s.between(1.2, 5))
	if p.high < p.low+0.8 {
		p.high = p.low + 0.8
	}
	p.high = round4(p.high)
	p.xs, p.ys = []float64{plotWide / 2}, []float64{plotDeep / 2}
	for range 6 {
		p.xs, p.ys = append(p.xs, s.x()), append(p.ys, s.y())
	}
	p.head = fmt.Sprintf("seed = %d\n[scale]\nratio = %g\n[levels]\nlow = %g\nhigh = %g\n",
		s.IntN(1000), pick(s, 56.0, 72, 100, 285), p.low, p.high)
	s.ground()
	return p
}

// sketch draws the parts of one kind.
type sketch struct {
	*rand.Rand
	*plot
	kind   string
	before *Drawn // what was drawn before
	blocks []Block
}

// many draws up to most parts, each with a chance.
func (s *sketch) many(most int, chance float64, draw func(s *sketch)) {
	for range most {
		if s.chance(chance) {
			draw(s)
		}
	}
}

func pick[T any](s *sketch, from ...T) T { return from[s.IntN(len(from))] }

func (s *sketch) chance(p float64) bool { return s.Float64() < p }

// between is a length on a grid of 0.05 mm or, now and then, on a finer one.
func (s *sketch) between(lo, hi float64) float64 {
	v := lo + s.Float64()*(hi-lo)
	grid := 20.0
	if s.chance(0.3) {
		grid = 10_000
	}
	return math.Round(v*grid) / grid
}

// onPlane is a coordinate near v on a grid plane of the mesher, whose planes lie
// 0.37 of a cell off zero, in the coordinates of a base.
func (s *sketch) onPlane(v float64) float64 { return round4((math.Round(v/s.cell) + 0.37) * s.cell) }

func round4(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// along is a coordinate of the plan: often one that the scene shares, or on a
// grid plane of a base in the middle.
func (s *sketch) along(shared []float64, most float64) float64 {
	v := s.between(4, most-4)
	switch {
	case s.chance(0.25):
		v = shared[s.IntN(len(shared))]
	case s.chance(0.25):
		v = most/2 + s.onPlane(v-most/2)
	case s.chance(0.2):
		v = shared[s.IntN(len(shared))] + pick(s, -5.0, -2, 2, 5)
	}
	return round4(max(1, min(most-1, v)))
}

func (s *sketch) x() float64 { return s.along(s.xs, plotWide) }
func (s *sketch) y() float64 { return s.along(s.ys, plotDeep) }

// table is the text of one part.
type table struct{ strings.Builder }

func (t *table) set(key, format string, args ...any) {
	fmt.Fprintf(t, "%s = %s\n", key, fmt.Sprintf(format, args...))
}

// part draws a part with the keys that are set, and gives its block.
func (s *sketch) part(keys func(t *table)) *Block {
	t := &table{}
	b := Block{kind: s.kind, name: fmt.Sprintf("%s-%d", s.kind, len(s.blocks)+1)}
	fmt.Fprintf(t, "\n[[%s]]\nname = %q\n", b.kind, b.name)
	keys(t)
	b.text = t.String()
	s.blocks = append(s.blocks, b)
	return &s.blocks[len(s.blocks)-1]
}

// area is a region of the plan, often large, some of it over the edge of the plot.
func (s *sketch) area() string {
	x, y, w, d := s.x(), s.y(), s.between(8, 40), s.between(8, 40)
	switch s.IntN(5) {
	case 0:
		return fmt.Sprintf("{ round = [%g, %g, %g] }", x, y, w)
	case 1:
		return fmt.Sprintf("{ oval = [%g, %g, %g, %g], turn = %g }", x, y, max(w, d), min(w, d), s.turn())
	case 2:
		return fmt.Sprintf("{ polygon = [[%g, %g], [%g, %g], [%g, %g], [%g, %g]] }", x, y, x+w, y+1, x+w/2, y+d/2, x+1, y+d)
	case 3:
		return fmt.Sprintf("{ rect = [%g, %g, %g, %g], turn = %g }", x-w/2, y-d/2, w, d, s.turn())
	}
	return fmt.Sprintf("{ rect = [%g, %g, %g, %g] }", x-w/2, y-d/2, w, d)
}

func (s *sketch) turn() float64 { return pick(s, 0, 0, 90, 45, 30, s.between(-180, 180)) }

func (s *sketch) level() string { return pick(s, "low", "low", "high") }

func (s *sketch) ground() {
	head := fmt.Sprintf("[ground]\nsize = [%g, %g]\nlevel = \"low\"\n", plotWide, plotDeep)
	if s.chance(0.4) {
		head += fmt.Sprintf("surface = \"uneven\"\nwavelength = %g\nseed = %d\n", s.between(6, 20), s.IntN(100))
	}
	for _, side := range []struct {
		word  string
		level float64
	}{{"sunk", round4(s.low - s.between(0.5, 1.5))}, {"raised", s.high}} {
		if s.chance(0.25) {
			head += fmt.Sprintf("[[ground.%s]]\narea = %s\nlevel = %g\nbank = %g\n", side.word, s.area(), side.level, pick(s, 90.0, 45, s.between(30, 90)))
		}
	}
	soils := []string{"earth", "gravel", "ballast", "mud", "sand", "cinders", "rock", "plain"}
	s.head += strings.Replace(head, "[ground]\n", fmt.Sprintf("[ground]\nof = %q\n", pick(s, soils...)), 1)
}

func (s *sketch) deck() {
	s.part(func(t *table) {
		t.set("level", "%q", "high")
		t.set("area", "%s", s.area())
		t.set("thickness", "%g", s.between(1, 2.5))
		t.set("on", "%q", pick(s, "piers", "walls", "solid"))
		t.set("spacing", "%g", s.between(5, 12))
		t.set("pier", "%g", s.between(1, 2.5))
		t.set("edge", "%q", pick(s, "plain", "kerb", "nosing"))
		t.set("soffit", "%q", pick(s, "flat", "beams"))
		t.set("material", "%q", pick(s, "stone", "concrete", "timber", "plate"))
	})
}

func (s *sketch) stair() {
	s.part(func(t *table) {
		t.set("from", "%q", "low")
		t.set("to", "%q", "high")
		t.set("head", "[%g, %g]", s.x(), s.y())
		t.set("facing", "%s", pick(s, `"north"`, `"east"`, `"south-west"`, fmt.Sprintf("%g", s.turn())))
		t.set("width", "%g", s.between(4, 12))
		t.set("profile", "%q", "free")
		t.set("risers", "%d", 1+s.IntN(6))
		t.set("going", "%g", s.between(1, 3))
		t.set("nosing", "%g", pick(s, 0, 0, 0.3))
		t.set("side", "%q", pick(s, "solid", "solid", "open"))
		t.set("flanks", "%q", pick(s, "none", "string", "wall"))
		t.set("wear", "%g", pick(s, 0, 0.5, 1))
		if s.chance(0.4) {
			t.set("arris", "%g", pick(s, 0.1, 0.3, 2))
		}
		s.surface(t, "rubbed", "tooled", "rock-faced", "concrete", "boards", "plate", "plain")
	})
}

func (s *sketch) wall() {
	var length, height float64
	b := s.part(func(t *table) {
		x, y := s.x(), s.y()
		line := fmt.Sprintf("[%g, %g]", x, y)
		for range 1 + pick(s, 0, 0, 0, 1, 1) {
			toX, toY := s.x(), s.y()
			length += math.Hypot(toX-x, toY-y)
			x, y = toX, toY
			line += fmt.Sprintf(", [%g, %g]", x, y)
		}
		height = s.between(2, 8)
		t.set("line", "[%s]", line)
		t.set("from", "%q", s.level())
		t.set("height", "%g", height)
		t.set("thickness", "%g", s.between(1, 3))
		t.set("coursing", "%q", pick(s, "none", "block", "ashlar"))
		t.set("coping", "%q", pick(s, "none", "flat"))
		t.set("ruin", "%g", pick(s, 0, 0.4, 1))
		if s.chance(0.4) {
			t.set("opening", "[{ at = %g, width = %g, sill = %g, head = %g }]", s.between(4, 8), s.between(1, 3), pick(s, 0, 1.0), s.between(1.5, 2))
		}
		s.surface(t, "rubbed", "tooled", "rock-faced", "brick", "concrete", "render", "plain")
	})
	b.length, b.height = length, height
}

func (s *sketch) column() {
	s.part(func(t *table) {
		t.set("at", "[[%g, %g], [%g, %g]]", s.x(), s.y(), s.x(), s.y())
		t.set("level", "%q", s.level())
		t.set("height", "%g", s.between(3, 10))
		t.set("diameter", "%g", s.between(1.5, 5))
		t.set("base", "%q", pick(s, "none", "plinth", "moulded"))
		t.set("capital", "%q", pick(s, "none", "plain", "moulded"))
		t.set("flutes", "%d", pick(s, 0, 0, 12))
		t.set("broken", "%g", pick(s, 0, 0.5, 1))
	})
}

func (s *sketch) paving() {
	s.part(func(t *table) {
		t.set("level", "%q", s.level())
		t.set("area", "%s", s.area())
		t.set("bond", "%q", pick(s, "stack", "running", "herringbone", "basketweave", "hexagonal", "random"))
		long := s.between(3, 8)
		t.set("stone", "[%g, %g]", long, pick(s, long, long/2))
		t.set("thickness", "%g", s.between(0.4, 2))
		t.set("joint", "%g", pick(s, 0.3, 0.5))
		t.set("turn", "%g", s.turn())
		t.set("wear", "%g", pick(s, 0, 0.3, 1))
		t.set("seed", "%d", s.IntN(100))
		s.surface(t, "rubbed", "tooled", "rock-faced", "domed", "brick", "concrete", "boards", "plate", "plain")
		if s.chance(0.3) {
			t.set("path", "[[%g, %g], [%g, %g]]", s.x(), s.y(), s.x(), s.y())
		}
	})
}

// surface gives a part one of the surfaces in every other draw; else it has its usual one.
func (s *sketch) surface(t *table, words ...string) {
	if word := pick(s, words...); s.chance(0.5) {
		t.set("surface", "%q", word)
	}
}

func (s *sketch) rail() {
	s.part(func(t *table) {
		along, edge := s.before.Of(pick(s, "", "", "stair", "deck")), pick(s, "open", "all")
		line := fmt.Sprintf("[[%g, %g], [%g, %g], [%g, %g]]", s.x(), s.y(), s.x(), s.y(), s.x(), s.y())
		switch level := s.level(); {
		case len(along) > 0 && along[0].kind == "stair":
			t.set("along", "%q", along[0].name)
		case len(along) > 0:
			t.set("along", "%q", along[0].name)
			t.set("edge", "%q", edge)
		default:
			t.set("line", "%s", line)
			t.set("level", "%q", level)
		}
		t.set("height", "%g", s.between(3, 7))
		t.set("spacing", "%g", s.between(3, 9))
		t.set("infill", "%q", pick(s, "balusters", "rails", "panel", "none"))
		t.set("section", "%q", pick(s, "round", "square"))
		t.set("caps", "%q", pick(s, "none", "ball"))
	})
}

// narrow sometimes narrows a damage to a part, or spares one.
func (s *sketch) narrow(t *table) {
	key, of, n := pick(s, "only", "spares"), s.before.Of(pick(s, narrowed...)), s.IntN(2)
	if s.chance(0.6) && n < len(of) {
		t.set(key, "[%q]", of[n].name)
	}
}

func (s *sketch) crater() {
	s.part(func(t *table) {
		t.set("at", "[%g, %g]", s.x(), s.y())
		diameter := s.between(4, 18)
		t.set("diameter", "%g", diameter)
		if s.chance(0.5) {
			t.set("depth", "%g", round4(diameter*s.between(0.12, 0.3)))
			t.set("rim", "%g", pick(s, 0, round4(diameter*0.05)))
		}
		t.set("roughness", "%g", pick(s, 0, 0.5, 1))
		if s.chance(0.4) {
			t.set("cracks", "%d", pick(s, 0, 12))
			t.set("spall", "%d", pick(s, 0, 8))
		}
		t.set("seed", "%d", s.IntN(100))
		s.narrow(t)
	})
}

func (s *sketch) gouge() {
	s.part(func(t *table) {
		t.set("from", "[%g, %g]", s.x(), s.y())
		t.set("to", "[%g, %g]", s.x(), s.y())
		t.set("width", "%g", s.between(1, 5))
		t.set("depth", "%g", s.between(0.4, 2))
		t.set("profile", "%q", pick(s, "u", "v"))
		t.set("lips", "%g", pick(s, 0, 0.3, 0.8))
		t.set("roughness", "%g", pick(s, 0, 0.5, 1))
		s.narrow(t)
	})
}

// breach breaks one of the walls, often near an end or a corner of it.
func (s *sketch) breach() {
	walls, n, width := s.before.Of("wall"), s.IntN(2), s.between(0.5, 9)
	if n >= len(walls) || width >= walls[n].length-0.1 {
		return
	}
	w := walls[n]
	at := width/2 + (w.length-width)*pick(s, 0.01, 0.5, s.Float64(), s.Float64(), 0.99)
	s.part(func(t *table) {
		t.set("wall", "%q", w.name)
		t.set("at", "%g", round4(at))
		t.set("width", "%g", width)
		sill := pick(s, 0, 0, round4(w.height*s.between(0.1, 0.5)))
		t.set("sill", "%g", sill)
		t.set("height", "%g", math.Max(0.3, round4((w.height-sill)*s.between(0.2, 0.99))))
		t.set("slope", "%g", s.between(30, 90))
		t.set("roughness", "%g", pick(s, 0, 0.5, 1))
		t.set("seed", "%d", s.IntN(100))
		if s.chance(0.3) {
			t.set("only", "[%q]", w.name)
		}
	})
}

func (s *sketch) rect() string {
	w, d := s.between(8, 40), s.between(8, 30)
	turn := ""
	if s.chance(0.3) {
		turn = fmt.Sprintf(", turn = %g", s.turn())
	}
	return fmt.Sprintf("{ rect = [%g, %g, %g, %g]%s }", round4(s.x()-w/2), round4(s.y()-d/2), w, d, turn)
}

func (s *sketch) storey() {
	s.part(func(t *table) {
		t.set("level", "%g", round4(s.high+s.between(1.5, 6)))
		t.set("area", "%s", s.rect())
		t.set("spacing", "%g", s.between(3, 9))
		t.set("ruin", "%g", pick(s, 0, s.Float64(), 1))
		t.set("broken", "%s", pick(s, `"north"`, `"west"`, fmt.Sprintf("%g", s.turn())))
		t.set("seed", "%d", s.IntN(100))
	})
}

func (s *sketch) roof() {
	s.part(func(t *table) {
		t.set("area", "%s", s.rect())
		t.set("eaves", "%g", round4(s.high+s.between(0.5, 5)))
		t.set("pitch", "%g", s.between(12, 55))
		t.set("form", "%q", pick(s, "lean-to", "gable"))
		t.set("facing", "%q", pick(s, "north", "east", "south", "west"))
		t.set("cover", "%q", pick(s, "slates", "tiles", "none"))
		t.set("under", "%q", pick(s, "solid", "open"))
		t.set("ruin", "%g", pick(s, 0, s.Float64(), 1))
		t.set("seed", "%d", s.IntN(100))
	})
}

func (s *sketch) collapse() {
	walls := s.before.Of("wall")
	if len(walls) == 0 {
		return
	}
	w := walls[s.IntN(len(walls))]
	s.part(func(t *table) {
		from := round4(w.length * pick(s, 0, s.between(0, 0.6)))
		t.set("of", "%q", w.name)
		t.set("from", "%g", from)
		t.set("to", "%g", round4(math.Min(w.length, from+s.between(3, 25))))
		t.set("stump", "%g", round4(w.height*s.between(0, 0.7)))
		t.set("falls", "%q", pick(s, "both", "left", "right"))
		t.set("roughness", "%g", s.Float64())
		t.set("seed", "%d", s.IntN(100))
	})
}

func (s *sketch) pockmarks() {
	walls, n := s.before.Of("wall"), s.IntN(3)
	s.part(func(t *table) {
		t.set("at", "[%g, %g]", s.x(), s.y())
		t.set("reach", "%g", s.between(4, 20))
		t.set("count", "%d", 1+s.IntN(60))
		if n < len(walls) {
			t.set("on", "%q", walls[n].name)
		}
		t.set("size", "[%g, %g]", s.between(0.3, 0.8), s.between(1, 3))
		t.set("depth", "%g", s.between(0.1, 0.5))
		t.set("seed", "%d", s.IntN(100))
	})
}

func (s *sketch) spill() {
	s.part(func(t *table) {
		scars, n, area := s.before.Of(pick(s, "", "crater", "gouge", "breach")), s.IntN(2), s.area()
		if n < len(scars) {
			t.set("from", "%q", scars[n].name)
		} else {
			t.set("area", "%s", area)
		}
		t.set("count", "%d", 1+s.IntN(40))
		t.set("size", "[%g, %g]", s.between(0.5, 1), s.between(1.2, 4))
		t.set("sherds", "%g", s.Float64())
		if s.chance(0.3) {
			t.set("heap", "%g", s.between(1, 4))
		}
		t.set("seed", "%d", s.IntN(100))
		if s.chance(0.5) {
			t.set("matter", "%q", pick(s, parts.Forms[:]...))
		}
		if of, n := s.before.Of("wall"), s.IntN(4); n < len(of) {
			t.set("of", "[%q]", of[n].name)
		}
		if s.chance(0.3) {
			t.set("under", "%q", "filled")
		}
	})
}

func (s *sketch) trim() {
	s.part(func(t *table) {
		switch s.IntN(4) {
		case 0:
			t.set("top", "%g", s.high+s.between(0, 3))
		case 1:
			t.set("through", "[%g, %g]", s.between(0, 4), plotDeep/2)
			t.set("facing", "%g", s.between(-3, 3))
		case 2:
			t.set("line", "[[0, %g], [%g, %g]]", s.between(0, 3), plotWide, s.between(0, 3))
		default:
			t.set("area", "{ rect = [%g, %g, %g, %g] }", s.between(0, 2), s.between(0, 2), plotWide-s.between(2, 4), plotDeep-s.between(2, 4))
		}
	})
}

// variants draws up to four variants, which may extend each other in any order of the
// text.
func (s *sketch) variants() {
	order := s.Perm(s.IntN(5))
	for i, at := range order {
		t := &table{}
		fmt.Fprintf(t, "\n[[variant]]\nname = \"day-%d\"\n", at)
		if first := s.IntN(len(order)); first < at { // in their order, whatever that of the text
			t.set("extends", "\"day-%d\"", first)
		}
		if i%2 == 0 {
			t.set("set", "{ %s, %s }", s.change(), `"title" = "Another day"`)
		} else {
			t.set("set", "{ %s }", s.change())
		}
		s.blocks = append(s.blocks, Block{kind: "variant", text: t.String()})
	}
}

// change is a change of a variant, as its set has it.
func (s *sketch) change() string {
	b := s.before.Blocks[s.IntN(len(s.before.Blocks))]
	key := b.kind + "." + b.name
	switch b.kind {
	case "base":
		return fmt.Sprintf("%q = %g", key+"."+pick(s, "lift", "chamfer"), s.between(0.1, 0.6))
	case "crater", "gouge":
		return fmt.Sprintf("%q = %g", key+".roughness", s.between(0, 1))
	case "paving", "stair":
		return fmt.Sprintf("%q = %g", key+".wear", s.between(0, 1))
	case "column":
		return fmt.Sprintf("%q = %g", key+".broken", s.between(0, 1))
	}
	return pick(s, fmt.Sprintf("seed = %d", s.IntN(1000)), fmt.Sprintf(`"levels.high" = %g`, s.high+s.between(0, 1)), fmt.Sprintf("scale.ratio = %d", 50+s.IntN(300)))
}

// bases lays one to three bases in the plot; the first is laid by the scene.
func (s *sketch) bases() {
	places := [][2]float64{{plotWide / 2, plotDeep / 2}}
	switch 1 + s.IntN(3) {
	case 2:
		places = [][2]float64{{20, 32}, {56, 30}}
	case 3:
		places = [][2]float64{{20, 20}, {56, 20}, {38, 48}}
	}
	for i, at := range places {
		s.part(func(t *table) {
			size := s.between(20, 28)
			word := pick(s, "round", "oval", "rectangle", "square", "hexagon", "stadium")
			long := s.between(26, 32)
			switch word {
			case "oval", "stadium":
				t.set(word, "[%g, %g]", long, s.between(20, 24))
			case "rectangle":
				t.set(word, "[%g, %g]", s.between(20, 30), s.between(20, 24))
			case "hexagon":
				t.set(word, "%g", s.between(20, 25))
			default:
				t.set(word, "%g", size)
			}
			if (word == "rectangle" || word == "square") && s.chance(0.4) {
				t.set("corner", "%g", s.between(2.5, 6))
			}
			if i == 0 || s.chance(0.6) {
				t.set("at", "[%g, %g]", at[0], at[1])
				t.set("turn", "%g", s.turn())
			}
			t.set("height", "%g", s.height)
			t.set("level", "%q", pick(s, "low", "low", "low", "high"))
			t.set("taper", "%g", pick(s, 0, 1, 2, s.between(0.2, 2)))
			t.set("chamfer", "%g", pick(s, 0, 0.4, s.between(0.1, 0.6)))
			t.set("lift", "%g", pick(s, 0, 0, 1, s.between(0, 3)))
			t.set("rim", "%q", pick(s, "bitten", "whole"))
			if s.chance(0.3) {
				t.set("underside", "%q", "hollow")
				t.set("ribs", "%d", s.IntN(4))
			}
			if s.chance(0.4) {
				disc := pick(s, "[3, 1]", "[4, 2]", "[5, 1]")
				t.set("magnet", "[{ disc = %s, count = %d }]", disc, pick(s, 1, 2, 3))
			}
			if s.chance(0.4) {
				t.set("stand", "[{ at = [%g, %g], round = %g, height = %g }]", s.between(-3, 3), s.between(-3, 3), s.between(4, 9), pick(s, 0, 0, 1.0))
			}
		})
	}
}
