package theme

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/scenes"
)

// thing is something that stands about in a place, alone or in a group: casks, crates,
// stumps.
type thing struct {
	kind string
	stem string // its name in the scene
	note string
	most int     // how many of it stand together, at most; 0 is 1
	size []sized // its lengths, where they are not the kind's own or may have to be drawn larger
	keys []line  // what else it has
}

// sized is a length of a thing in the place, m, by its key.
type sized struct {
	key  string
	long float64
}

// lot is a thing with the places that it has in the scene.
type lot struct {
	of *thing
	at []r2.Vec
}

const (
	// leastThing is the longest side of a thing from which on it reads, mm: what is smaller
	// is drawn larger (common practice, no source).
	leastThing = 3.2
	// variety is how many of a theme's things the seed picks for a place.
	variety = 8
	// smallThings is how many of these at least have room on the smallest base, where as many
	// do: with a radius of that share of its short side.
	smallThings, smallShare = 4, 0.18
	// thingPlay is the room between two things of a group, as a share of their radius.
	thingPlay = 0.04
)

// lines are what a thing's table holds besides its name and places.
func (w *work) lines(t *thing) (out []line) {
	longest := 0.0
	for _, s := range t.size {
		longest = math.Max(longest, w.onPrint(s.long))
	}
	kind := parts.KindOf(t.kind).Keys()
	for _, s := range t.size {
		text := fmt.Sprintf("%q", mm(s.long)+" m")
		if s.long < 1 {
			text = fmt.Sprintf("%q", mm(1000*s.long)+" mm")
		}
		if longest < leastThing {
			text, _ = w.full(leastThing / longest * w.onPrint(s.long))
		}
		usual := func(k parts.Key) bool { return k.Word == s.key && fmt.Sprintf("%q", k.Default) == text }
		if !slices.ContainsFunc(kind, usual) {
			out = append(out, line{s.key, text, ""})
		}
	}
	return append(out, t.keys...)
}

// probe lays one part out at the place's scale, and gives what it covers: it is asked of the
// part itself, so that it is what will be built.
func (w *work) probe(kind string, lines ...line) []parts.Extent {
	var text page
	text.table(structure, kind, "", append([]line{{"name", `"probe"`, ""}}, lines...)...)
	scene, err := scenes.Read("probe", fmt.Appendf(nil, "[scale]\nratio = %s\n[ground]\nsize = [2000, 2000]\nlevel = 3\n%s",
		mm(w.ask.Scale), text.chapters[structure].String()), nil)
	if err != nil {
		return nil
	}
	placed, _ := scene.Site.Find("probe").(parts.Placed)
	if placed == nil {
		return nil
	}
	return placed.Extents(scene.Site)
}

// girth is the radius of one of a thing as it is drawn, however it is turned, mm; without end
// where the kind cannot be drawn at the scale.
func (w *work) girth(t *thing) float64 {
	if r, ok := w.girths[t.stem]; ok {
		return r
	}
	middle := r2.Vec{X: 1000, Y: 1000}
	all, radius := w.probe(t.kind, append(w.lines(t), line{"at", points(middle), ""})...), 0.0
	for _, e := range all {
		for _, p := range e.Points {
			radius = math.Max(radius, r2.Norm(r2.Sub(p, middle))+e.Wide)
		}
	}
	if len(all) == 0 {
		radius = math.Inf(1)
	}
	w.girths[t.stem] = radius
	return radius
}

// palette is the things that the seed picked for the place, of different kinds first.
func (w *work) palette() []*thing {
	if w.picked == nil {
		apart := func(t *thing) bool { return slices.Contains(w.theme.apart, t.stem) }
		all := slices.DeleteFunc(slices.Clone(w.theme.things), apart)
		w.rand("things of the place").Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
		again := map[*thing]int{} // how many of its kind come before it
		kinds := map[string]int{}
		for _, t := range all {
			again[t] = kinds[t.kind]
			kinds[t.kind]++
		}
		slices.SortStableFunc(all, func(a, b *thing) int { return again[a] - again[b] })
		// Small bases have room for small things alone: some of them come first.
		least := math.Inf(1)
		for _, b := range w.berths {
			least = math.Min(least, b.side())
		}
		small := 0
		for i, t := range all {
			if small < smallThings && w.girth(t) <= smallShare*least {
				copy(all[small+1:i+1], all[small:i])
				all[small] = t
				small++
			}
		}
		w.picked = all[:min(variety, len(all))]
	}
	return w.picked
}

// thing is the theme's thing of a stem.
func (w *work) thing(stem string) *thing {
	for _, t := range w.theme.things {
		if t.stem == stem {
			return t
		}
	}
	panic("theme " + w.theme.name + " has no " + stem)
}

// laid is how many of a thing have a place.
func (w *work) laid(t *thing) int {
	for _, l := range w.lots {
		if l.of == t {
			return len(l.at)
		}
	}
	return 0
}

// spot is the place on a base that has most room, clear of its stand and of sunk ground.
func (w *work) spot(b *berth, purpose string) (at r2.Vec, far float64) {
	sunk := w.theme.manner.sunk
	return w.free(b, purpose, func(p r2.Vec) bool { return sunk == "" || b.levelAt(p) != sunk })
}

// setDown gives a group of a thing its places, as many as the room about the middle holds.
func (w *work) setDown(b *berth, t *thing, middle r2.Vec, far float64) {
	r := w.girth(t)
	luck := w.rand(fmt.Sprintf("group of %s at %s on %s", t.stem, point(middle), b.name))
	n, off := 1, 0.0
	switch {
	case t.most >= 3 && far >= 2.2*r:
		n, off = 3, 2/math.Sqrt(3)*r*(1+thingPlay)
	case t.most >= 2 && far >= 2.1*r:
		n, off = 2, r*(1+thingPlay)
	}
	turn := 360 * luck.Float64()
	for i := range n {
		p := r2.Add(middle, turned(r2.Vec{X: off}, turn+360*float64(i)/float64(n)))
		w.place(b, t, tenthOf(p))
	}
}

