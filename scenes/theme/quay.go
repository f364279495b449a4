package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// quay is a stone quay between a basin and a raised mole.
func quay() *theme {
	return &theme{
		name: "quay", doc: "a shelled stone quay between a tidal basin and a raised mole",
		title: "Tarnmouth Quay", ratio: 285,
		bases: "oval90x52,round60x2,stadium60x35x2,round32x6,round25x3",
		names: [3][]string{{"scout", "docker", "signals", "runner"}, {"patrol", "gun-crew", "mortar", "pilot"}, {"walker", "captain", "crane-gun", "tug"}},
		manner: manner{
			low: "quay", high: "mole", sunk: "basin",
			lowNote: "", highNote: "the raised mole, above the same datum", sunkNote: "the water of the basin",
			most: 11, dip: 2.8,
			stair: flightManner{"water-steps", "comfort", "wall", 7, 0.3, "riser and going left out: the most comfortable that fit"},
			wall:  wallManner{"warehouse", "ashlar", 4, 0.75, 0.5, 0.4, "what is left of the warehouses"},
			post:  columnManner{"bollard", 1.0, 0.8, 0.8, "none", "plain", 0, 0, "short columns that ships made fast to"},
			shaft: columnManner{"crane-post", 4, 1.1, 0.9, "plinth", "none", 0, 0.55, "what carried the cranes"},
			rail:  railManner{"rails", "", "", 1, ""},
			hit:   "hit", rubble: "rubble", scar: "ricochet",
		},
		things: []*thing{
			{"barrel", "cask", "casks, landed and left", 3, []sized{{"height", 0.7}, {"diameter", 0.5}}, nil},
			{"barrel", "keg", "kegs of spikes", 3, []sized{{"height", 0.45}, {"diameter", 0.34}}, nil},
			{"crate", "crate", "", 2, []sized{{"length", 0.8}, {"width", 0.55}, {"height", 0.5}}, nil},
			{"cable-drum", "cable", "drums of cable for the cranes", 1, []sized{{"diameter", 1.1}, {"width", 0.75}}, nil},
			{"sacks", "grain", "sacks of grain", 1, []sized{{"length", 0.75}, {"width", 0.45}, {"height", 0.24}}, nil},
			{"pallet", "pallet", "", 1, []sized{{"length", 1}, {"width", 0.8}, {"height", 0.144}}, []line{{"stacked", "4", ""}}},
			{"drum", "oil", "drums of oil", 3, []sized{{"diameter", 0.42}, {"height", 0.62}}, nil},
			{"lamp-post", "quay-lamp", "", 1, []sized{{"height", 2.8}, {"base", 0.36}}, []line{{"broken", "0.3", ""}}},
			{"bollard", "mooring-post", "small posts of iron", 2, []sized{{"height", 0.8}, {"diameter", 0.34}}, nil},
			{"beams", "baulk", "baulks of timber from the fenders", 1, []sized{{"length", 1.6}, {"width", 0.2}, {"depth", 0.2}}, []line{{"count", "3", ""}}},
			{"trestle", "barrier", "", 1, []sized{{"length", 1.5}, {"height", 1}, {"spread", 0.65}}, nil},
		},
		zones: func(w *work) []*zone {
			basin := &zone{name: "basin", line: true, beyond: 24, south: "basin", north: "quay"}
			apron := &zone{name: "apron", north: "quay"}
			edge := &zone{name: "mole-edge", line: true, south: "quay", north: "mole"}
			mole := &zone{name: "mole", north: "mole"}
			basin.stations = []*station{
				w.brink("the water's edge with its bollards", 24, 0.34, func(b *berth) {
					y := b.zone.at + math.Max(2.6, 0.09*b.side())
					at := []r2.Vec{{X: b.at.X - 0.2*b.half.X, Y: y}}
					if b.half.X > 22 {
						at = []r2.Vec{{X: b.at.X - 0.42*b.half.X, Y: y}, {X: b.at.X + 0.42*b.half.X, Y: y}}
					}
					w.columns(b, w.theme.manner.post, "quay", 0.3*b.side(), 0.16*b.side(), at...)
					luck := w.rand("stones in the basin of " + b.name)
					x := b.at.X + between(luck, -0.5, 0)*b.half.X
					w.heap(b, patch(x, b.zone.at-0.4*b.half.Y, x+0.6*b.half.X, b.zone.at-0.5), 0.24)
				}),
				w.brink("a breach in the quay wall", 30, 0.3, func(b *berth) {
					luck := w.rand("breach of " + b.name)
					w.hit(b, r2.Vec{X: b.at.X + between(luck, -0.2, 0.2)*b.half.X, Y: b.zone.at + 0.1*b.side()}, 0.4*b.side())
				}),
			}
			apron.stations = []*station{w.greatHole(), w.shellHole(), w.pock(), w.torn("the scar of a round that skipped"),
				w.posts("bollards", 40), w.wallEnd("a wall of a warehouse", 28), w.shafts("the post of a crane", 30)}
			edge.stations = []*station{w.flight(), w.drop("the edge of the mole", 34, w.guarded)}
			rails := &course{"track", "crane-rails", "what the cranes ran on",
				[]line{{"bed", "0", "sleepers on the bare floor"}, {"missing", "0.15", ""}}, true}
			apron.stations = append(apron.stations, w.left("cargo, landed and left", 10, 90, "cask", "crate", "grain", "cable"),
				w.across("the rails of a crane", 24, 100, rails), great(w.left("a landing of cargo", 0, 0, "cable", "pallet", "crate", "cask")),
				great(w.across("the rails of the cranes", 0, 0, rails)))
			mole.stations = []*station{
				w.left("stores on the mole", 10, 90, "cable", "oil", "pallet", "crate"), w.wallEnd("a corner of a warehouse", 28),
				w.torn("the scar of a round"), w.posts("bollards", 40),
			}
			basin.build = func(z *zone) {
				low := 0.0
				if used(z) {
					w.sink("the basin, with a sheer face to the quay", 0, z.at, 90)
					low = z.at
				}
				y, there := w.edgeOf(edge, mole)
				w.floor("quay", floorManner{"apron", "running", "", [2]float64{5, 2.6}, 0, 0, 0.35, "the apron: courses along the water"}, low, y)
				if there {
					w.platform("mole", "solid stone down to the ground", y, line{"edge", `"nosing"`, ""})
					w.floor("mole", floorManner{"mole-setts", "basketweave", "", [2]float64{4, 2}, 0, 0, 0.2, ""}, y, w.size.Y)
				}
			}
			return []*zone{basin, apron, edge, mole}
		},
	}
}
