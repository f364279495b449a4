package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// mill is the yard of a water mill: a race, millstones, a loading deck.
func mill() *theme {
	return &theme{
		name: "mill", doc: "the yard of a water mill: a race, millstones, a loading floor and its steps",
		title: "Dunnock Mill", ratio: 72,
		bases: "oval90x52,round50x2,stadium60x35x2,round32x6,round25x3",
		names: [3][]string{{"miller", "carter", "archer", "ferret"}, {"foragers", "sentry", "scouts", "bailiff"}, {"waggon", "millwright", "giant", "siege-crew"}},
		manner: manner{
			low: "yard", high: "loading", sunk: "race",
			highNote: "the loading floor, as high as a waggon's bed and more", sunkNote: "the bed of the race",
			most: 10, dip: 2.6,
			stair: flightManner{"loading-steps", "private", "", 1.5, 0.45, "worn in the middle: dished treads, chipped nosings"},
			wall:  wallManner{"mill-wall", "block", 1.9, 0.3, 0.45, 0.55, "field stone, roughly coursed"},
			post:  columnManner{"mooring", 0.7, 0.2, 0.85, "none", "none", 0, 0.15, "stumps of oak posts"},
			shaft: columnManner{"wheel-post", 1.6, 0.32, 0.95, "plinth", "none", 0, 0.35, "posts that carried the wheel and the hoist"},
			rail:  railManner{"rails", "square", "", 1, ""},
			hit:   "hole", rubble: "fieldstones", scar: "rut",
		},
		things: []*thing{
			{"barrel", "keg", "kegs of ale for the carters", 3, []sized{{"height", 0.55}, {"diameter", 0.42}}, nil},
			{"sacks", "flour", "sacks of flour", 1, []sized{{"length", 0.7}, {"width", 0.42}, {"height", 0.22}}, nil},
			{"crate", "hamper", "", 2, []sized{{"length", 0.6}, {"width", 0.42}, {"height", 0.4}}, nil},
			{"log", "log", "for the saw", 1, []sized{{"length", 1.5}, {"diameter", 0.3}}, nil},
			{"stump", "stump", "the stump that they split wood on", 1, []sized{{"height", 0.4}, {"diameter", 0.32}}, []line{{"spread", "2", ""}}},
			{"beams", "timber", "the timbers of the old wheel", 1, []sized{{"length", 1.5}, {"width", 0.14}, {"depth", 0.18}}, []line{{"count", "3", ""}}},
			{"sign", "finger-post", "", 1, []sized{{"height", 2}}, []line{{"length", `"550 mm"`, ""}, {"lean", "6", ""}}},
			{"boulder", "boulder", "", 2, []sized{{"size", 0.55}}, nil},
			{"boulder", "stone", "", 3, []sized{{"size", 0.3}}, []line{{"wear", "0.6", ""}}},
			{"reeds", "rushes", "", 3, []sized{{"height", 0.5}, {"clump", 0.34}}, nil},
			{"trestle", "saw-horse", "", 1, []sized{{"length", 1.2}, {"height", 0.8}, {"spread", 0.6}}, nil},
			{"stakes", "hitching-post", "", 2, []sized{{"height", 0.9}, {"thickness", 0.11}},
				[]line{{"of", `"sawn"`, ""}, {"head", `"beaten"`, ""}, {"lean", "8", ""}}},
		},
		zones: func(w *work) []*zone {
			race := &zone{name: "race", line: true, beyond: 18, south: "race", north: "yard"}
			yard := &zone{name: "yard", north: "yard"}
			edge := &zone{name: "loading-edge", line: true, south: "yard", north: "loading"}
			loading := &zone{name: "loading", north: "loading"}
			race.stations = []*station{w.brink("rushes at the mill race", 24, 0.2, func(b *berth) {
				w.row(b, w.thing("rushes"), r2.Vec{X: b.at.X, Y: b.zone.at + 1.4*w.girth(w.thing("rushes"))}, 0.9*b.half.X, 3)
			}), w.brink("the mill race and its sluice posts", 24, 0.2, func(b *berth) {
				s := b.side()
				y := b.zone.at + math.Max(2.4, 0.08*s)
				w.columns(b, w.theme.manner.post, "yard", 0.3*s, 0.11*s, r2.Vec{X: b.at.X - 0.3*b.half.X, Y: y}, r2.Vec{X: b.at.X + 0.22*b.half.X, Y: y})
				w.heap(b, patch(b.at.X-0.5*b.half.X, b.zone.at-0.4*b.half.Y, b.at.X+0.5*b.half.X, b.zone.at-0.5), 0.24)
			})}
			yard.stations = []*station{
				w.greatHole(), w.millstones(), w.shellHole(), w.torn("the rut of a waggon"), w.wallEnd("a mill wall", 28), w.posts("post stumps", 40),
				w.pock(),
			}
			edge.stations = []*station{w.flight(), w.drop("the edge of the loading floor", 34, w.guarded)}
			fence := &course{"fence", "fence", "a fence of split rails",
				[]line{{"of", `"rails"`, ""}, {"height", `"1 m"`, ""}, {"post", `"120 mm"`, ""}}, false}
			yard.stations = append(yard.stations, w.left("wood to be split", 10, 75, "log", "stump", "timber", "saw-horse"),
				w.across("the fence of the yard", 24, 90, fence),
				great(w.left("the timber of the old wheel", 0, 0, "timber", "log", "saw-horse", "stump")), great(w.across("a fence and what leans on it", 0, 0, fence)))
			loading.stations = []*station{
				w.left("sacks and kegs", 10, 75, "flour", "keg", "hamper"), w.shafts("a hoist post", 24), w.millstones(), w.wallEnd("a mill wall", 28),
			}
			race.build = func(z *zone) {
				low := 0.0
				if used(z) {
					w.sink("the race: water ran here", tenth(z.at-13), z.at, 80)
				}
				y, there := w.edgeOf(edge, loading)
				w.floor("yard", floorManner{"yard-cobbles", "hexagonal", "domed", [2]float64{4.4, 4.4}, 0, 0, 0.55, "cobbles, well worn"}, low, y)
				if there {
					w.platform("loading-floor", "a stone bank with boards on it", y, line{"edge", `"plain"`, `"kerb" would stand on it, "nosing" overhangs`})
					w.floor("loading", floorManner{"loading-boards", "running", "boards", [2]float64{26, 2.8}, 90, 0.7, 0.45, ""}, y, w.size.Y)
				}
			}
			return []*zone{race, yard, edge, loading}
		},
	}
}

