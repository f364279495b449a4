package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// trench is a line of field works: a flooded sap, the ground behind the line, the revetted
// front of a trench and the field before it.
func trench() *theme {
	return &theme{
		name: "trench", doc: "field works: a revetted trench with sandbags, duckboards in the mud, pickets and obstacles",
		title: "The Line at Hollin Copse", ratio: 56,
		bases: "oval90x52,round60,round50x2,round32x6,round25x4",
		names: [3][]string{{"rifleman", "sapper", "runner", "scout"}, {"bomber", "lookout", "mortar", "bearers"}, {"field-gun", "tank-crew", "command", "walker"}},
		manner: manner{
			low: "trench", high: "field", sunk: "sap",
			lowNote: "the floor of the trench, and the ground behind it", highNote: "the field before it", sunkNote: "the bed of the sap, under water",
			ground: []line{{"of", `"earth"`, "clods and stones lie in crumbs"}, {"surface", `"uneven"`, "it dips below its level, never above"}},
			bed:    "mud",
			most:   9, dip: 2.6,
			stair: flightManner{"trench-steps", "industrial", "none", 1.4, 0.4, "steep, and worn by boots"},
			wall:  wallManner{"farm", "brick", 1.7, 0.3275, 0.55, 0.5, "what is left of a farm"},
			rail:  railManner{"rails", "square", "", 1, ""},
			hit:   "shell-hole", rubble: "thrown", scar: "track",
		},
		things: []*thing{
			{"crate", "ammunition", "boxes of ammunition", 3, []sized{{"length", 0.55}, {"width", 0.32}, {"height", 0.3}}, nil},
			{"crate", "bombs", "", 2, []sized{{"length", 0.38}, {"width", 0.26}, {"height", 0.24}}, nil},
			{"sacks", "spare-bags", "bags that were not laid yet", 1, []sized{{"length", 0.42}, {"width", 0.24}, {"height", 0.12}}, nil},
			{"stakes", "picket", "", 2, []sized{{"height", 0.75}, {"thickness", 0.09}}, []line{{"lean", "7", ""}}},
			{"obstacle", "obstacle", "rolled angles, bolted crosswise", 1, []sized{{"length", 1.1}, {"leg", 0.11}}, nil},
			{"drum", "fuel", "", 3, []sized{{"diameter", 0.42}, {"height", 0.6}}, nil},
			{"barrel", "keg", "kegs of water, carried up by night", 2, []sized{{"height", 0.34}, {"diameter", 0.25}}, nil},
			{"stump", "tree", "what the shells left of the copse", 1, []sized{{"height", 0.7}, {"diameter", 0.3}},
				[]line{{"top", `"broken"`, ""}, {"spread", "2", ""}}},
			{"beams", "pit-prop", "props for the dugouts", 1, []sized{{"length", 1.3}, {"width", 0.13}, {"depth", 0.15}}, []line{{"count", "3", ""}}},
			{"barrel", "rum", "", 2, []sized{{"height", 0.45}, {"diameter", 0.34}}, nil},
			{"trestle", "knife-rest", "", 1, []sized{{"length", 1.3}, {"height", 0.9}, {"spread", 0.6}}, nil},
			{"sign", "sign", "it names a trench", 1, []sized{{"height", 1.5}},
				[]line{{"of", `"board"`, ""}, {"length", `"550 mm"`, ""}, {"deep", `"300 mm"`, ""}, {"lean", "9", ""}}},
			{"pallet", "dump", "", 1, []sized{{"length", 0.9}, {"width", 0.7}, {"height", 0.144}}, []line{{"stacked", "2", ""}}},
			{"cable-drum", "wire", "a drum of signal wire", 1, []sized{{"diameter", 0.6}, {"width", 0.45}}, nil},
		},
		apart: []string{"picket"},
		zones: func(w *work) []*zone {
			sap := &zone{name: "sap", line: true, beyond: 16, south: "sap", north: "trench"}
			rear := &zone{name: "rear", north: "trench"}
			edge := &zone{name: "front", line: true, south: "trench", north: "field"}
			field := &zone{name: "field", north: "field"}
			lining := func(stem, of, note string, high float64) *course {
				text, _ := w.full(high)
				return &course{"revetment", stem, note, []line{{"of", str(of), ""}, {"height", text, ""}}, true}
			}
			bags := &course{"sandbags", "parapet", "bags in courses, to fire over",
				[]line{{"height", `"480 mm"`, ""}, {"bond", `"stretchers"`, ""}, {"ruin", "0.2", ""}}, true}
			traverse := &course{"sandbags", "traverse", "bags across the trench, against splinters",
				[]line{{"height", `"850 mm"`, ""}, {"bond", `"stretchers"`, ""}, {"ruin", "0.35", ""}}, false}
			boards := &course{"duckboards", "duckboards", "the only dry way", []line{{"width", `"550 mm"`, ""}, {"wear", "0.4", ""}}, true}
			depth, _ := w.full(2.6) // as deep as a base that is not lifted holds
			bank, _ := w.full(2.6)
			wide, _ := w.full(7.5)
			narrow, _ := w.full(6)
			thick, _ := w.full(7)
			dug := &course{"trench", "communication-trench", "dug up to the line by night", []line{{"depth", depth, ""}, {"width", wide, ""},
				{"step", "0", ""}, {"parapet", bank, ""}, {"parados", bank, ""}, {"thick", thick, ""}, {"of", str(w.theme.manner.bed), ""}}, true}
			floor := &course{"duckboards", "trench-boards", "", []line{{"width", narrow, ""}, {"wear", "0.4", ""}}, true}
			// lined puts a lining before the south side of what ends at the zone's line.
			lined := func(b *berth, c *course) {
				y := b.zone.at - w.breadth(c)/2 + 0.2
				w.course(b, c, r2.Vec{X: b.at.X - b.half.X - 1, Y: y}, r2.Vec{X: b.at.X + b.half.X + 1, Y: y})
			}
			sap.stations = []*station{w.brink("a flooded sap with its lining", 24, 0.22, func(b *berth) {
				lined(b, lining("sap-lining", "sheet", "sheet iron holds the side of the sap", w.theme.manner.dip+0.4))
				w.row(b, w.thing("picket"), r2.Vec{X: b.at.X, Y: b.zone.at + 2 + w.girth(w.thing("picket"))}, 0.6*b.half.X, 3)
			})}
			cut := []*station{great(w.across("a communication trench that runs on", 0, 0, dug, floor)), w.across("a communication trench", 34, 100, dug, floor)}
			rear.stations = []*station{cut[0], cut[1], w.greatHole(), w.shellHole(), w.pock(), w.torn("the track of something heavy"), w.wallEnd("a wall of the farm", 28),
				w.across("duckboards in the mud", 24, 100, boards), w.across("a traverse of sandbags", 24, 100, traverse),
				great(w.across("a traverse", 0, 0, traverse)), great(w.left("a dump behind the line", 0, 0, "ammunition", "wire", "dump", "pit-prop")),
				w.left("stores for the line", 10, 100, "ammunition", "bombs", "fuel", "spare-bags", "pit-prop")}
			edge.stations = []*station{w.flight(), w.drop("the front of the trench", 24, func(b *berth) {
				lined(b, lining("front-lining", "boards", "boards behind stakes hold the front of the trench", w.rise))
				w.bagged(b, bags)
			}), w.drop("the front of the trench, of wattle", 24, func(b *berth) {
				lined(b, lining("wattle", "wattle", "rods woven between stakes", w.rise))
				w.bagged(b, bags)
			})}
			for _, s := range append(cut, edge.stations[1:]...) {
				s.weight = 1.8 // what the place is about
			}
			field.stations = []*station{
				great(w.left("a belt of obstacles", 0, 0, "obstacle", "knife-rest", "picket", "tree")), w.shellHole(),
				w.left("obstacles in the field", 10, 90, "obstacle", "picket", "knife-rest"),
				w.left("the stumps of the copse", 10, 90, "tree", "picket"),
			}
			sap.build = func(z *zone) {
				if used(z) {
					w.sink("the sap, its sides sheer", tenth(z.at-13), z.at, 90)
				}
				if y, there := w.edgeOf(edge, field); there {
					w.raiseGround("the field", y, 90)
				}
			}
			return []*zone{sap, rear, edge, field}
		},
	}
}

// bagged lays bags on the edge of the upper level, a little back from it.
func (w *work) bagged(b *berth, c *course) {
	wide := w.breadth(c)
	if y := b.zone.at + wide/2 + 0.5; y+wide/2 < b.at.Y+0.8*b.half.Y && !math.IsInf(wide, 1) {
		w.course(b, c, r2.Vec{X: b.at.X - b.half.X - 1, Y: y}, r2.Vec{X: b.at.X + b.half.X + 1, Y: y})
	}
}
