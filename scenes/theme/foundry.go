package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// foundry is a casting floor of iron plates and brick under a gantry.
func foundry() *theme {
	return &theme{
		name: "foundry", doc: "a casting floor of iron and brick with pits, a slag channel and a gantry",
		title: "Harrow Gate Foundry", ratio: 285,
		bases: "rectangle80x50,round50x2,hexagon40x2,round32x6,round25x3",
		names: [3][]string{{"hand", "moulder", "stoker", "clerk"}, {"pourer", "gunner", "drill-crew", "smith"}, {"overseer", "crawler", "ladle", "engine"}},
		manner: manner{
			low: "floor", high: "gantry", sunk: "slag",
			highNote: "full size, above the datum like all levels", sunkNote: "the bed of the slag channel",
			most: 10, dip: 2.2,
			stair: flightManner{"gantry-steps", "industrial", "string", 3.4, 0, "iron steps, with a string on each side"},
			wall:  wallManner{"bay-wall", "block", 4.2, 0.75, 0.45, 0.4, "walls between the bays, half down"},
			post:  columnManner{"hydrant", 1.3, 0.7, 0.9, "plinth", "plain", 0, 0, "stub columns: hydrants and winches"},
			shaft: columnManner{"stanchion", 5.5, 0.75, 1, "plinth", "plain", 0, 0.4, "iron columns that carried the roof; each broke at a height of its own"},
			rail:  railManner{"none", "", "", 0, ""},
			hit:   "burst", rubble: "clinker", scar: "drag",
		},
		things: []*thing{
			{"girder", "girder", "rolled beams, by the published sections", 1, []sized{{"length", 1.8}}, []line{{"section", `"heb-300"`, ""}, {"torn", `"one"`, ""}}},
			{"drum", "oil", "drums of oil", 3, []sized{{"diameter", 0.42}, {"height", 0.62}}, nil},
			{"tank", "tank", "tanks of plate on saddles", 1, []sized{{"diameter", 0.9}, {"length", 1.8}}, nil},
			{"stack", "flue", "stubs of flues", 1, []sized{{"diameter", 0.9}, {"height", 1.2}}, nil},
			{"stack", "vent", "vents of plate", 1, []sized{{"diameter", 0.42}, {"height", 0.8}}, []line{{"of", `"plate"`, ""}}},
			{"grating", "grate", "panels of grating over the floor", 2, []sized{{"length", 0.9}, {"width", 0.7}, {"pitch", 0.07}, {"cross", 0.21}}, nil},
			{"crate", "pattern-box", "boxes of patterns", 2, []sized{{"length", 0.6}, {"width", 0.42}, {"height", 0.4}}, nil},
			{"cable-drum", "chain-drum", "", 1, []sized{{"diameter", 0.9}, {"width", 0.6}}, []line{{"upright", "true", ""}}},
			{"pallet", "pallet", "", 1, []sized{{"length", 1}, {"width", 0.8}, {"height", 0.144}}, []line{{"stacked", "4", ""}}},
			{"barrel", "cask", "", 3, []sized{{"height", 0.6}, {"diameter", 0.44}}, nil},
			{"drain-cover", "sump", "covers over the sumps", 1, []sized{{"opening", 0.5}, {"frame", 0.08}}, nil},
		},
		zones: func(w *work) []*zone {
			plates := &zone{name: "plates", north: "floor"}
			channel := &zone{name: "channel", line: true, beyond: 16, south: "slag", north: "floor"}
			bricks := &zone{name: "bricks", north: "floor"}
			edge := &zone{name: "gantry-edge", line: true, south: "floor", north: "gantry"}
			gantry := &zone{name: "gantry", north: "gantry"}
			pit := &station{word: "a casting pit", least: 30, most: 90, weight: 1.2, build: func(b *berth) {
				b.lift = 1
				s := b.side()
				wide := tenth(0.44 * s)
				p := b.aside(w.off(b, "pit", 0.1), wide/2+0.8)
				p = tenthOf(p)
				text := &page{}
				text.table(structure, "ground.sunk", w.once("pit", "a casting pit: sheer sides"),
					line{"area", disc(p, wide), ""},
					line{"level", str("slag"), ""},
				)
				w.sunk = append(w.sunk, text.chapters[structure].String())
				b.keep(ringOf(p, wide/2+0.8))
				// A mould stands in it.
				w.columns(b, columnManner{"mould", 1.6, 1, 0.9, "none", "plain", 0, 0, "moulds, still in their pits"}, "slag", 0.2*s, 0.2*wide,
					r2.Vec{X: p.X - 0.16*wide, Y: p.Y + 0.08*wide})
			}}
			plates.stations = []*station{
				w.greatHole(), pit, w.torn("the mark of a girder dragged away"), w.pock(), w.posts("a hydrant", 40), w.shafts("a stanchion", 24),
			}
			channel.stations = []*station{w.brink("the slag channel", 24, 0.18, func(b *berth) {
				at := r2.Vec{X: b.at.X + 0.3*b.half.X, Y: b.zone.at + math.Max(3, 0.2*b.side())}
				w.columns(b, w.theme.manner.post, "floor", 0.3*b.side(), 0.14*b.side(), at)
				w.heap(b, patch(b.at.X-0.5*b.half.X, b.zone.at-0.3*b.half.Y, b.at.X+0.3*b.half.X, b.zone.at-0.04*b.half.Y), 0.27)
			})}
			bricks.stations = []*station{w.shellHole(), w.wallEnd("a wall between two bays", 28), w.shafts("a stanchion", 24)}
			main := &course{"pipe", "main", "the blast main, on saddles", []line{{"bore", `"dn-500"`, ""}, {"height", `"750 mm"`, ""}}, true}
			tram := &course{"track", "tramway", "it took the ladles to the pits",
				[]line{{"gauge", `"900 mm"`, ""}, {"sleeper-length", `"1.6 m"`, ""}, {"bed", "0", "sleepers on the bare floor"}}, true}
			plates.stations = append(plates.stations, w.left("plant that was taken down", 10, 90, "girder", "tank", "flue", "vent", "chain-drum"),
				w.across("the blast main", 24, 100, main),
				great(w.left("girders and a tank", 0, 0, "girder", "tank", "flue", "grate")), great(w.across("the blast main and its saddles", 0, 0, main)))
			bricks.stations = append(bricks.stations, w.left("drums and boxes", 10, 90, "oil", "pattern-box", "pallet", "cask"),
				w.across("the tramway of the ladles", 24, 100, tram))
			edge.stations = []*station{w.flight(), w.drop("the edge of the gantry", 34, w.guarded)}
			gantry.stations = []*station{w.torn("a plate torn open"), w.shafts("a stanchion through the gantry", 28)}
			plates.build = func(*zone) {
				y, there := w.edgeOf(edge, gantry)
				iron := floorManner{"iron-plates", "stack", "plate", [2]float64{6, 6}, 0, 0, 0.12, "cast plates in straight rows"}
				brick := floorManner{"brick-floor", "herringbone", "brick", [2]float64{3.6, 1.8}, 45, 0, 0.35, "drawn larger than a brick, so that the bond reads"}
				half := tenth(channel.y0 - 1)
				if used(channel) {
					w.sink("the slag channel, with sloping banks", tenth(channel.at-12), channel.at, 60)
					half = channel.at
				}
				if half < 20 {
					half = math.Round(y / 2)
				}
				w.floor("floor", iron, 0, half)
				w.floor("floor", brick, half, y)
				if there {
					w.platform("gantry", "on iron piers; what a base holds of it is solid", y, line{"on", `"piers"`, ""}, line{"thickness", `"500 mm"`, ""})
					w.floor("gantry", floorManner{"gantry-plates", "running", "plate", [2]float64{8, 4}, 0, 0.5, 0.1, ""}, y, w.size.Y)
				}
			}
			return []*zone{plates, channel, bricks, edge, gantry}
		},
	}
}
