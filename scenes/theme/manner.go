package theme

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// manner is how a place builds: what its walls, columns and damage are like. All
// sizes are of the place, in m, unless they say otherwise.
type manner struct {
	low, high, sunk string // names of its levels; "" where it has none
	lowNote         string
	highNote        string
	sunkNote        string

	ground []line // what its land is made of; the kind's own where it is left out
	bed    string // what its sunk ground is made of, "" for as its land
	shelf  string // what its raised ground is made of, "" for as its land

	most float64 // greatest rise from low to high, mm on the print
	dip  float64 // how far the sunk ground lies below low, mm on the print

	stair flightManner
	wall  wallManner
	post  columnManner // small: a bollard, a lamp post
	shaft columnManner // large: a column that carried something
	rail  railManner

	hit    string // stem of a crater's name: "hit"
	rubble string // stem of a heap's name
	scar   string // stem of a gouge's name
}

type flightManner struct {
	stem, profile, flanks string
	wide                  float64 // m
	wear                  float64
	note                  string
}

type wallManner struct {
	stem, coursing string
	high, thick    float64 // m
	ruin, wear     float64
	note           string
}

type columnManner struct {
	stem          string
	high, thick   float64 // m
	taper         float64
	base, capital string
	flutes        int
	broken        float64
	note          string
}

type railManner struct {
	infill, section, caps string
	rails                 int
	note                  string
}

// name makes the name of a part: its stem, with a number.
func (w *work) name(stem string) string {
	w.counts[stem]++
	return fmt.Sprintf("%s-%d", stem, w.counts[stem])
}

const (
	// rimHeight is the height of every rim, mm: the base's own default.
	rimHeight = 4.0
	// lowHeight is the height of the lower level over the datum, mm.
	lowHeight = 3.0
	// clearOfRim is how far what must not be cut stays within the foot, mm: the
	// taper of the rim and a little.
	clearOfRim = 2.4
)

// setLevels chooses the upper level to suit the large bases, and what lies under
// the lower one.
func (w *work) setLevels() {
	m := w.theme.manner
	if m.sunk != "" {
		w.levels = append(w.levels, level{m.sunk, mm(lowHeight - m.dip), m.sunkNote})
	}
	w.levels = append(w.levels, level{m.low, mm(lowHeight), m.lowNote})
	if m.high == "" {
		return
	}
	want := math.Min(m.most, 3.5)
	if n := len(w.great); n > 0 {
		want = math.Max(3.5, math.Min(m.most, 0.17*w.great[n-1].side()))
	}
	text, back := w.full(lowHeight + want)
	w.rise = back - lowHeight
	w.levels = append(w.levels, level{m.high, text, m.highNote})
}

// wall writes a ruined wall along a line that stands on a level, no taller than
// most mm.
func (w *work) wall(b *berth, on string, most float64, along ...r2.Vec) {
	m := w.theme.manner.wall
	name := w.name(m.stem)
	high, _ := w.full(math.Max(2.5, math.Min(w.onPrint(m.high), most)))
	thick, thickness := w.full(w.wallThick(b))
	tenths(along)
	w.page.table(structure, "wall", w.once(m.stem, m.note),
		line{"name", str(name), ""},
		line{"line", points(along...), ""},
		line{"from", levelText(on), ""},
		line{"height", high, ""},
		line{"thickness", thick, ""},
		line{"coursing", str(m.coursing), ""},
		line{"ruin", mm(m.ruin), ""},
		line{"wear", mm(m.wear), ""},
	)
	b.keepAlong(thickness+0.6, along)
}

// leastWall is the thickness of the thinnest wall that is built, mm: a ruin's
// broken top leaves less of it.
const leastWall = 2.8

// wallShare is the most of a base's short side that a wall's thickness takes: a stand takes
// up to half of it.
const wallShare = 0.45

// wallThick is how thick a wall is on a base, mm.
func (w *work) wallThick(b *berth) float64 {
	return math.Max(leastWall, math.Min(w.onPrint(w.theme.manner.wall.thick), wallShare*b.side()))
}

