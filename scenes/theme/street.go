package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// street is a road with a footway before broken house fronts.
func street() *theme {
	return &theme{
		name: "street", doc: "a shelled street: setts, a footway with its kerb, broken house fronts and doorsteps",
		title: "Lower Pallister Street", ratio: 72,
		bases: "round60,oval60x35x2,hexagon40x2,round32x4,round25x6",
		names: [3][]string{{"rifleman", "sapper", "medic", "runner"}, {"sergeant", "lookout", "mortar", "stretcher"}, {"gun-crew", "tank-crew", "command", "wagon"}},
		manner: manner{
			low: "road", high: "footway", sunk: "gutter",
			highNote: "a kerb's height above the road, which lies at 3.0 mm", sunkNote: "the bed of a drain that was dug up",
			most: 1.8, dip: 2.2,
			stair: flightManner{"doorsteps", "dwelling", "", 1.3, 0.25, "front steps; risers of equal height, whatever the paving"},
			wall:  wallManner{"front", "brick", 2, 0.3275, 0.5, 0.4, "one and a half bricks thick, half down"},
			post:  columnManner{"guard-stone", 0.42, 0.26, 0.7, "none", "none", 0, 0, "guard stones at the corners"},
			shaft: columnManner{"lamp-post", 2.6, 0.2, 0.6, "plinth", "moulded", 0, 0.45, "most of them broken off"},
			rail:  railManner{"none", "", "", 0, ""},
			hit:   "mortar-hole", rubble: "bricks", scar: "track",
		},
		things: []*thing{
			{"bollard", "bollard", "cast iron, some knocked aslant", 2, []sized{{"height", 1}, {"diameter", 0.26}}, []line{{"lean", "12", ""}}},
			{"drain-cover", "cover", "covers in the paving", 1, []sized{{"opening", 0.6}, {"frame", 0.075}}, nil},
			{"bench", "bench", "", 1, []sized{{"length", 1.5}}, nil},
			{"sign", "sign", "its fingers point ways that nobody goes", 1, []sized{{"height", 2.3}}, []line{{"length", `"600 mm"`, ""}, {"lean", "8", ""}}},
			{"crate", "box", "boxes out of the cellars", 2, []sized{{"length", 0.6}, {"width", 0.42}, {"height", 0.38}}, nil},
			{"shutter", "shutter", "blown off their hinges", 1, []sized{{"length", 1.2}, {"width", 0.55}}, []line{{"of", `"slats"`, ""}}},
			{"trestle", "barrier", "", 1, []sized{{"length", 1.6}, {"height", 1.1}, {"spread", 0.75}}, nil},
			{"beams", "joist", "joists of the floors above", 1, []sized{{"length", 1.5}, {"width", 0.12}, {"depth", 0.2}}, []line{{"count", "3", ""}}},
			{"boulder", "lump", "lumps of masonry", 2, []sized{{"size", 0.3}}, []line{{"flatness", "0.5", ""}, {"wear", "0.1", ""}}},
			{"barrel", "butt", "water butts", 1, []sized{{"height", 0.75}, {"diameter", 0.55}}, nil},
			{"drum", "drum", "", 2, []sized{{"diameter", 0.42}, {"height", 0.6}}, nil},
		},
		zones: func(w *work) []*zone {
			drain := &zone{name: "drain", line: true, beyond: 14, south: "gutter", north: "road"}
			road := &zone{name: "road", north: "road"}
			kerb := &zone{name: "kerb", line: true, south: "road", north: "footway"}
			fronts := &zone{name: "fronts", north: "footway"}
			drain.stations = []*station{w.brink("a drain laid open", 24, 0.24, func(b *berth) {
				w.heap(b, patch(b.at.X-0.6*b.half.X, b.zone.at+1, b.at.X+0.1*b.half.X, b.zone.at+0.35*b.half.Y), 0.27)
				w.columns(b, w.theme.manner.post, "road", 0.3*b.side(), 0.12*b.side(), r2.Vec{X: b.at.X + 0.4*b.half.X, Y: b.zone.at + math.Max(2.4, 0.16*b.side())})
			})}
			road.stations = []*station{w.greatHole(), w.shellHole(), w.pock(), w.torn("the track of something heavy"), w.wallEnd("a garden wall", 30)}
			bags := &course{"sandbags", "sandbags", "a wall to fire over, in courses", []line{{"bond", `"stretchers"`, ""}, {"ruin", "0.3", ""}}, false}
			barred := &course{"barricade", "barricade", "what the houses gave, heaped across the way",
				[]line{{"height", `"1 m"`, ""}, {"width", `"1 m"`, ""}}, false}
			paling := &course{"fence", "paling", "", []line{{"height", `"1 m"`, ""}}, false}
			front := &course{"front", "house", "a house front with its windows, broken off", []line{{"storeys", "1", ""}, {"ruin", "0.6", ""}}, false}
			road.stations = append(road.stations, w.across("a wall of sandbags", 24, 90, bags), w.across("a barricade", 30, 100, barred),
				great(w.across("a barricade across the road", 0, 0, barred)), great(w.across("sandbags before the crossing", 0, 0, bags)),
				w.left("what was carried out of the houses", 10, 60, "box", "shutter", "butt", "joist"))
			lamp := func(b *berth) {
				b.keep([]r2.Vec{{X: b.at.X - b.half.X, Y: b.zone.at}, {X: b.at.X + b.half.X, Y: b.zone.at}})
				s := b.side()
				w.columns(b, w.theme.manner.shaft, "footway", 0.8*s, 0.1*s, r2.Vec{X: b.at.X + 0.2*b.half.X, Y: b.zone.at + math.Max(2.6, 0.2*s)})
				if s >= 38 {
					w.hit(b, r2.Vec{X: b.at.X - 0.25*b.half.X, Y: b.zone.at - 0.16*s}, 0.3*s)
				}
			}
			kerb.stations = []*station{w.drop("the kerb with a lamp-post", 18, lamp), w.drop("the kerb, broken by a shell", 18, func(b *berth) {
				w.hit(b, r2.Vec{X: b.at.X - 0.2*b.half.X, Y: b.zone.at - 0.08*b.side()}, 0.4*b.side())
			})}
			fronts.stations = []*station{w.doorstep(), w.wallEnd("a house front", 24), w.posts("guard stones", 40), w.shafts("a lamp-post", 24)}
			fronts.stations = append(fronts.stations, w.across("a house front with its windows", 38, 120, front),
				great(w.across("a house front", 0, 0, front)), w.across("a garden fence", 24, 90, paling))
			drain.build = func(z *zone) {
				low := 0.0
				if used(z) {
					w.sink("the drain, its sides cut sheer", tenth(z.at-11), z.at, 90)
				}
				y, there := w.edgeOf(kerb, fronts)
				w.floor("road", floorManner{"carriageway", "running", "domed", [2]float64{4.4, 2.6}, 90, 0, 0.4, "setts, with their courses across the road"}, low, y)
				if there {
					w.platform("footway", "its edge is the kerb", y)
					w.floor("footway", floorManner{"footway-flags", "running", "", [2]float64{10, 7}, 0, 0, 0.35, ""}, y, w.size.Y)
				}
			}
			return []*zone{drain, road, kerb, fronts}
		},
	}
}

