package theme

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/base"
	"socle/sdf/polygon"
)

const (
	// standSide is the least short side of a base that gets a stand, mm.
	standSide = 50.0
	// leastStand and mostStand bound its diameter, mm: under the first no foot
	// finds room, over the second it is a floor and no longer a place.
	leastStand, mostStand = 8.0, 26.0
	// smallStand is the least diameter of a stand on a smaller base, mm.
	smallStand = 6.0
	// evenFrom is the scale from which on paving is even enough for a foot: below,
	// its stones lie too far up and down.
	evenFrom = 150
	// taper is how far the top of a rim lies inside its foot, mm: the base's own default.
	taper = 1.0
)

// magnetHigh is the height of every magnet, mm: damage and pits may go down to
// what is kept over it.
const magnetHigh = 1.0

// magnets is how many magnets a base gets. Their pockets leave room at the rim by
// the rules of a base.
func (b *berth) magnets() int {
	switch side := b.side(); {
	case side >= 110:
		return 4
	case side >= 60:
		return 3
	}
	return 1
}

// magnet is the magnets as written.
func (b *berth) magnet() string {
	count := b.magnets()
	wide := 5.0
	switch side := b.side(); {
	case side < 14:
		wide = 3
	case side >= 60:
		wide = 8
	case side >= 38:
		wide = 6
	}
	if count == 1 {
		return fmt.Sprintf("[{ disc = [%s, %s] }]", mm(wide), mm(magnetHigh))
	}
	return fmt.Sprintf("[{ disc = [%s, %s], count = %d }]", mm(wide), mm(magnetHigh), count)
}

// free finds the place on the base that is farthest from its rim and from all
// that is kept, of many drawn: its middle and how far that is, mm.
func (w *work) free(b *berth, purpose string, wanted func(r2.Vec) bool) (at r2.Vec, far float64) {
	const draws = 300
	luck := w.rand(purpose + " on " + b.name)
	outline := b.outline()
	far = -1
	for range draws {
		p := r2.Vec{X: tenth(b.at.X + between(luck, -1, 1)*b.half.X), Y: tenth(b.at.Y + between(luck, -1, 1)*b.half.Y)}
		if wanted != nil && !wanted(p) {
			continue
		}
		d := b.roomAt(outline, p)
		if b.kept != nil && b.stand == "" {
			d = math.Min(d, r2.Norm(r2.Sub(p, b.kept.at))-b.kept.wide/2-besideStand)
		}
		if d > far {
			at, far = p, d
		}
	}
	return at, far
}

// stand is a stand's text, "" where there is no room for one that a figure stands on,
// and on a small base with ground enough left for a foot. It lies on the base's own
// level, or on a floor that lies higher on it.
func (w *work) stand(b *berth) string {
	if b.kept != nil {
		if far := b.roomAt(b.outline(), b.kept.at); 2*far+0.1 >= b.kept.wide {
			return b.standAt(b.kept.at, b.kept.wide)
		}
		b.kept = nil
	}
	own := b.zone.north
	if b.zone.line {
		own = b.zone.south
		if own == w.theme.manner.sunk && own != "" {
			own = b.zone.north
		}
	}
	at, far := w.free(b, "stand", func(p r2.Vec) bool {
		level := b.levelAt(p)
		return level == own || level != b.zone.south && level != b.zone.north
	})
	wide := math.Floor(math.Min(mostStand, 2*far-0.6))
	least := halves(stance(b.side(), w.person()))
	if b.side() < standSide {
		foot := math.Floor(base.FootOn(b.side()))
		if wide >= foot && w.ask.Scale >= evenFrom {
			b.keep(ringOf(at, foot/2+0.3))
			return "" // the paving will do
		}
		if wide < math.Max(smallStand, least) {
			return ""
		}
		wide = math.Min(wide, math.Max(foot, math.Max(smallStand, least)))
	} else if wide < math.Max(leastStand, least) {
		return ""
	}
	return b.standAt(at, wide)
}

// standAt is a stand at a place, as written.
func (b *berth) standAt(at r2.Vec, wide float64) string {
	p := turned(r2.Sub(at, b.at), -b.turn)
	b.keep(ringOf(at, wide/2))
	return fmt.Sprintf("[{ at = %s, round = %s, level = %s }]", point(tenthOf(p)), mm(wide), levelText(b.levelAt(at)))
}

// roomAt is how far a place is from the rim of an outline and from all that is kept, mm.
func (b *berth) roomAt(outline []r2.Vec, p r2.Vec) float64 {
	d := depthIn(outline, p) - taper - 0.3
	for _, k := range b.keeps {
		if len(k) > 2 && polygon.Contains(k, p) {
			return -1
		}
		for i := range k {
			d = math.Min(d, toSide(p, k[i], k[(i+1)%len(k)]))
		}
	}
	return d
}

