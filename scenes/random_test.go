package scenes_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/scenes"
	"socle/sdf/mesh"
)

// TestRandomScenes builds random scenes and holds every mesh to the promise.
// SOCLE_SCENES says how many, seeds 1 and up, or from which seed to which: 1000, or
// 801..1000; 12 without it.
func TestRandomScenes(t *testing.T) {
	first, last := seeds(t, os.Getenv("SOCLE_SCENES"))
	var all tally
	kinds := map[string]int{}
	var failed []uint64
	for seed := first; seed <= last; seed++ {
		d := drawScene(seed)
		s, err := scenes.Read("random.toml", []byte(d.text()), nil)
		require.NoError(t, err)
		for _, p := range s.Site.Parts {
			kinds[parts.WordOf(p)]++
		}
		one, err := d.build()
		all.add(one)
		if err != nil {
			failed = append(failed, seed)
			small, why := d.shrink(err)
			t.Errorf("seed %d, cell %g mm: %v\nthe least scene that fails: %v\n%s", seed, d.cell, err, why, small.text())
		}
	}
	t.Logf("%d random scenes, seeds %d..%d: %d failed %v; %d bases, %d triangles, %d slivers, %d crumbs dropped, %d mends; parts %v",
		last-first+1, first, last, len(failed), failed, all.bases, all.triangles, all.slivers, all.crumbs, all.mended, kinds)
	for _, k := range parts.Kinds() {
		if last-first < 9 {
			break // too few to have some of each
		}
		require.NotZero(t, kinds[k.Word], "no scene has a %s: the generator does not reach every kind", k.Word)
	}
}

func seeds(t *testing.T, text string) (first, last uint64) {
	if text == "" {
		return 1, 12
	}
	from, to, isRange := strings.Cut(text, "..")
	if !isRange {
		from, to = "1", text
	}
	first, err := strconv.ParseUint(from, 10, 32)
	require.NoError(t, err, "SOCLE_SCENES")
	last, err = strconv.ParseUint(to, 10, 32)
	require.NoError(t, err, "SOCLE_SCENES")
	require.LessOrEqual(t, first, last, "SOCLE_SCENES")
	return first, last
}

// tally counts what was built.
type tally struct{ bases, triangles, slivers, crumbs, mended int }

func (a *tally) add(b tally) {
	a.bases += b.bases
	a.triangles += b.triangles
	a.slivers += b.slivers
	a.crumbs += b.crumbs
	a.mended += b.mended
}

// build builds every base of the scene and holds it to the promise.
func (d *drawn) build() (done tally, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	s, err := scenes.Read("random.toml", []byte(d.text()), nil)
	if err != nil {
		return done, err
	}
	scene, err := parts.Assemble(s.Site)
	if err != nil {
		return done, fmt.Errorf("a scene that reads without fault: %w", err)
	}
	var faults []error
	for _, p := range scene.Pieces() {
		done.bases++
		solid, err := mesh.Build(context.Background(), p.Field, mesh.Options{Cell: d.cell, Box: p.Box, Heights: p.Heights})
		if err != nil {
			faults = append(faults, fmt.Errorf("base %s: %w", p.Name, err))
			continue
		}
		done.triangles += len(solid.Triangles)
		done.crumbs += len(solid.Crumbs)
		done.mended += solid.Stats.Mended
		slivers, err := keepsPromise(&p, &solid.Mesh, d.cell)
		done.slivers += slivers
		if err != nil {
			faults = append(faults, fmt.Errorf("base %s: %w", p.Name, err))
		}
	}
	return done, errors.Join(faults...)
}

// shrink leaves out parts for as long as the scene fails without them.
func (d *drawn) shrink(err error) (*drawn, error) {
	small := *d
	for again := true; again; {
		again = false
		for i := range small.blocks {
			less := small
			less.blocks = slices.Delete(slices.Clone(small.blocks), i, i+1)
			var faults *scenes.Faults
			if _, why := less.build(); why != nil && !errors.As(why, &faults) {
				small, err, again = less, why, true
				break
			}
		}
	}
	return &small, err
}

