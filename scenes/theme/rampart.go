package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// rampart is a bailey below a wall-walk with its merlons.
func rampart() *theme {
	return &theme{
		name: "rampart", doc: "a castle's bailey, the steps up to its wall-walk and the battered merlons",
		title: "The Rampart of Corrach", ratio: 100,
		bases: "oval105x70,round50x2,rectangle60x35x2,round32x6,square25x3",
		names: [3][]string{{"bowman", "page-boy", "mason", "watch"}, {"crossbows", "steward", "ram-crew", "herald"}, {"trebuchet", "champion", "warden", "drake"}},
		manner: manner{
			low: "bailey", high: "walk", sunk: "ditch",
			highNote: "the wall-walk", sunkNote: "the bottom of the ditch",
			most: 13, dip: 2.6,
			stair: flightManner{"walk-steps", "private", "none", 2, 0.5, "steep, as such steps were"},
			wall:  wallManner{"curtain", "ashlar", 2.2, 0.4, 0.45, 0.5, "curtain walls, breached"},
			post:  columnManner{"stake", 0.9, 0.25, 0.6, "none", "none", 0, 0.2, "stakes, or what is left of them"},
			shaft: columnManner{"pier", 2.4, 0.6, 1, "plinth", "none", 0, 0.5, "round piers of a hall that is gone"},
			rail:  railManner{"rails", "square", "", 1, ""},
			hit:   "stone-shot", rubble: "breach", scar: "furrow",
		},
		things: []*thing{
			{"barrel", "keg", "kegs of pitch", 3, []sized{{"height", 0.55}, {"diameter", 0.42}}, nil},
			{"sacks", "meal", "sacks of meal", 1, []sized{{"length", 0.7}, {"width", 0.42}, {"height", 0.22}}, nil},
			{"crate", "chest", "", 1, []sized{{"length", 0.65}, {"width", 0.42}, {"height", 0.42}}, []line{{"braced", "false", ""}}},
			{"beams", "hoarding", "what is left of the hoardings", 1, []sized{{"length", 1.5}, {"width", 0.14}, {"depth", 0.18}}, []line{{"count", "3", ""}}},
			{"boulder", "shot", "stones that the engines threw", 3, []sized{{"size", 0.34}}, []line{{"flatness", "0.1", ""}, {"wear", "0.8", ""}}},
			{"stakes", "picket", "", 3, []sized{{"height", 0.8}, {"thickness", 0.1}}, []line{{"lean", "9", ""}}},
			{"log", "ram-log", "", 1, []sized{{"length", 1.6}, {"diameter", 0.34}}, []line{{"ends", `"sawn"`, ""}}},
			{"stump", "stump", "", 1, []sized{{"height", 0.4}, {"diameter", 0.32}}, []line{{"spread", "2", ""}}},
			{"trestle", "bar", "", 1, []sized{{"length", 1.4}, {"height", 0.9}, {"spread", 0.65}}, nil},
			{"shutter", "mantlet", "", 1, []sized{{"length", 1.1}, {"width", 0.6}}, []line{{"thick", `"60 mm"`, ""}}},
		},
		zones: func(w *work) []*zone {
			ditch := &zone{name: "ditch", line: true, beyond: 22, south: "ditch", north: "bailey"}
			bailey := &zone{name: "bailey", north: "bailey"}
			edge := &zone{name: "walk-edge", line: true, south: "bailey", north: "walk"}
			walk := &zone{name: "walk", north: "walk"}
			ditch.stations = []*station{w.brink("the ditch with its stakes", 24, 0.22, func(b *berth) {
				s := b.side()
				at := []r2.Vec{}
				for _, x := range []float64{-0.45, -0.05, 0.35} {
					at = append(at, r2.Vec{X: b.at.X + x*b.half.X, Y: b.zone.at + math.Max(2.2, (0.08+0.05*x)*s)})
				}
				w.columns(b, w.theme.manner.post, "bailey", 0.3*s, 0.09*s, at...)
			})}
			bailey.stations = []*station{
				w.greatHole(), w.shellHole(), w.pock(), w.torn("the furrow of a stone shot"), w.wallEnd("a breached wall", 28),
				w.shafts("a pier of the hall", 28), w.step("a mounting step", "running", 2),
			}
			hurdle := &course{"revetment", "hurdle", "hurdles that the bowmen shot from", []line{{"of", `"wattle"`, ""}, {"height", `"900 mm"`, ""}}, false}
			barred := &course{"barricade", "barricade", "what was heaped in the gap",
				[]line{{"height", `"900 mm"`, ""}, {"width", `"900 mm"`, ""}, {"doors", "0.2", ""}}, false}
			bailey.stations = append(bailey.stations, w.left("stores of the siege", 10, 75, "keg", "meal", "chest", "hoarding"),
				w.across("a hurdle of wattle", 24, 75, hurdle), w.across("a barricade in the bailey", 32, 100, barred),
				great(w.across("a barricade", 0, 0, barred)), great(w.left("the ram and its stores", 0, 0, "ram-log", "mantlet", "hoarding", "bar")))
			edge.stations = []*station{w.flight(), w.drop("the edge of the wall-walk", 34, w.guarded)}
			merlons := &station{word: "merlons of the wall-walk", least: 22, most: 90, weight: 2, stand: r2.Vec{Y: -1}, build: w.merlons}
			walk.stations = []*station{merlons, w.left("shot and pitch on the wall-walk", 10, 75, "shot", "keg", "chest"), w.torn("a furrow in the wall-walk")}
			ditch.build = func(z *zone) {
				low := 0.0
				if used(z) {
					w.sink("the ditch, with a sloping bank", 0, z.at, 65)
					low = z.at
				}
				y, there := w.edgeOf(edge, walk)
				w.floor("bailey", floorManner{"bailey-flags", "random", "", [2]float64{7, 4.4}, 0, 0, 0.55, "rough flags of mixed sizes"}, low, y)
				if there {
					w.platform("wall-walk", "solid: earth and stone", y)
					w.floor("walk", floorManner{"walk-flags", "running", "tooled", [2]float64{8, 5}, 0, 0, 0.4, ""}, y, w.size.Y)
				}
			}
			return []*zone{ditch, bailey, edge, walk}
		},
	}
}

