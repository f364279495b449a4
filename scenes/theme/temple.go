package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// temple is a paved court before a platform with what stands of a colonnade.
func temple() *theme {
	return &theme{
		name: "temple", doc: "a temple's paved court, broad steps and the stumps of a colonnade",
		title: "The Court of Velmar", ratio: 56,
		bases: "round80,oval75x42x2,round50x2,round32x6,hexagon32x2",
		names: [3][]string{{"pilgrim", "acolyte", "guard", "thief"}, {"sentinel", "rider", "priest", "shade"}, {"oracle", "colossus", "keeper", "idol"}},
		manner: manner{
			low: "court", high: "platform",
			highNote: "the platform of the temple, above the same datum",
			most:     12, dip: 0,
			stair: flightManner{"temple-steps", "comfort", "", 2.6, 0.5, "riser and going follow the step-length rule"},
			wall:  wallManner{"cella", "ashlar", 1.4, 0.25, 0.55, 0.5, "dressed stone in level courses, much of it down"},
			post:  columnManner{"stele", 0.6, 0.22, 0.9, "plinth", "plain", 0, 0, "low round stones: altars and steles"},
			shaft: columnManner{"colonnade", 2, 0.4, 0, "plinth", "none", 16, 0.7, "fluted; fewer flutes are drawn where they would not print"},
			rail:  railManner{"balusters", "square", "ball", 0, ""},
			hit:   "thunderstone", rubble: "fallen", scar: "cleft",
		},
		things: []*thing{
			{"boulder", "boulder", "", 2, []sized{{"size", 0.6}}, nil},
			{"boulder", "stone", "", 3, []sized{{"size", 0.3}}, nil},
			{"stump", "stump", "what grew there and was cut", 1, []sized{{"height", 0.4}, {"diameter", 0.3}}, []line{{"spread", "2.2", ""}}},
			{"log", "log", "", 1, []sized{{"length", 1.3}, {"diameter", 0.26}}, []line{{"ends", `"broken"`, ""}}},
			{"reeds", "reeds", "they come up where the court holds water", 3, []sized{{"height", 0.5}, {"clump", 0.34}}, nil},
			{"crate", "offering", "chests of offerings", 1, []sized{{"length", 0.6}, {"width", 0.4}, {"height", 0.4}}, []line{{"braced", "false", ""}}},
			{"barrel", "jar", "", 3, []sized{{"height", 0.5}, {"diameter", 0.36}}, nil},
			{"sacks", "tithe", "the tithe, in sacks", 1, []sized{{"length", 0.6}, {"width", 0.36}, {"height", 0.2}}, nil},
			{"beams", "rafter", "rafters of the roof", 1, []sized{{"length", 1.4}, {"width", 0.14}, {"depth", 0.18}}, []line{{"count", "3", ""}}},
			{"stakes", "pole", "poles for ribbons", 3, []sized{{"height", 0.9}, {"thickness", 0.09}}, []line{{"lean", "6", ""}}},
			{"shutter", "door", "a leaf of a door", 1, []sized{{"length", 1.2}, {"width", 0.6}}, []line{{"thick", `"60 mm"`, ""}}},
		},
		zones: func(w *work) []*zone {
			court := &zone{name: "court", north: "court"}
			edge := &zone{name: "platform-edge", line: true, south: "court", north: "platform"}
			platform := &zone{name: "platform", north: "platform"}
			dais := &station{word: "a dais among columns", least: greatSide, great: true, build: func(b *berth) {
				b.lift = liftOf(b)
				s := b.side()
				wide := tenth(0.52 * s)
				p := r2.Vec{X: b.at.X, Y: tenth(b.at.Y + 0.1*s)}
				name := w.name("dais")
				level := above("court", 2)
				w.raise(b, name, "one step up, round", level, roundPatch(p, wide))
				w.page.table(finishes, "paving", "",
					line{"name", str(name + "-stones"), ""},
					line{"level", level, ""},
					line{"area", disc(p, wide), ""},
					line{"bond", `"hexagonal"`, ""},
					line{"stone", w.stone(8, 8), ""},
					line{"wear", "0.3", ""},
				)
				b.keep(ringOf(p, wide/2+0.5))
				at := make([]r2.Vec, 0, 3)
				for _, turn := range []float64{35, 90, 145} {
					sin, cos := math.Sincos(turn * math.Pi / 180)
					at = append(at, r2.Vec{X: p.X + 0.4*wide*cos, Y: p.Y + 0.4*wide*sin})
				}
				w.columns(b, w.theme.manner.shaft, level, 0.5*s, 0.09*s, at...)
			}}
			court.stations = []*station{
				dais, w.shellHole(), w.shafts("a column's stump", 24), w.pock(), w.step("a worn step", "running", 1.8), w.posts("a stele", 40),
				w.torn("a cleft in the flags"),
			}
			split := &course{"crack", "split", "the court has settled and split", []line{{"width", `"45 mm"`, ""}}, true}
			court.stations = append(court.stations, great(w.left("what came down of the roof", 0, 0, "rafter", "door", "log", "boulder")),
				w.across("a crack in the flags", 24, 75, split), w.left("what grows in the court", 10, 75, "boulder", "stump", "log", "reeds"))
			edge.stations = []*station{w.flight(), w.drop("the platform's edge with a column", 34, func(b *berth) {
				s := b.side()
				b.keep([]r2.Vec{{X: b.at.X - b.half.X, Y: b.zone.at}, {X: b.at.X + b.half.X, Y: b.zone.at}})
				w.columns(b, w.theme.manner.shaft, "platform", 0.6*s, 0.16*s, r2.Vec{X: b.at.X - 0.25*b.half.X, Y: b.zone.at + 0.36*b.half.Y})
				w.heap(b, patch(b.at.X-0.2*b.half.X, b.zone.at-0.4*b.half.Y, b.at.X+0.6*b.half.X, b.zone.at-0.3), 0.24)
			})}
			platform.stations = []*station{
				w.left("offerings that nobody took", 10, 75, "offering", "jar", "tithe"), w.shafts("a column of the colonnade", 24),
				w.wallEnd("a wall of the cella", 28),
			}
			court.build = func(*zone) {
				y, there := w.edgeOf(edge, platform)
				w.floor("court", floorManner{"court-flags", "random", "", [2]float64{14, 9}, 0, 0, 0.5, "flags of mixed sizes"}, 0, y)
				if there {
					w.platform("platform", "solid stone down to the ground", y, line{"edge", `"nosing"`, ""}, line{"kerb", "0.8", ""})
					w.floor("platform", floorManner{"platform-flags", "stack", "tooled", [2]float64{13, 13}, 0, 0, 0.35, ""}, y, w.size.Y)
				}
			}
			return []*zone{court, edge, platform}
		},
	}
}