// play is how far a vertex may lie over its footprint, mm, and over its box.
// Where the outline is curved, the chords of a coarse cell come to it.
const play = 0.005

// bulge is how far chords as long as a cell stand off the sharpest curve of an
// outline, mm: the sagitta, c^2/8r.
func bulge(b *parts.Base, cell float64) float64 {
	r := math.Inf(1)
	switch {
	case b.Round != nil:
		r = *b.Round / 2
	case b.Oval != nil:
		r = b.Oval[1] * b.Oval[1] / b.Oval[0] / 2 // at the ends of the long axis
	case b.Stadium != nil:
		r = b.Stadium[1] / 2
	case b.Corner > 0:
		r = b.Corner
	}
	return cell * cell / (8 * r)
}

// keepsPromise holds a mesh to the promise of the design, point by point, and counts
// triangles that are less than 0.002 mm high.
func keepsPromise(p *parts.Piece, m *mesh.Mesh, cell float64) (slivers int, err error) {
	proof, err := mesh.Prove(context.Background(), m)
	switch {
	case err != nil:
		return 0, fmt.Errorf("proved again: %w", err)
	case !proof.Closed || !proof.Outward || proof.Crossings != 0 || proof.Shells != 1:
		return 0, fmt.Errorf("proved again: %+v", proof)
	case proof.Box.Max.Z > p.Box.Max.Z+play:
		return 0, fmt.Errorf("%g mm tall in a box of %g", proof.Box.Max.Z, p.Box.Max.Z)
	}
	lowest := float32(math.Inf(1))
	for _, v := range m.Vertices {
		lowest = min(lowest, v[2])
		if over := overFootprint(p.Base, float64(v[0]), float64(v[1])); over > play+bulge(p.Base, cell) {
			return 0, fmt.Errorf("the vertex %v lies %.4f mm over the footprint", v, over)
		}
	}
	if lowest != 0 {
		return 0, fmt.Errorf("the lowest vertex is at z = %g", lowest)
	}
	sole := 0.0
	for _, t := range m.Triangles {
		var c [3][3]float64
		for k, v := range t {
			for j, x := range m.Vertices[v] {
				c[k][j] = float64(x)
			}
		}
		var a, b, n [3]float64
		longest := 0.0
		for j := range 3 {
			a[j], b[j] = c[1][j]-c[0][j], c[2][j]-c[0][j]
		}
		for k := range 3 {
			o := c[(k+1)%3]
			longest = max(longest, math.Hypot(math.Hypot(c[k][0]-o[0], c[k][1]-o[1]), c[k][2]-o[2]))
			n[k] = a[(k+1)%3]*b[(k+2)%3] - a[(k+2)%3]*b[(k+1)%3] // exact: multiples of 2^-24 below 2^13
		}
		area := math.Hypot(math.Hypot(n[0], n[1]), n[2])
		if area == 0 {
			return 0, fmt.Errorf("a triangle without area at %v", c[0])
		}
		if area/longest < 0.002 {
			slivers++
		}
		if c[0][2] == 0 && c[1][2] == 0 && c[2][2] == 0 {
			sole -= n[2] / 2 // faces down
		}
	}
	if least := leastSole(p.Base, cell); sole < least {
		return slivers, fmt.Errorf("%.1f mm2 lie flat at z = 0, of %.1f at least", sole, least)
	}
	return slivers, nil
}

// leastSole is the least area that a base stands on: its footprint inside the
// chamfer, and a cell more, in which a coarse mesh may round the edge, less its
// pockets; of a hollow one a tenth of that.
func leastSole(b *parts.Base, cell float64) float64 {
	var o inset
	switch {
	case b.Round != nil:
		o = circle(*b.Round)
	case b.Oval != nil:
		o = ellipse(b.Oval[0], b.Oval[1])
	case b.Hexagon != nil:
		o = hexagon(*b.Hexagon)
	case b.Stadium != nil:
		o = stadium(b.Stadium[0], b.Stadium[1])
	default:
		o = rounded(sides(b))
	}
	in := b.Chamfer + cell
	area := o.prismoid(in, in, 1)
	for _, m := range b.Magnets {
		area -= float64(max(m.Count, len(m.At))) * circle(m.Disc[0]+m.Clearance+2*cell).area
	}
	if b.Underside == "hollow" {
		area /= 10
	}
	return area
}