// merlons builds a parapet across the base with merlons on it.
func (w *work) merlons(b *berth) {
	s := b.side()
	m := w.theme.manner.wall
	y := tenth(b.at.Y + 0.34*b.half.Y)
	sill, _ := w.full(math.Max(2, math.Min(w.onPrint(0.7), 0.14*s)))
	head, _ := w.full(math.Max(4.5, math.Min(w.onPrint(1.7), 0.34*s)))
	thick, thickness := w.full(math.Max(leastWall+0.4, math.Min(w.onPrint(m.thick), 0.12*s)))
	wall := func(note, stem, height string, ruin, x0, x1 float64) {
		name := w.name(stem)
		w.page.table(structure, "wall", note,
			line{"name", str(name), ""},
			line{"line", points(r2.Vec{X: tenth(x0), Y: y}, r2.Vec{X: tenth(x1), Y: y}), ""},
			line{"from", `"walk"`, ""},
			line{"height", height, ""},
			line{"thickness", thick, ""},
			line{"coursing", str(m.coursing), ""},
			line{"ruin", mm(ruin), ""},
			line{"wear", mm(m.wear), ""},
		)
	}
	x0, x1 := b.at.X-b.half.X-1, b.at.X+b.half.X+1
	wall(w.once("parapet", "the parapet, and on it the merlons with gaps to shoot through"), "parapet", sill, 0.15, x0, x1)
	long := math.Max(4, 0.24*s)
	luck := w.rand("merlons on " + b.name)
	for x := b.at.X - b.half.X + long*between(luck, 0.5, 0.9); x+long < x1-2.5; x += 1.75 * long {
		wall("", "merlon", head, tenth(between(luck, 0.1, 0.5)), x, x+long)
	}
	b.keep(strip(r2.Vec{X: x0, Y: y}, r2.Vec{X: x1, Y: y}, thickness+0.8))
	w.heap(b, patch(b.at.X-0.5*b.half.X, y-thickness/2-0.26*s, b.at.X+0.2*b.half.X, y-thickness/2-0.3), 0.24)
}
