package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// sidings is a goods yard: a track in its ballast, the cinders of the yard and a loading
// platform.
func sidings() *theme {
	return &theme{
		name: "sidings", doc: "a goods yard: track in its ballast, what was unloaded, and a platform with its steps",
		title: "Brennock Sidings", ratio: 72,
		bases: "rectangle80x50,round60,hexagon40x2,round32x6,round25x4",
		names: [3][]string{{"porter", "guard", "stoker", "lampman"}, {"shunters", "checker", "drivers", "clerk"},
			{"engine-crew", "breakdown-crew", "crane", "inspector"}},
		manner: manner{
			low: "yard", high: "platform",
			lowNote: "", highNote: "the loading platform, as high as a wagon's floor where there is room",
			ground: []line{{"of", `"cinders"`, "ash and clinker, rolled"}, {"surface", `"uneven"`, "it dips below its level, never above"}},
			most:   10,
			stair:  flightManner{"platform-steps", "industrial", "none", 1.4, 0.2, "up to the platform"},
			wall:   wallManner{"shed", "brick", 2, 0.3275, 0.5, 0.4, "walls of the goods shed, half down"},
			rail:   railManner{"rails", "", "", 1, ""},
			hit:    "bomb", rubble: "ballast", scar: "drag",
		},
		things: []*thing{
			{"drum", "oil", "drums of oil", 3, []sized{{"diameter", 0.42}, {"height", 0.62}}, nil},
			{"crate", "crate", "", 2, []sized{{"length", 0.75}, {"width", 0.5}, {"height", 0.5}}, nil},
			{"crate", "box", "", 2, []sized{{"length", 0.4}, {"width", 0.28}, {"height", 0.26}}, nil},
			{"cable-drum", "cable", "", 1, []sized{{"diameter", 1}, {"width", 0.7}}, nil},
			{"pallet", "pallet", "", 1, []sized{{"length", 1}, {"width", 0.8}, {"height", 0.144}}, []line{{"stacked", "3", ""}}},
			{"sacks", "coal", "coal in sacks", 1, []sized{{"length", 0.7}, {"width", 0.42}, {"height", 0.22}}, nil},
			{"girder", "girder", "for a bridge that was not built", 1, []sized{{"length", 1.6}}, []line{{"section", `"heb-300"`, ""}}},
			{"tank", "tank", "", 1, []sized{{"diameter", 0.9}, {"length", 1.7}}, nil},
			{"barrel", "cask", "", 3, []sized{{"height", 0.7}, {"diameter", 0.52}}, nil},
			{"lamp-post", "yard-lamp", "", 1, []sized{{"height", 2.1}, {"base", 0.34}}, []line{{"bent", "12", ""}}},
			{"bench", "bench", "", 1, []sized{{"length", 1.4}}, nil},
			{"bollard", "stop", "", 2, []sized{{"height", 0.8}, {"diameter", 0.26}}, []line{{"shaft", `"plain"`, ""}}},
			{"drain-cover", "gully", "", 1, []sized{{"opening", 0.5}, {"frame", 0.08}}, []line{{"shape", `"gully"`, ""}}},
		},
		zones: func(w *work) []*zone {
			siding := &course{"track", "siding", "two rails in chairs, in ballast",
				[]line{{"gauge", `"1 m"`, ""}, {"sleeper-length", `"1.8 m"`, ""}, {"bed", `"90 mm"`, ""},
					{"missing", "0.08", "share of the sleepers that are gone"}, {"wear", "0.5", ""}}, true}
			main := &course{"pipe", "water-main", "to the water crane", []line{{"bore", `"dn-200"`, ""}, {"height", `"400 mm"`, ""}}, true}
			fence := &course{"fence", "palings", "what kept the boys out", []line{{"height", `"1.1 m"`, ""}}, false}
			track := &zone{name: "track", line: true, south: "yard", north: "yard", clear: math.Min(w.breadth(siding), 200)}
			yard := &zone{name: "yard", north: "yard"}
			edge := &zone{name: "platform-edge", line: true, south: "yard", north: "platform"}
			platform := &zone{name: "platform", north: "platform"}
			track.stations = []*station{{word: "the track in its ballast", least: 30, weight: 1.6, stand: r2.Vec{Y: -1},
				offset: func(b *berth) (float64, bool) {
					b.face(0)
					over := 0.06 * b.side()
					if w.reserves(b) {
						over = math.Max(over, 2*taper+w.footWide(b)+1-b.half.Y)
					}
					return -tenth(over), over < 0.3*b.side()
				},
				build: func(*berth) {}}} // the track runs through
			whole := *track.stations[0]
			track.stations = append(track.stations, great(&whole))
			yard.stations = []*station{w.greatHole(), w.shellHole(), w.pock(), w.torn("the mark of a wagon off the rails"), w.wallEnd("a wall of the goods shed", 28),
				w.left("what was unloaded", 10, 90, "oil", "crate", "cable", "cask"), w.left("iron for the works", 10, 90, "girder", "tank", "oil"),
				w.across("the water main", 24, 100, main), great(w.left("girders and a tank", 0, 0, "girder", "tank", "cable", "pallet")),
				w.across("a fence of palings", 24, 90, fence)}
			edge.stations = []*station{w.flight(), w.drop("the edge of the platform", 34, w.guarded)}
			platform.stations = []*station{w.left("luggage on the platform", 10, 90, "crate", "coal", "bench", "cask"), w.torn("a scar in the platform")}
			track.build = func(z *zone) {
				w.through(z, siding, w.breadth(siding)/2)
				if y, there := w.edgeOf(edge, platform); there {
					w.platform("platform", "solid", y, line{"edge", `"nosing"`, ""}, line{"material", `"concrete"`, ""})
					w.floor("platform", floorManner{"platform-flags", "running", "", [2]float64{9, 6}, 0, 0, 0.35, "flags"}, y, w.size.Y)
				}
			}
			return []*zone{track, yard, edge, platform}
		},
	}
}