// once gives a note the first time that parts of a stem are written.
func (w *work) once(stem, note string) string {
	key := "note of " + stem
	if w.counts[key]++; w.counts[key] > 1 {
		return ""
	}
	return note
}

// columns writes columns of one manner on a level, no taller than most mm.
func (w *work) columns(b *berth, m columnManner, on string, most, thickest float64, at ...r2.Vec) {
	name := w.name(m.stem)
	thick, diameter := w.full(math.Max(2, math.Min(w.onPrint(m.thick), thickest)))
	if m.capital != "none" && diameter < leastCapital {
		m.capital = "none"
	}
	least := 1.5
	if m.base != "none" || m.capital != "none" {
		least = 1.8 * diameter // its base and its capital take half a diameter each
	}
	high, _ := w.full(math.Max(least, math.Min(w.onPrint(m.high), most)))
	at = b.asideColumns(0.75*diameter+0.5, at)
	tenths(at)
	w.page.table(structure, "column", w.once(m.stem, m.note),
		line{"name", str(name), ""},
		line{"at", points(at...), ""},
		line{"level", levelText(on), ""},
		line{"height", high, ""},
		line{"diameter", thick, ""},
		when(m.taper > 0, line{"taper", mm(m.taper), ""}),
		line{"base", str(m.base), ""},
		line{"capital", str(m.capital), ""},
		when(m.flutes > 0, line{"flutes", fmt.Sprint(m.flutes), ""}),
		when(m.broken > 0, line{"broken", mm(m.broken), ""}),
	)
	for _, p := range at {
		b.keep(ringOf(p, 0.75*diameter+0.5))
	}
	if b.side() < closeSide {
		b.spares = append(b.spares, name)
	}
}

// closeSide is the side of a base, mm, under which all that it shows lies so close together
// that a blow would take its columns away.
const closeSide = 16

// leastCapital is the diameter of a column from which on its capital is no
// thinner at its edge than a wall prints, mm: a fifth of it.
const leastCapital = 4.9

// hit writes a crater with what lies in and around it.
func (w *work) hit(b *berth, at r2.Vec, diameter float64) {
	m := w.theme.manner
	if m.hit == "" { // nobody shelled it: stones lie there
		w.heap(b, roundPatch(at, 0.9*diameter), 0.3)
		return
	}
	at = tenthOf(b.aside(at, 0.62*diameter))
	diameter = tenth(diameter)
	room := b.room()
	depth := tenth(math.Max(0.6, math.Min(0.17*diameter, room)))
	name := w.name(m.hit)
	cracks := line{"cracks", "0", ""}
	if diameter >= crackedFrom {
		cracks = line{"cracks", "4", "more, or left out: wilder, and with thinner bits"}
	}
	w.page.table(damage, "crater", "",
		line{"name", str(name), ""},
		line{"at", point(at), ""},
		line{"diameter", mm(diameter), ""},
		line{"depth", mm(depth), w.once("depth of a crater", "left out, it follows from the diameter")},
		when(0.04*diameter > 0.3*depth, line{"rim", mm(math.Floor(30*depth) / 100), ""}),
		cracks,
		line{"spall", "0", ""},
		when(len(b.spares) > 0, line{"spares", strs(b.spares), "what it leaves whole"}),
	)
	if diameter >= 9 {
		least := math.Max(0.05*diameter, math.Max(1.3, math.Min(1.6, w.onPrint(0.15))))
		w.page.table(damage, "spill", w.once("spill of a crater", "of what broke, by the size law of broken rock"),
			line{"from", str(name), ""},
			line{"amount", "0.18", w.once("amount of a spill", "more, and some lie so close that resin is shut in between")},
			line{"size", fmt.Sprintf("[%s, %s]", mm(tenth(least)), mm(tenth(math.Max(2.4*least, math.Min(0.16*diameter, 5*least))))), "no smaller than prints well"},
			line{"sherds", "0", "flat pieces lie hollow and print thin"},
			line{"under", `"filled"`, w.once("under of a spill", "no resin is shut in between the blocks")},
			line{"reach", "1.6", ""},
		)
	}
	w.blows = append(w.blows, blow{name, at, diameter})
	b.keep(ringOf(at, 0.62*diameter))
}

