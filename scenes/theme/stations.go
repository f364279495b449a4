package theme

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/scenes"
)

// What every place has, in its own manner: a station a thing to show.

// flightFit is a flight of steps as it fits a base: from the middle of the base,
// mm.
type flightFit struct {
	head, shift, width float64 // the head's y, the middle's x
	run                float64
}

// run is the run of a flight of a profile from the lower level up by so much, mm.
// It is asked of the stair itself, so that it is what will be built.
func (w *work) run(profile, from, to string) float64 {
	text := fmt.Sprintf(`[scale]
ratio = %s
[ground]
size = [10, 10]
level = %s
[[stair]]
name = "probe"
from = %s
to = %s
head = [5, 5]
facing = "north"
profile = %q
`, mm(w.ask.Scale), from, from, to, profile)
	scene, err := scenes.Read("probe", []byte(text), nil)
	if err != nil {
		return math.Inf(1)
	}
	flight := parts.AllOf[parts.Climber](scene.Site)[0].Flight(scene.Site)
	return flight.Run()
}

// railInset is how far a rail along a stair runs on over its head, and how far
// within a flank its posts reach, at most, mm: by the rail's own inset.
func (w *work) railInset() float64 {
	_, post := w.post()
	return 2*math.Max(w.onPrint(0.05), 0.1) + post
}

const (
	// railHeight is how tall a rail is, m: its own default.
	railHeight = 1.1
	// stoutFrom is the height on the print, mm, from which on the rail's own
	// thicknesses would be too slender to print; stout is what part of it the posts
	// are then.
	stoutFrom, stout = 7.0, 1.0 / 9
)

// post is the thickness of a rail's posts as written, "" for the rail's own, and
// on the print, mm.
func (w *work) post() (string, float64) {
	const leastPin = 0.8
	if high := w.onPrint(railHeight); high > stoutFrom {
		return w.full(stout * high)
	}
	return "", math.Max(w.onPrint(0.1), leastPin)
}

// railLines is what every rail of the place has.
func (w *work) railLines() []line {
	m := w.theme.manner.rail
	out := []line{{"infill", str(m.infill), ""}}
	if m.infill == "rails" && m.rails > 0 {
		out = append(out, line{"rails", fmt.Sprint(m.rails), ""})
	}
	if m.section != "" {
		out = append(out, line{"section", str(m.section), ""})
	}
	if m.caps != "" {
		out = append(out, line{"caps", str(m.caps), ""})
	}
	text, post := w.post()
	if text == "" {
		return out
	}
	handrail, thick := w.full(0.8 * post)
	spacing, _ := w.full(math.Min(w.onPrint(1.5), 8*thick))
	out = append(out, line{"post", text, w.once("stout rail", "stouter than life, so that it does not snap")},
		line{"handrail", handrail, ""}, line{"spacing", spacing, ""})
	if m.infill == "balusters" {
		gap, _ := w.full(1.3 * post)
		out = append(out, line{"baluster", text, ""}, line{"gap", gap, ""})
	}
	if m.infill == "rails" {
		out = append(out, line{"baluster", handrail, ""})
	}
	return out
}

// fit finds a flight of a run its place on a base, with its head at so much
// above its foot; ok is false where none lies clear of the rim.
func (w *work) fit(b *berth, run float64) (flightFit, bool) {
	const least = 6.0
	beyond := w.railInset()
	luck := w.rand("flight on " + b.name)
	side := 1.0
	if luck.IntN(2) == 0 {
		side = -1
	}
	want := math.Max(least, math.Min(w.onPrint(w.theme.manner.stair.wide), 0.8*b.half.X))
	for width := want; width >= least; width = math.Min(width-0.5, 0.95*width) {
		for _, up := range []float64{0.12, 0.04, -0.04} {
			for _, shift := range []float64{0.16 * side, 0.08 * side, 0} {
				f := flightFit{run/2 + up*b.half.Y, tenth(shift * b.half.X), width, run}
				deep := math.Inf(1)
				for _, p := range box(f.shift-width/2-0.2, f.head-run, f.shift+width/2+0.2, f.head+beyond) {
					deep = math.Min(deep, depthIn(b.own, p))
				}
				if deep >= clearOfRim {
					return f, true
				}
			}
		}
	}
	return flightFit{}, false
}

