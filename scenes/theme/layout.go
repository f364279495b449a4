package theme

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf/polygon"
)

const (
	// cellGap is the room between the boxes of two bases, and to the edge of the
	// ground, mm: a wall or a gouge may run a little out of its base and reach no other.
	cellGap = 5.0
	// greatSide is the least short side of a base for a flight of steps, mm.
	greatSide = 40.0
	// greatShare is how much of the largest base's short side a base needs to get
	// what large bases get.
	greatShare = 0.6
	// leaning is how much wider a square gets by the turn that lean gives it, at most.
	leaning = 1.19
)

// work is a scene on its way.
type work struct {
	theme *theme
	ask   Ask
	list  []entry

	page   page
	levels []level
	sunk   []string // tables of the ground: what is sunk and raised
	zones  []*zone
	berths []*berth
	size   r2.Vec         // of the ground, mm
	counts map[string]int // how many parts have a name of this stem
	rise   float64        // from the lower level to the upper, mm; 0 without an upper one
	great  []*berth       // the large bases, the largest first
	blows  []blow         // the craters, for the variants
	lots   []*lot         // the things, in the order in which they were first laid
	picked []*thing       // of the theme's things, by the seed
	girths map[string]float64
}

// level is a finished height of the scene.
type level struct{ name, value, note string }

// blow is a crater that was laid.
type blow struct {
	name     string
	at       r2.Vec
	diameter float64
}

// zone is a strip of the place from west to east: an area that bases lie in, in
// rows, or a line that they lie across.
type zone struct {
	name     string
	stations []*station
	line     bool
	beyond   float64       // of a line: room that it needs to its south, mm
	clear    float64       // of a line: room that it needs to its north, mm
	south    string        // level, of a line on its south side
	north    string        // level, of a line on its north side, else of all
	build    func(z *zone) // writes what runs through the whole zone, once it is laid
	berths   []*berth      // from west to east, row by row
	width    float64       // of a line: what its bases take up, mm
	y0, y1   float64       // its extent, mm
	at       float64       // of a line: its y, mm
	offsets  map[*berth]float64
}

// station is one thing to show, made for the base that shows it.
type station struct {
	word        string
	least, most float64 // short side of the bases that it is for, mm
	great       bool    // for the largest bases of a set
	weight      float64 // how often, against others; 0 is 1
	// offset is how far north of the zone's line the middle of the base lies, mm;
	// ok is false for a base that it does not suit.
	offset func(b *berth) (dy float64, ok bool)
	stand  r2.Vec // to which side of a small base its stand lies, of unit length; zero: drawn
	build  func(b *berth)
}

// berth is a base with its place.
type berth struct {
	foot    foot
	name    string
	turn    float64
	at      r2.Vec
	own     []r2.Vec // its outline about the origin, turned
	half    r2.Vec   // of its box, mm
	zone    *zone
	station *station
	lift    float64
	kept    *round     // the place kept for its stand, nil where none is
	floors  []floor    // that lie higher on it than its zone
	stand   string     // as written, or ""
	keeps   [][]r2.Vec // what stands on it or cuts into it, in the plan
	spares  []string   // what damage on it leaves whole
	things  []*thing   // that stand on it
}

func (b *berth) side() float64 { return b.foot.side() }

// outline is the base's outline on the ground.
func (b *berth) outline() []r2.Vec {
	out := make([]r2.Vec, len(b.own))
	for i, p := range b.own {
		out[i] = r2.Add(p, b.at)
	}
	return out
}

// face turns the base.
func (b *berth) face(turn float64) {
	b.turn = turn
	b.own = b.foot.outline(turn)
	b.half = extent(b.own)
}

// write lays the place out and writes it.
func (w *work) write() (string, error) {
	w.enlist()
	w.setLevels()
	w.zones = w.theme.zones(w)
	w.deal()
	w.lay()
	if w.size.X > mostGround || w.size.Y > mostGround {
		return "", fmt.Errorf("these bases need a ground of %.0f x %.0f mm; allowed: at most %d mm a side: fewer or smaller bases", w.size.X, w.size.Y, mostGround)
	}
	for _, z := range w.zones {
		if z.build != nil {
			z.build(z)
		}
	}
	for _, b := range w.inPlace() {
		b.kept = w.reserve(b)
		b.station.build(b)
		if b.zone.line {
			b.keep([]r2.Vec{{X: b.at.X - b.half.X, Y: b.zone.at}, {X: b.at.X + b.half.X, Y: b.zone.at}})
		}
		b.stand = w.stand(b)
		w.enrich(b)
	}
	w.writeLots()
	w.writeBases()
	w.writeVariants()
	w.writeHead()
	return w.page.text(), nil
}