// crackedFrom is the diameter from which on a crater is cracked, mm: the lips of
// a small one would be cut into bits that do not print.
const crackedFrom = 18.0

// room is how deep damage may go on a base: not to its magnets, mm.
func (b *berth) room() float64 {
	return rimHeight + b.lift - magnetHigh - pocketOver - 0.15
}

// pocketOver is what a pocket takes above its magnet: its depth's clearance and
// its skin, by the base's own defaults, mm.
const pocketOver = 0.15 + 0.8

// heap writes rubble over a region, short of the place kept for a stand.
func (w *work) heap(b *berth, area region, amount float64) {
	if area, ok := b.asideRegion(area); ok {
		w.rubble(b, area, amount)
	}
}

// rubble writes it.
func (w *work) rubble(b *berth, area region, amount float64) {
	name := w.name(w.theme.manner.rubble)
	least := math.Max(0.03*b.side(), math.Max(1.4, math.Min(1.8, w.onPrint(0.15))))
	most := math.Max(2.2*least, math.Min(4, 0.12*b.side()))
	w.page.table(damage, "spill", w.once("heap", "debris over a region of its own"),
		line{"name", str(name), ""},
		line{"area", area.text, ""},
		line{"amount", mm(amount), ""},
		line{"size", fmt.Sprintf("[%s, %s]", mm(tenth(least)), mm(tenth(most))), ""},
		line{"sherds", "0", ""},
		line{"under", `"filled"`, w.once("under of a spill", "no resin is shut in between the blocks")},
	)
	b.keep(area.plan)
}

// region is where debris lies: as written, and in the plan.
type region struct {
	text string
	plan []r2.Vec
}

func patch(x0, y0, x1, y1 float64) region {
	x0, y0, x1, y1 = tenth(x0), tenth(y0), tenth(x1), tenth(y1)
	return region{rect(x0, y0, x1, y1), box(x0, y0, x1, y1)}
}

func roundPatch(at r2.Vec, diameter float64) region {
	at, diameter = tenthOf(at), tenth(diameter)
	return region{disc(at, diameter), ringOf(at, diameter/2)}
}

// gouge writes a scar along a line.
func (w *work) gouge(b *berth, width, depth float64, along ...r2.Vec) {
	name := w.name(w.theme.manner.scar)
	along = b.asideLine(width+1, along)
	tenths(along)
	w.page.table(damage, "gouge", "",
		line{"name", str(name), ""},
		line{"line", points(along...), ""},
		line{"width", mm(tenth(width)), ""},
		line{"depth", mm(tenth(math.Min(depth, b.room()))), ""},
		line{"lips", mm(tenth(math.Min(0.5, 0.12*width))), ""},
		when(len(b.spares) > 0, line{"spares", strs(b.spares), ""}),
	)
	b.keepAlong(width+1, along)
}

// keep remembers what stands on the base or cuts into it.
func (b *berth) keep(polygon []r2.Vec) { b.keeps = append(b.keeps, polygon) }

// keepAlong remembers what runs along a line, so wide.
func (b *berth) keepAlong(wide float64, along []r2.Vec) {
	for i := 1; i < len(along); i++ {
		b.keep(strip(along[i-1], along[i], wide))
	}
}

// ringOf is a circle as a polygon about it.
func ringOf(c r2.Vec, radius float64) []r2.Vec {
	const n = 24
	out := make([]r2.Vec, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		out[i] = r2.Vec{X: c.X + radius*cos, Y: c.Y + radius*sin}
	}
	return out
}