// flight is the station of a flight of steps up the edge of the upper level.
func (w *work) flight() *station {
	m := w.theme.manner
	run := math.Inf(1)
	place := func(b *berth) (flightFit, bool) {
		if math.IsInf(run, 1) {
			run = w.run(m.stair.profile, mm(lowHeight), w.valueOf(m.high))
		}
		b.face(0)
		if b.foot.long > 1.35*b.foot.short {
			b.face(-90) // its pictures then look at the steps from below
		}
		return w.fit(b, run)
	}
	return &station{
		word: "the steps", least: greatSide, great: true, weight: 1.2,
		offset: func(b *berth) (float64, bool) {
			f, ok := place(b)
			return -tenth(f.head), ok
		},
		build: func(b *berth) {
			f, _ := place(b)
			b.lift = liftOf(b)
			w.steps(b, f, m.low, m.high, r2.Vec{X: tenth(b.at.X + f.shift), Y: b.zone.at})
			w.edgeRails(b, f)
		},
	}
}

// valueOf is a level's value as written.
func (w *work) valueOf(name string) string {
	for _, l := range w.levels {
		if l.name == name {
			return l.value
		}
	}
	return mm(lowHeight)
}

// liftOf is how far the ground of a large base stands above its rim, mm: room
// for a crater's depth.
func liftOf(b *berth) float64 {
	if b.side() >= standSide {
		return 2
	}
	return 0
}

// steps writes a stair with its rail.
func (w *work) steps(b *berth, f flightFit, from, to string, head r2.Vec) {
	m := w.theme.manner
	name := w.name(m.stair.stem)
	wide, width := w.full(f.width)
	if width > f.width+0.3 {
		wide, width = mm(tenth(f.width)), tenth(f.width)
	}
	const cheek = 0.2 // of a flank, m: its own default
	flanked := m.stair.flanks != "" && m.stair.flanks != "none" && width > 2*math.Max(1.2, w.onPrint(cheek))+4
	w.page.table(structure, "stair", w.once("stair", m.stair.note),
		line{"name", str(name), ""},
		line{"from", levelText(from), ""},
		line{"to", levelText(to), ""},
		line{"head", point(head), w.once("head", "the middle of the last riser; the foot follows the rise")},
		line{"facing", `"north"`, w.once("facing", "as one walks up")},
		line{"width", wide, ""},
		when(m.stair.profile != "comfort", line{"profile", str(m.stair.profile), ""}),
		when(flanked, line{"flanks", str(m.stair.flanks), ""}),
		when(m.stair.wear > 0, line{"wear", mm(m.stair.wear), ""}),
	)
	rail := w.name("rail")
	w.page.table(fittings, "rail", w.once("rail", "both flanks; it follows the stair when that moves"),
		append([]line{{"name", str(rail), ""}, {"along", str(name), ""}}, w.railLines()...)...)
	b.spares = append(b.spares, name, rail)
	run := f.run
	if to == m.high { // it may be lowered, and the run then be longer
		run = math.Max(run, w.run(m.stair.profile, mm(lowHeight), w.lowered()))
	}
	b.keep(box(head.X-width/2-0.6, head.Y-run-0.6, head.X+width/2+0.6, head.Y+w.railInset()+0.6))
}

// levelText is a level's name in quotes, or a height as it is.
func levelText(level string) string {
	if level != "" && (level[0] == '"' || level[0] >= '0' && level[0] <= '9') {
		return level
	}
	return str(level)
}