// doorstep is the station of front steps up to a threshold with a house front
// behind: for a large base, on a floor of its own.
func (w *work) doorstep() *station {
	run := func() float64 {
		return w.run(w.theme.manner.stair.profile, mm(lowHeight+w.rise), mm(lowHeight+w.rise+hallRise))
	}
	place := func(b *berth) (flightFit, bool) {
		f, ok := w.fit(b, run())
		return f, ok
	}
	return &station{
		word: "a doorstep with its rails", least: greatSide, great: true, weight: 1.2,
		offset: func(b *berth) (float64, bool) {
			b.face(0)
			_, ok := place(b)
			return 0, ok
		},
		build: func(b *berth) {
			b.face(0)
			f, _ := place(b)
			b.lift = liftOf(b)
			head := r2.Vec{X: tenth(b.at.X + f.shift), Y: tenth(b.at.Y + f.head)}
			name := w.name("hall")
			level := above("footway", hallRise)
			area := patch(b.at.X-b.half.X-1, head.Y, b.at.X+b.half.X+1, b.at.Y+b.half.Y+1)
			w.pavedDeck(b, name, "the floor inside", level, area, "tiles", "stack", w.stone(6, 6))
			b.keep([]r2.Vec{{X: b.at.X - b.half.X, Y: head.Y}, {X: b.at.X + b.half.X, Y: head.Y}})
			w.steps(b, f, "footway", level, head)
			thick := w.wallThick(b)
			y := head.Y + thick/2 + 0.6
			gap := f.width/2 + w.railInset() + 1.5
			outline := b.outline()
			for _, side := range []float64{-1, 1} {
				from := head.X + side*gap
				to := from
				for depthIn(outline, r2.Vec{X: to + side*(0.5+thick/2), Y: y + thick/2}) >= clearOfRim-1 {
					to += side * 0.5
				}
				if math.Abs(to-from) >= 5 {
					w.wall(b, level, 0.34*b.side(), r2.Vec{X: from, Y: y}, r2.Vec{X: to, Y: y})
				}
			}
		},
	}
}

// hallRise is how far a hall's floor lies above the footway, mm.
const hallRise = 6.0