// strip is a rectangle along a line, so wide in all.
func strip(a, b r2.Vec, wide float64) []r2.Vec {
	u := r2.Unit(r2.Sub(b, a))
	n := r2.Scale(wide/2, r2.Vec{X: -u.Y, Y: u.X})
	return []r2.Vec{r2.Sub(a, n), r2.Sub(b, n), r2.Add(b, n), r2.Add(a, n)}
}

// strs writes a list of names.
func strs(names []string) string {
	out := "["
	for i, n := range names {
		if i > 0 {
			out += ", "
		}
		out += str(n)
	}
	return out + "]"
}

// floorManner is how one floor of a place is laid.
type floorManner struct {
	name, bond string
	surface    string     // of the stones; "" for the paving's own
	stone      [2]float64 // mm on the print
	turn       float64
	thickness  float64 // mm; 0 for the paving's own
	wear       float64
	note       string
}

// mostStones is about how many stones the floors of a place have, at most: a scene
// may be of 200,000 pieces, and a bond lays some beyond its area.
const mostStones = 20_000

// floor lays paving on the lower level from y0 to y1, over the whole width.
func (w *work) floor(level string, f floorManner, y0, y1 float64) {
	if y1-y0 < 1 {
		return
	}
	// A very large place gets larger stones, so that they stay countable.
	most := float64(mostStones)
	if f.bond == "random" {
		most /= 6 // its small stones are counted for all
	}
	larger := math.Max(1, math.Sqrt(w.size.X*w.size.Y/(f.stone[0]*f.stone[1]*most)))
	w.page.table(finishes, "paving", f.note,
		line{"name", str(f.name), ""},
		line{"level", str(level), ""},
		line{"area", rect(0, y0, w.size.X, y1), ""},
		line{"bond", str(f.bond), ""},
		line{"stone", w.stone(larger*f.stone[0], larger*f.stone[1]), w.once("stone", "full size, drawn large enough to read")},
		when(f.surface != "", line{"surface", str(f.surface), ""}),
		when(f.turn != 0, line{"turn", mm(f.turn), ""}),
		when(f.thickness > 0, line{"thickness", mm(f.thickness), ""}),
		line{"wear", mm(f.wear), w.once("wear", "0 new .. 1 ruinous")},
	)
}

// platform builds the upper level from y0 to the north end.
func (w *work) platform(name, note string, y0 float64, more ...line) {
	w.page.table(structure, "deck", note, append([]line{
		{"name", str(name), ""},
		{"level", str(w.theme.manner.high), ""},
		{"area", rect(0, y0, w.size.X, w.size.Y), ""},
	}, more...)...)
}

// sink lowers the ground from y0 to y1, over the whole width; bank is its slope in degrees
// against the horizontal, 90 for sheer sides.
func (w *work) sink(note string, y0, y1, bank float64) {
	m := w.theme.manner
	w.terrace("ground.sunk", note, m.sunk, m.bed, y0, y1, bank)
}

// raiseGround raises it to the upper level from y0 to the north end.
func (w *work) raiseGround(note string, y0, bank float64) {
	m := w.theme.manner
	w.terrace("ground.raised", note, m.high, m.shelf, y0, w.size.Y, bank)
}

// terrace writes sunk or raised ground; of is what it is made of, "" for as the land.
func (w *work) terrace(kind, note, level, of string, y0, y1, bank float64) {
	text := &page{}
	text.table(structure, kind, note,
		line{"area", rect(0, y0, w.size.X, y1), ""},
		line{"level", str(level), ""},
		when(bank < 90, line{"bank", mm(bank), "degrees against the horizontal"}),
		when(of != "", line{"of", str(of), ""}),
	)
	w.sunk = append(w.sunk, text.chapters[structure].String())
}

// edgeOf is where the upper level begins: at the line of its edge, else where its
// own area does; the north end where it is not used.
func (w *work) edgeOf(edge, high *zone) (y float64, there bool) {
	switch {
	case used(edge):
		return edge.at, true
	case used(high):
		return high.y0 - 2, true
	}
	return w.size.Y, false
}