// lineRail writes a stretch of rail along a line that lies within a base.
func (w *work) lineRail(b *berth, level, note string, corners ...r2.Vec) {
	name := w.name("rail")
	w.page.table(fittings, "rail", note, append([]line{
		{"name", str(name), ""}, {"line", points(corners...), ""}, {"level", levelText(level), ""},
	}, w.railLines()...)...)
	b.spares = append(b.spares, name)
	b.keepAlong(3, corners)
}

// edgeRails guards the upper level beside a flight's head, as far as the base goes.
func (w *work) edgeRails(b *berth, f flightFit) {
	if w.rise < 4 {
		return
	}
	y := tenth(b.zone.at + w.railInset())
	outline := b.outline()
	for _, side := range []float64{-1, 1} {
		from := b.at.X + f.shift + side*(f.width/2+1.8+w.railInset())
		to := from
		for depthIn(outline, r2.Vec{X: to + side*0.5, Y: y}) >= clearOfRim+0.6 && math.Abs(to-from) < 40 {
			to += side * 0.5
		}
		if math.Abs(to-from) < math.Max(5, w.onPrint(1.2)) || depthIn(outline, r2.Vec{X: from, Y: y}) < clearOfRim+0.6 {
			continue
		}
		w.lineRail(b, w.theme.manner.high, "", r2.Vec{X: tenth(from), Y: y}, r2.Vec{X: tenth(to), Y: y})
	}
}

// drop is the station of the upper level's edge, without steps, for what is not
// large.
func (w *work) drop(word string, least float64, build func(b *berth)) *station {
	return &station{
		word: word, least: least, stand: r2.Vec{Y: -1},
		offset: func(b *berth) (float64, bool) {
			if w.rise > 0.34*b.side() && w.rise > 4 {
				return 0, false
			}
			if w.reserves(b) {
				return tenth(-0.36 * b.half.Y), true // room before it for a stand
			}
			return tenth(-0.08 * b.half.Y), true
		},
		build: build,
	}
}

// guarded puts a stretch of rail on the edge, and stones at its foot.
func (w *work) guarded(b *berth) {
	y := tenth(b.zone.at + w.railInset())
	outline := b.outline()
	half := 0.0
	isClear := func(x float64) bool { return depthIn(outline, r2.Vec{X: x, Y: y}) >= clearOfRim+0.6 }
	for half < 30 && isClear(b.at.X+half+0.5) && isClear(b.at.X-half-0.5) {
		half += 0.5
	}
	b.keep([]r2.Vec{{X: b.at.X - b.half.X, Y: b.zone.at}, {X: b.at.X + b.half.X, Y: b.zone.at}})
	if half > 4 && w.onPrint(1.1) < 0.6*b.side() {
		from := tenth(b.at.X - half)
		w.lineRail(b, w.theme.manner.high, "", r2.Vec{X: from, Y: y}, r2.Vec{X: tenth(b.at.X + 0.55*half), Y: y})
	}
	w.heap(b, patch(b.at.X-0.5*b.half.X, b.zone.at-0.42*b.half.Y, b.at.X+0.6*b.half.X, b.zone.at-0.3), 0.24)
}

// brink is the station of the edge of sunk ground to the south.
func (w *work) brink(word string, least, share float64, build func(b *berth)) *station {
	return &station{
		word: word, least: least, most: 75, stand: r2.Vec{Y: 1},
		offset: func(b *berth) (float64, bool) { return tenth(share * b.half.Y), true },
		build: func(b *berth) {
			b.lift = brinkLift
			b.keep([]r2.Vec{{X: b.at.X - b.half.X, Y: b.zone.at}, {X: b.at.X + b.half.X, Y: b.zone.at}})
			build(b)
		},
	}
}

// brinkLift is how far the ground of a base at sunk ground stands above its rim,
// mm: room for the depth.
const brinkLift = 1.0

// shellHole is the station of a crater with its spill.
func (w *work) shellHole() *station {
	return &station{word: "a shell hole", least: 34, build: func(b *berth) {
		b.lift = liftOf(b)
		w.hit(b, w.off(b, "hole", 0.14), math.Min(0.5*b.side(), 42))
	}}
}