// mostGround is the largest ground that a scene may have, mm.
const mostGround = 5000

// enlist makes the bases of the list, the largest first.
func (w *work) enlist() {
	most := 0.0
	for _, e := range w.list {
		most = math.Max(most, e.foot.side())
	}
	least := math.Max(greatSide, greatShare*most)
	size := func(f foot) int {
		switch {
		case f.side() >= least:
			return 2
		case f.side() > 32:
			return 1
		}
		return 0
	}
	names := w.nameEntries(size)
	for i, e := range w.list {
		for n := range e.count {
			b := &berth{foot: e.foot, name: names[i]}
			if e.count > 1 {
				b.name = fmt.Sprintf("%s-%d", names[i], n+1)
			}
			b.face(0)
			w.berths = append(w.berths, b)
			if size(e.foot) == 2 {
				w.great = append(w.great, b)
			}
		}
	}
	bySide := func(a, b *berth) int { return cmp.Compare(b.side(), a.side()) }
	slices.SortStableFunc(w.great, bySide)
}

// nameEntries gives each entry of the list a name of the theme's for its size, the
// largest the first, and where these run out one of its footprint.
func (w *work) nameEntries(size func(foot) int) []string {
	order := make([]int, len(w.list))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(w.list[b].foot.side(), w.list[a].foot.side())
	})
	out := make([]string, len(w.list))
	taken := [3]int{}
	for _, i := range order {
		f := w.list[i].foot
		of := size(f)
		if names := w.theme.names[of]; taken[of] < len(names) {
			out[i] = names[taken[of]]
			taken[of]++
			continue
		}
		out[i] = f.word + "-" + mm(f.long)
		if f.two() {
			out[i] += "x" + mm(f.short)
		}
		out[i] = nameOf(out[i])
	}
	return out
}

// nameOf makes a name of what may stand in one: a decimal point may not.
func nameOf(text string) string {
	out := []rune(text)
	for i, r := range out {
		if r == '.' {
			out[i] = '_'
		}
	}
	return string(out)
}

// deal gives each base a zone and something to show: the largest first, and each
// the thing that was dealt least often, for its weight, of those that suit it.
func (w *work) deal() {
	order := slices.Clone(w.berths)
	slices.SortStableFunc(order, func(a, b *berth) int { return cmp.Compare(b.side(), a.side()) })
	row := w.rowWidth()
	dealt := map[*station]float64{}
	luck := w.rand("what each base shows")
	for _, b := range order {
		var best *station
		var at *zone
		dy, share, turn := 0.0, 0.0, 0.0
		great := slices.Contains(w.great, b)
		for pass := 0; pass < 2 && best == nil; pass++ {
			for _, z := range w.zones {
				for _, s := range z.stations {
					if b.side() < s.least || s.most > 0 && b.side() > s.most {
						continue
					}
					if great && !s.great && pass == 0 || s.great && !great {
						continue
					}
					weight := s.weight
					if weight == 0 {
						weight = 1
					}
					mine := (dealt[s] + 1) / weight * between(luck, 0.9, 1.1)
					if best != nil && mine >= share {
						continue
					}
					b.face(0)
					offset, ok := 0.0, true
					if s.offset != nil {
						offset, ok = s.offset(b)
					}
					if z.line && z.width+2*b.half.X+cellGap > row-cellGap && z.width > 0 {
						ok = false
					}
					if !ok {
						continue
					}
					best, at, dy, share, turn = s, z, offset, mine, b.turn
				}
			}
		}
		b.face(turn)
		b.zone, b.station = at, best
		dealt[best]++
		at.berths = append(at.berths, b)
		at.width += 2*b.half.X + cellGap
		if at.line {
			if at.offsets == nil {
				at.offsets = map[*berth]float64{}
			}
			at.offsets[b] = dy
		}
	}
}