// writeBases writes the set in the order of the list.
func (w *work) writeBases() {
	for _, b := range w.berths {
		stand, turn, lift := line{}, line{}, line{}
		if b.stand != "" {
			stand = line{"stand", b.stand, w.once("stand", "kept flat and clear for a foot")}
		}
		if b.turn != 0 {
			turn = line{"turn", mm(b.turn), ""}
		}
		if b.lift > 0 {
			lift = line{"lift", mm(b.lift), w.once("lift", "the ground stands above the rim: room for what goes deep")}
		}
		w.page.table(set, "base", "shows "+b.station.word,
			line{"name", str(b.name), ""},
			line{b.foot.word, b.foot.value(), ""},
			line{"at", point(b.at), ""},
			turn,
			lift,
			line{"magnet", b.magnet(), ""},
			stand,
		)
	}
}

// writeVariants writes what may come next to the place.
func (w *work) writeVariants() {
	var most *blow
	for i := range w.blows {
		if most == nil || w.blows[i].diameter > most.diameter {
			most = &w.blows[i]
		}
	}
	if most != nil {
		to := r2.Vec{X: tenth(most.at.X + 0.12*most.diameter), Y: tenth(most.at.Y - 0.08*most.diameter)}
		w.page.table(otherDays, "variant", "the same shell, a little further on and larger",
			line{"name", str("second-shelling"), ""},
			line{"set", fmt.Sprintf("{ \"crater.%s.at\" = %s, \"crater.%s.diameter\" = %s }", most.name, point(to), most.name, mm(tenth(1.15*most.diameter))), ""},
		)
	}
	if m := w.theme.manner; m.high != "" && w.rise > 0 && w.usesHigh() {
		text := w.lowered()
		w.page.table(otherDays, "variant", "all that stands on it follows",
			line{"name", str("lower-" + m.high), ""},
			line{"set", fmt.Sprintf("{ \"levels.%s\" = %s }", m.high, text), ""},
		)
	}
	if len(w.page.chapters[otherDays].String()) == 0 {
		w.page.table(otherDays, "variant", "the same place drawn smaller",
			line{"name", str("smaller"), ""},
			line{"set", fmt.Sprintf("{ \"scale.ratio\" = %s }", mm(math.Round(1.15*w.ask.Scale))), ""},
		)
	}
}

// lowered is the upper level in the variant that lowers it, as written.
func (w *work) lowered() string {
	text, _ := w.full(lowHeight + 0.8*w.rise)
	return text
}

// usesHigh says that something of the scene is at the upper level.
func (w *work) usesHigh() bool {
	return strings.Contains(w.page.chapters[structure].String()+strings.Join(w.sunk, ""), str(w.theme.manner.high))
}

// writeHead writes what comes before the parts: title, scale, printer, levels, ground.
func (w *work) writeHead() {
	h := &w.page.head
	m := w.theme.manner
	fmt.Fprintf(h, "# %s: %s, 1:%s, with %s.\n", w.ask.Title, w.theme.doc, mm(w.ask.Scale), counted(len(w.berths), "base"))
	fmt.Fprintf(h, `#
#   socle build THIS-FILE.toml         builds every base; --setting draft is quick
#   socle picture THIS-FILE.toml       only draws them
#   socle parts stair                  lists the keys of a stair
#
# It is yours from here on: move things, take them out, add to them. A plain number
# is mm on the print, text with a unit is full size, angles are degrees from east,
# anticlockwise. x runs east, y north. Each base has its own place: what it shows was
# laid to lie within it, so that moving a base means moving that too.

`)
	writeLine(h, "title = "+str(w.ask.Title), "")
	writeLine(h, fmt.Sprintf("seed = %d", w.ask.Seed), "every random choice; a part with a seed of its own looks another way")
	h.WriteString("\n[scale]\n")
	writeLine(h, "ratio = "+mm(w.ask.Scale), "1 : "+mm(w.ask.Scale))
	writeLine(h, `person = "1.75 m"`, "the yardstick that the place is scaled against")
	h.WriteString("\n")
	writeLine(h, "[printer]", "yours, in mm: a build is as fine as it can print")
	h.WriteString("layer = 0.05\n")
	writeLine(h, "pixel = 0.05", `for filament: process = "filament" and nozzle = 0.4`)
	writeLine(h, "# plate = [130, 80]", "what it holds, and tallest = 160: then it is checked")
	h.WriteString("\n")
	writeLine(h, "[levels]", "finished heights: change one, and all that stands on it follows")
	for _, l := range w.levels {
		switch {
		case l.name == m.high && !w.usesHigh():
			continue
		case l.name == m.sunk && !strings.Contains(strings.Join(w.sunk, ""), str(m.sunk)):
			continue
		}
		writeLine(h, l.name+" = "+l.value, l.note)
	}
	h.WriteString("\n[ground]\n")
	writeLine(h, fmt.Sprintf("size = [%s, %s]", mm(w.size.X), mm(w.size.Y)), "from the origin to the east and to the north")
	writeLine(h, "level = "+str(m.low), "")
	for _, l := range m.ground {
		writeLine(h, l.key+" = "+l.value, l.note)
	}
	for _, t := range w.sunk {
		h.WriteString("\n" + t)
	}
}

// counted is a number of things in words: "1 base", "12 bases".
func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}