// sides are the width and depth of a rectangle or square and the radius of its corners.
func sides(b *parts.Base) (w, d, corner float64) {
	if b.Square != nil {
		return *b.Square, *b.Square, b.Corner
	}
	return b.Rectangle[0], b.Rectangle[1], b.Corner
}

// overFootprint is how far a point of the plan lies outside a base's outline,
// mm, by each outline's own formula; for an oval to first order, which is ample
// this near to it.
func overFootprint(b *parts.Base, x, y float64) float64 {
	x, y = math.Abs(x), math.Abs(y)
	switch {
	case b.Round != nil:
		return math.Hypot(x, y) - *b.Round/2
	case b.Oval != nil:
		a, c := b.Oval[0]/2, b.Oval[1]/2
		slope := 2 * math.Hypot(x/(a*a), y/(c*c))
		return (x*x/(a*a) + y*y/(c*c) - 1) / max(slope, 1e-9)
	case b.Hexagon != nil:
		h := *b.Hexagon / 2
		return max(y-h, x*math.Sqrt(3)/2+y/2-h)
	case b.Stadium != nil:
		r := b.Stadium[1] / 2
		return math.Hypot(max(0, x-(b.Stadium[0]/2-r)), y) - r
	}
	w, d, r := sides(b)
	u, v := x-(w/2-r), y-(d/2-r)
	return math.Hypot(max(0, u), max(0, v)) + min(0, max(u, v)) - r
}

// randomScene is the text of a random scene.
func randomScene(seed uint64) string { return drawScene(seed).text() }

// drawn is a random scene: its head and its parts.
type drawn struct {
	cell   float64 // mm, what to build it at
	head   string
	blocks []string
}

func (d *drawn) text() string { return d.head + strings.Join(d.blocks, "") }

// drawScene draws a scene that reads without fault. A draw that breaks a rule,
// as one whose rail finds no edge may, is drawn again from the next stream.
func drawScene(seed uint64) *drawn {
	const draws = 200
	for n := range uint64(draws) {
		sketch := newSketch(seed, n)
		d := sketch.draw()
		_, err := scenes.Read("random.toml", []byte(d.text()), nil)
		if err == nil {
			sketch.variants()
			return d
		}
		if strings.Contains(err.Error(), "fault of socle") {
			panic(fmt.Sprintf("seed %d: %v\n%s", seed, err, d.text()))
		}
	}
	panic(fmt.Sprintf("seed %d: %d draws, and all of them break rules", seed, draws))
}

// drawnWall is what a breach must know of its wall, mm.
type drawnWall struct {
	name           string
	length, height float64
}

// sketch draws one scene. It remembers what was drawn, so that later parts
// share planes, edges and centres with earlier ones.
type sketch struct {
	*rand.Rand
	cell, height float64 // of the mesh and of every rim, mm
	low, high    float64 // levels
	xs, ys       []float64
	stairs       bool
	decks        bool
	scars        []string
	names        int
	out          drawn
	walls        []drawnWall
}

const plotWide, plotDeep = 76.0, 64.0 // mm