// greatHole is the same for the large bases: with a wall that it has opened.
func (w *work) greatHole() *station {
	return &station{word: "a shell hole before a broken wall", least: greatSide, great: true, build: func(b *berth) {
		b.lift = liftOf(b)
		s := b.side()
		luck := w.rand("great hole on " + b.name)
		side := 1.0
		if luck.IntN(2) == 0 {
			side = -1
		}
		y := b.at.Y + 0.5*b.half.Y
		w.wall(b, b.zone.north, 0.3*s,
			r2.Vec{X: b.at.X - side*(b.half.X+1), Y: y},
			r2.Vec{X: b.at.X + side*0.28*b.half.X, Y: y})
		w.hit(b, r2.Vec{X: b.at.X + side*0.2*b.half.X, Y: b.at.Y - 0.08*b.half.Y}, math.Min(0.4*s, 46))
	}}
}

// pock is the station of small craters, for small bases.
func (w *work) pock() *station {
	return &station{word: "a small crater", least: 10, most: 40, weight: 0.8, build: func(b *berth) {
		w.hit(b, w.off(b, "pock", 0.13), 0.42*b.side())
	}}
}

// off is a place beside the middle of a base: by so much of its short side, in a
// direction drawn.
func (w *work) off(b *berth, purpose string, share float64) r2.Vec {
	luck := w.rand(purpose + " beside the middle of " + b.name)
	way := turned(r2.Vec{X: 1}, 360*luck.Float64())
	if b.kept != nil {
		way = turned(r2.Unit(r2.Sub(b.at, b.kept.at)), between(luck, -50, 50))
	}
	return r2.Add(b.at, r2.Scale(share*b.side(), way))
}

// torn is the station of a gouge across the base.
func (w *work) torn(word string) *station {
	return &station{word: word, least: 10, most: 70, build: func(b *berth) {
		luck := w.rand("scar on " + b.name)
		sin, cos := math.Sincos((20 + 50*luck.Float64()) * math.Pi / 180)
		if luck.IntN(2) == 0 {
			cos = -cos
		}
		r := 0.5*b.side() + 1
		u, n := r2.Vec{X: cos, Y: sin}, r2.Vec{X: -sin, Y: cos}
		w.gouge(b, math.Max(2, math.Min(5, 0.13*b.side())), 1.2,
			r2.Sub(b.at, r2.Scale(r, u)), r2.Add(b.at, r2.Scale(0.07*b.side(), n)), r2.Add(b.at, r2.Scale(0.55*r, u)))
		if b.side() >= 30 {
			p := r2.Add(b.at, r2.Scale(0.66*r, u))
			w.hit(b, p, 0.26*b.side())
		}
	}}
}

// wallEnd is the station of a wall that runs out on the base, and what fell of it.
func (w *work) wallEnd(word string, least float64) *station {
	return &station{word: word, least: least, most: 90, stand: r2.Vec{Y: -1}, build: func(b *berth) {
		luck := w.rand("wall on " + b.name)
		s := b.side()
		x := b.at.X + between(luck, -0.22, 0.22)*b.half.X
		end := b.at.Y + between(luck, -0.1, 0.15)*b.half.Y
		if b.kept != nil {
			end = math.Max(end, b.kept.at.Y+b.kept.wide/2+w.wallThick(b)/2+0.6+besideStand)
		}
		top := b.at.Y + b.half.Y + 1
		if luck.IntN(2) == 0 && s >= 30 { // a corner
			to := b.at.X + b.half.X + 1
			if x > b.at.X {
				to = b.at.X - b.half.X - 1
			}
			w.wall(b, b.zone.north, 0.36*s, r2.Vec{X: x, Y: top}, r2.Vec{X: x, Y: end}, r2.Vec{X: to, Y: end})
		} else {
			w.wall(b, b.zone.north, 0.36*s, r2.Vec{X: x, Y: top}, r2.Vec{X: x, Y: end})
		}
		w.heap(b, patch(x-0.3*s, end-0.26*s, x+0.3*s, end-0.6), 0.24)
	}}
}