// millstones is the station of two stones that lie on each other, a little off.
func (w *work) millstones() *station {
	return &station{word: "millstones", least: 22, most: 75, weight: 1.2, build: func(b *berth) {
		s := b.side()
		wide := tenth(0.42 * math.Min(s, 50))
		p := b.aside(w.off(b, "millstones", 0.17), 0.72*wide)
		p = tenthOf(p)
		q := r2.Vec{X: tenth(p.X + 0.2*wide), Y: tenth(p.Y + 0.1*wide)}
		for i, at := range []r2.Vec{p, q} {
			name := w.name("millstone")
			note := ""
			if i == 0 {
				note = w.once("millstone", "a millstone is a low round deck; the upper lies a little off the lower")
			}
			w.raise(b, name, note, above(b.zone.north, 1.4*float64(i+1)), roundPatch(at, wide*(1-0.12*float64(i))))
		}
		w.columns(b, columnManner{"spindle", 0.25, 0.2, 1, "none", "none", 0, 0, "the stub of the spindle in its eye"}, above(b.zone.north, 2.8), 1.2, 0.16*wide, q)
		b.keep(ringOf(p, 0.72*wide))
		far := r2.Sub(r2.Scale(2, b.at), p)
		w.heap(b, roundPatch(far, 0.24*s), 0.24)
	}}
}