func newSketch(seed, stream uint64) *sketch {
	s := &sketch{Rand: rand.New(rand.NewPCG(seed, stream))}
	s.cell = pick(s, 0.5, 0.6, 0.8)
	s.height = pick(s, 3.0, 4, 6)
	s.low = pick(s, 0, 3.0, s.onPlane(2))
	s.high = s.low + pick(s, 2.0, s.onPlane(4)-s.height, s.between(1.2, 5))
	if s.high < s.low+0.8 {
		s.high = s.low + 0.8
	}
	s.high = round4(s.high)
	s.xs, s.ys = []float64{38}, []float64{32}
	return s
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

// along is a coordinate of the plan: often one that was used before, or on a
// grid plane of a base in the middle.
func (s *sketch) along(seen *[]float64, most float64) float64 {
	v := s.between(4, most-4)
	switch {
	case s.chance(0.25):
		v = (*seen)[s.IntN(len(*seen))]
	case s.chance(0.25):
		v = most/2 + s.onPlane(v-most/2)
	case s.chance(0.2):
		v = (*seen)[s.IntN(len(*seen))] + pick(s, -5.0, -2, 2, 5)
	}
	v = round4(max(1, min(most-1, v)))
	*seen = append(*seen, v)
	return v
}

func (s *sketch) x() float64 { return s.along(&s.xs, plotWide) }
func (s *sketch) y() float64 { return s.along(&s.ys, plotDeep) }

func (s *sketch) name(kind string) string {
	s.names++
	return fmt.Sprintf("%s-%d", kind, s.names)
}

// table is the text of one part.
type table struct{ strings.Builder }

func (t *table) set(key, format string, args ...any) {
	fmt.Fprintf(t, "%s = %s\n", key, fmt.Sprintf(format, args...))
}

// part draws a part with the keys that are set, and gives its name.
func (s *sketch) part(kind string, keys func(t *table)) string {
	t := &table{}
	name := s.name(kind)
	fmt.Fprintf(t, "\n[[%s]]\nname = %q\n", kind, name)
	keys(t)
	s.out.blocks = append(s.out.blocks, t.String())
	return name
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

func (s *sketch) draw() *drawn {
	s.out.cell = s.cell
	s.out.head = fmt.Sprintf("seed = %d\n[scale]\nratio = %g\n[levels]\nlow = %g\nhigh = %g\n",
		s.IntN(1000), pick(s, 56.0, 72, 100, 285), s.low, s.high)
	s.ground()
	many := func(most int, p float64, draw func()) {
		for range most {
			if s.chance(p) {
				draw()
			}
		}
	}
	many(2, 0.5, s.deck)
	many(1, 0.5, s.stair)
	many(2, 0.4, s.wall)
	many(2, 0.4, s.column)
	many(2, 0.45, s.paving)
	many(2, 0.4, s.rail)
	many(2, 0.45, s.crater)
	many(2, 0.35, s.gouge)
	many(2, 0.7, s.breach)
	many(2, 0.4, s.spill)
	many(1, 0.35, s.trim)
	s.bases()
	return &s.out
}

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
	s.out.head += head
}

func (s *sketch) deck() {
	s.decks = true
	s.part("deck", func(t *table) {
		t.set("level", "%q", "high")
		t.set("area", "%s", s.area())
		t.set("thickness", "%g", s.between(1, 2.5))
		t.set("on", "%q", pick(s, "piers", "walls", "solid"))
		t.set("spacing", "%g", s.between(5, 12))
		t.set("pier", "%g", s.between(1, 2.5))
		t.set("edge", "%q", pick(s, "plain", "kerb", "nosing"))
		t.set("soffit", "%q", pick(s, "flat", "beams"))
	})
}

func (s *sketch) stair() {
	s.stairs = true
	s.part("stair", func(t *table) {
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
	})
}

func (s *sketch) wall() {
	s.part("wall", func(t *table) {
		x, y := s.x(), s.y()
		line, length := fmt.Sprintf("[%g, %g]", x, y), 0.0
		for range 1 + pick(s, 0, 0, 0, 1, 1) {
			toX, toY := s.x(), s.y()
			length += math.Hypot(toX-x, toY-y)
			x, y = toX, toY
			line += fmt.Sprintf(", [%g, %g]", x, y)
		}
		height := s.between(2, 8)
		s.walls = append(s.walls, drawnWall{fmt.Sprintf("wall-%d", s.names), length, height})
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
	})
}

func (s *sketch) column() {
	s.part("column", func(t *table) {
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
	s.part("paving", func(t *table) {
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
	})
}

func (s *sketch) rail() {
	s.part("rail", func(t *table) {
		switch {
		case s.stairs && s.chance(0.4):
			t.set("along", "%q", s.first("stair"))
		case s.decks && s.chance(0.4):
			t.set("along", "%q", s.first("deck"))
			t.set("edge", "%q", pick(s, "open", "all"))
		default:
			t.set("line", "[[%g, %g], [%g, %g], [%g, %g]]", s.x(), s.y(), s.x(), s.y(), s.x(), s.y())
			t.set("level", "%q", s.level())
		}
		t.set("height", "%g", s.between(3, 7))
		t.set("spacing", "%g", s.between(3, 9))
		t.set("infill", "%q", pick(s, "balusters", "rails", "panel", "none"))
		t.set("section", "%q", pick(s, "round", "square"))
		t.set("caps", "%q", pick(s, "none", "ball"))
	})
}

// first is the name of the first part of a kind.
func (s *sketch) first(kind string) string {
	for _, b := range s.out.blocks {
		if rest, ok := strings.CutPrefix(b, "\n[["+kind+"]]\nname = \""); ok {
			name, _, _ := strings.Cut(rest, "\"")
			return name
		}
	}
	panic("no " + kind)
}

// narrow sometimes narrows a damage to the ground or spares a part.
func (s *sketch) narrow(t *table) {
	if n := len(s.out.blocks); n > 0 && s.chance(0.3) {
		head := strings.SplitN(s.out.blocks[s.IntN(n)], "\"", 3)
		if kind := strings.Split(head[1], "-")[0]; slices.Contains([]string{"deck", "stair", "wall", "column", "paving", "rail"}, kind) {
			t.set(pick(s, "only", "spares"), "[%q]", head[1])
		}
	}
}

func (s *sketch) crater() {
	s.scars = append(s.scars, s.part("crater", func(t *table) {
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
	}))
}

func (s *sketch) gouge() {
	s.scars = append(s.scars, s.part("gouge", func(t *table) {
		t.set("from", "[%g, %g]", s.x(), s.y())
		t.set("to", "[%g, %g]", s.x(), s.y())
		t.set("width", "%g", s.between(1, 5))
		t.set("depth", "%g", s.between(0.4, 2))
		t.set("profile", "%q", pick(s, "u", "v"))
		t.set("lips", "%g", pick(s, 0, 0.3, 0.8))
		t.set("roughness", "%g", pick(s, 0, 0.5, 1))
		s.narrow(t)
	}))
}

// breach breaks one of the walls, often near an end or a corner of it.
func (s *sketch) breach() {
	if len(s.walls) == 0 {
		return
	}
	w := s.walls[s.IntN(len(s.walls))]
	width := s.between(0.5, 9)
	if width >= w.length-0.1 {
		return
	}
	at := width/2 + (w.length-width)*pick(s, 0.01, 0.5, s.Float64(), s.Float64(), 0.99)
	s.scars = append(s.scars, s.part("breach", func(t *table) {
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
	}))
}

func (s *sketch) spill() {
	s.part("spill", func(t *table) {
		if len(s.scars) > 0 && s.chance(0.7) {
			t.set("from", "%q", s.scars[s.IntN(len(s.scars))])
		} else {
			t.set("area", "%s", s.area())
		}
		t.set("count", "%d", 1+s.IntN(40))
		t.set("size", "[%g, %g]", s.between(0.5, 1), s.between(1.2, 4))
		t.set("sherds", "%g", s.Float64())
		if s.chance(0.3) {
			t.set("heap", "%g", s.between(1, 4))
		}
		t.set("seed", "%d", s.IntN(100))
	})
}

func (s *sketch) trim() {
	s.part("trim", func(t *table) {
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
// text. They are left out where one of them breaks a rule.
func (s *sketch) variants() {
	order := s.Perm(s.IntN(5))
	var blocks []string
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
		blocks = append(blocks, t.String())
	}
	whole := s.out
	whole.blocks = slices.Concat(s.out.blocks, blocks)
	if _, err := scenes.Read("random.toml", []byte(whole.text()), nil); err == nil {
		s.out.blocks = whole.blocks
	}
}

// change is a change of a variant, as its set has it.
func (s *sketch) change() string {
	block := s.out.blocks[s.IntN(len(s.out.blocks))]
	part := strings.TrimSuffix(strings.SplitN(block, "\"", 3)[1], "\"")
	kind := strings.Split(part, "-")[0]
	key := kind + "." + part
	switch kind {
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
		s.part("base", func(t *table) {
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