// rowWidth is how wide the rows of bases get, mm: a little wider than deep in all.
func (w *work) rowWidth() float64 {
	sum, widest := 0.0, 0.0
	for _, b := range w.berths {
		long, short := 2*math.Max(b.half.X, b.half.Y), 2*math.Min(b.half.X, b.half.Y)
		if b.foot.word != "round" {
			long *= leaning
		}
		reach := long + cellGap
		sum += reach * (short + cellGap)
		widest = math.Max(widest, reach)
	}
	return math.Ceil(math.Max(widest+cellGap, math.Sqrt(1.6*sum)))
}

// lay gives every base its place, zone by zone from the south, and the ground its size.
func (w *work) lay() {
	width := w.rowWidth()
	y := cellGap
	for _, z := range w.zones {
		if len(z.berths) == 0 {
			z.y0, z.y1 = y, y
			continue
		}
		luck := w.rand("order of zone " + z.name)
		z.y0 = y
		if z.line {
			south, north := z.beyond, z.clear
			for _, b := range z.berths {
				south = math.Max(south, b.half.Y-z.offsets[b])
				north = math.Max(north, b.half.Y+z.offsets[b])
			}
			z.at = math.Ceil(y + south)
			for _, b := range z.berths {
				b.at.Y = tenth(z.at + z.offsets[b])
			}
			luck.Shuffle(len(z.berths), func(i, k int) { z.berths[i], z.berths[k] = z.berths[k], z.berths[i] })
			spread(z.berths, width, luck.Float64)
			y = math.Ceil(z.at + north + cellGap)
			z.y1 = y
			continue
		}
		for _, b := range z.berths {
			w.lean(b, luck.Float64())
		}
		slices.SortStableFunc(z.berths, func(a, b *berth) int { return cmp.Compare(b.half.Y, a.half.Y) })
		var rows [][]*berth
		left := 0.0
		for _, b := range z.berths {
			if need := 2*b.half.X + cellGap; need > left {
				rows = append(rows, nil)
				left = width - cellGap
			}
			rows[len(rows)-1] = append(rows[len(rows)-1], b)
			left -= 2*b.half.X + cellGap
		}
		luck.Shuffle(len(rows), func(i, k int) { rows[i], rows[k] = rows[k], rows[i] })
		for _, row := range rows {
			deep := 0.0
			for _, b := range row {
				deep = math.Max(deep, 2*b.half.Y)
			}
			for _, b := range row {
				b.at.Y = tenth(y + b.half.Y + between(luck, 0.2, 0.8)*(deep-2*b.half.Y))
			}
			luck.Shuffle(len(row), func(i, k int) { row[i], row[k] = row[k], row[i] })
			spread(row, width, luck.Float64)
			y = math.Ceil(y + deep + cellGap)
		}
		z.y1 = y
	}
	w.size = r2.Vec{X: width, Y: math.Ceil(y)}
}

// lean turns a base in an area a little, so that not all lie square.
func (w *work) lean(b *berth, luck float64) {
	if b.foot.word == "round" {
		return
	}
	b.face(math.Round(24*luck - 12))
}

// spread sets a row of bases across the width with the room that is left shared
// out between them, by luck.
func spread(row []*berth, width float64, luck func() float64) {
	room := width - cellGap
	for _, b := range row {
		room -= 2*b.half.X + cellGap
	}
	shares, sum := make([]float64, len(row)+1), 0.0
	for i := range shares {
		shares[i] = 0.5 + luck()
		sum += shares[i]
	}
	x := cellGap
	for i, b := range row {
		x += math.Max(0, room) * shares[i] / sum
		b.at.X = tenth(x + b.half.X)
		x += 2*b.half.X + cellGap
	}
}

// inPlace lists the bases from south to north, by zone and then as they lie.
func (w *work) inPlace() []*berth {
	var out []*berth
	for _, z := range w.zones {
		out = append(out, z.berths...)
	}
	return out
}

// used says that bases lie in one of the zones.
func used(zones ...*zone) bool {
	return slices.ContainsFunc(zones, func(z *zone) bool { return len(z.berths) > 0 })
}

// floor is a floor of its own on a base: where, and its level as written.
type floor struct {
	plan  []r2.Vec
	level string
}

// levelAt is the level that lies at a place of the base, as written: a name, or a height
// told from one in quotes.
func (b *berth) levelAt(p r2.Vec) string {
	for _, f := range slices.Backward(b.floors) {
		if polygon.Contains(f.plan, p) {
			return f.level
		}
	}
	if b.zone.line && p.Y < b.zone.at {
		return b.zone.south
	}
	return b.zone.north
}