// posts is the station of one or two posts.
func (w *work) posts(word string, most float64) *station {
	return &station{word: word, least: 12, most: most, build: func(b *berth) {
		s := b.side()
		at := []r2.Vec{w.off(b, "post", 0.22)}
		if s >= 30 {
			at = append(at, r2.Sub(r2.Scale(2, b.at), r2.Add(at[0], r2.Vec{X: 0.1 * s})))
		}
		w.columns(b, w.theme.manner.post, b.zone.north, 0.5*s, 0.16*s, at...)
		// Something came down beside them.
		luck := w.rand("beside the posts on " + b.name)
		away := turned(r2.Scale(-1, r2.Sub(at[0], b.at)), between(luck, 40, 80))
		p := r2.Add(b.at, away)
		p = tenthOf(p)
		if luck.IntN(2) == 0 {
			w.hit(b, p, 0.28*s)
		} else {
			w.heap(b, roundPatch(p, 0.32*s), 0.27)
		}
	}}
}

// shafts is the station of a column's stump, with what came down of it.
func (w *work) shafts(word string, least float64) *station {
	return &station{word: word, least: least, most: 90, build: func(b *berth) {
		s := b.side()
		p := w.off(b, "shaft", 0.2)
		w.columns(b, w.theme.manner.shaft, b.zone.north, 0.75*s, 0.22*s, p)
		far := r2.Sub(r2.Scale(2, b.at), p)
		w.heap(b, roundPatch(far, 0.36*s), 0.24)
	}}
}

// step is the station of a low step across the base, with paving of its own.
func (w *work) step(word, bond string, high float64) *station {
	return &station{word: word, least: 10, most: 75, stand: r2.Vec{Y: -1}, build: func(b *berth) {
		luck := w.rand("step on " + b.name)
		y := tenth(b.at.Y + between(luck, -0.1, 0.3)*b.half.Y)
		if b.kept != nil {
			y = math.Max(y, tenth(b.kept.at.Y+b.kept.wide/2+besideStand))
		}
		area := patch(b.at.X-b.half.X-1, y, b.at.X+b.half.X+1, b.at.Y+b.half.Y+1)
		level := above(b.zone.north, high)
		name := w.name("step")
		w.pavedDeck(b, name, "", level, area, "stones", bond, w.stone(7, 4.5))
		b.keep([]r2.Vec{{X: b.at.X - b.half.X, Y: y}, {X: b.at.X + b.half.X, Y: y}})
		x := b.at.X + between(luck, -0.4, 0)*b.half.X
		w.heap(b, patch(x, y-0.3*b.half.Y, x+0.6*b.half.X, y-0.4), 0.24)
	}}
}

// above is a height told from a level, in quotes, mm.
func above(level string, by float64) string { return str(level + " + " + mm(tenth(by))) }

// raise writes a deck at a height of its own on a base, which is a floor of it.
func (w *work) raise(b *berth, name, note, level string, area region) {
	w.page.table(structure, "deck", note,
		line{"name", str(name), ""},
		line{"level", level, w.once("level of a step", "told from a level: it follows when that moves")},
		line{"area", area.text, ""},
	)
	b.floors = append(b.floors, floor{area.plan, level})
}

// pavedDeck writes a deck at a height of its own and what it is paved with.
func (w *work) pavedDeck(b *berth, name, note, level string, area region, paved, bond, stone string) {
	w.raise(b, name, note, level, area)
	w.page.table(finishes, "paving", "",
		line{"name", str(name + "-" + paved), ""},
		line{"level", level, ""},
		line{"area", area.text, ""},
		line{"bond", str(bond), ""},
		line{"stone", stone, ""},
		line{"wear", "0.3", ""},
	)
}

// stone is the module of a bond, of about so many mm, in full size.
func (w *work) stone(long, short float64) string {
	a, _ := w.full(long)
	b, _ := w.full(short)
	return "[" + a + ", " + b + "]"
}