// row sets some of a thing down in a row about a place, as many as lie on the base and clear
// of what is there.
func (w *work) row(b *berth, t *thing, middle r2.Vec, reach float64, most int) {
	r, outline := w.girth(t), b.outline()
	for i := range most {
		p := middle
		if most > 1 {
			p.X += reach * (2*float64(i)/float64(most-1) - 1)
		}
		if p = tenthOf(p); b.clearOf(p, r) && b.roomAt(outline, p) >= r {
			w.place(b, t, p)
		}
	}
}

// place gives one thing its place.
func (w *work) place(b *berth, t *thing, at r2.Vec) {
	b.keep(ringOf(at, w.girth(t)+0.1))
	b.things = append(b.things, t)
	for _, l := range w.lots {
		if l.of == t {
			l.at = append(l.at, at)
			return
		}
	}
	w.lots = append(w.lots, &lot{t, []r2.Vec{at}})
}

// writeLots writes a table for each thing, with all its places.
func (w *work) writeLots() {
	for _, l := range w.lots {
		name := w.name(l.of.stem)
		lines := []line{{"name", str(name), ""}, {"at", points(l.at...), ""}}
		lines = append(lines, w.lines(l.of)...)
		if !slices.ContainsFunc(lines, func(l line) bool { return l.key == "turn" || l.key == "stray" }) {
			lines = append(lines, line{"stray", "180", w.once("stray", "each is turned its own way, by the seed")})
		}
		w.page.table(fittings, l.of.kind, l.of.note, lines...)
	}
}

// left is the station of things that were left about: the first of the stems where it has
// room, and then others of them.
func (w *work) left(word string, least, most float64, stems ...string) *station {
	return &station{
		word: word, least: least, most: most,
		offset: func(b *berth) (float64, bool) {
			room := 0.3 * b.side()
			if w.reserves(b) {
				room = (b.side() - 2*taper - w.footWide(b) - besideStand - 1) / 2
			}
			return 0, slices.ContainsFunc(stems, func(stem string) bool { return w.girth(w.thing(stem)) <= room })
		},
		build: func(b *berth) {
			done := false
			for i := range 3 {
				at, far := w.spot(b, fmt.Sprintf("left %d", i))
				if i == 0 && b.kept == nil { // off the middle: a stand will want room
					most := (0.5*b.side() - taper - 0.4 - w.girth(w.thing(stems[0]))) / b.side()
					at = w.off(b, "left", math.Max(0.1, math.Min(0.22, most)))
					far = b.roomAt(b.outline(), at)
				}
				if i > 0 {
					far *= 0.8
				}
				t := w.choose(b, far, w.wanted(stems[:1]))
				if t == nil || i > 0 {
					t = w.choose(b, far, w.wanted(stems))
				}
				if t == nil {
					t = w.choose(b, far, stems)
				}
				if t != nil {
					w.setDown(b, t, at, math.Min(far, 0.3*b.side()))
					done = true
				}
			}
			if !done {
				w.hit(b, w.off(b, "instead", 0.13), 0.32*b.side())
			}
		},
	}
}

// wanted are those of the stems that the seed picked for the place.
func (w *work) wanted(stems []string) (out []string) {
	for _, stem := range stems {
		if slices.Contains(w.palette(), w.thing(stem)) {
			out = append(out, stem)
		}
	}
	return out
}

// great makes a station one for the largest bases of a set.
func great(s *station) *station {
	s.great, s.least, s.most = true, greatSide, 0
	return s
}

// choose picks of some things one that has room: a large one, one that was laid seldom, and
// none that the base has, if it can.
func (w *work) choose(b *berth, far float64, stems []string) (best *thing) {
	luck := w.rand(fmt.Sprintf("choice of %d on %s", len(b.keeps), b.name))
	least := 0.0
	for _, stem := range stems {
		t := w.thing(stem)
		r := w.girth(t)
		if r > far {
			continue
		}
		mine := (float64(w.laid(t)) + 0.3) * between(luck, 0.7, 1.3) / math.Sqrt(r)
		if slices.Contains(b.things, t) {
			mine *= 3 // rather something else
		}
		if best == nil || mine < least {
			best, least = t, mine
		}
	}
	return best
}

// enrich gives a base more to look at than its one station: things of the place, on larger
// ones a heap and a crater too. It leaves the stand alone.
func (w *work) enrich(b *berth) {
	const each = 1100 // mm2 for one thing more, and most things
	var stems []string
	for _, t := range w.palette() {
		stems = append(stems, t.stem)
	}
	more := int(math.Min(10, 2+b.foot.long*b.foot.short/each))
	for n := range more {
		at, far := w.spot(b, "more "+mm(float64(n)))
		t := w.choose(b, far, stems)
		switch {
		case n%4 == 1 && far >= 5:
			w.heap(b, roundPatch(at, math.Min(1.6*far, 0.3*b.side())), 0.27)
		case n%4 == 3 && far >= 5:
			w.hit(b, at, math.Min(1.5*far, 0.32*b.side()))
		case t != nil:
			w.setDown(b, t, at, 0.9*far)
		case far >= 5 && b.side() >= 30:
			w.heap(b, roundPatch(at, math.Min(1.6*far, 0.3*b.side())), 0.27)
		default:
			return
		}
	}
}
