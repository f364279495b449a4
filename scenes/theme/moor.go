package theme

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// moor is open country: a mere with its reeds, heath with boulders and felled trees, a shelf
// of rock.
func moor() *theme {
	return &theme{
		name: "moor", doc: "open country: reeds by a mere, outcrops and boulders, felled trees and an old wall",
		title: "Vardy Moor", ratio: 56,
		bases: "oval90x52,round60,round50x2,round32x6,round25x4",
		names: [3][]string{{"drover", "poacher", "wolf", "hermit"}, {"outriders", "shepherd", "bear", "hunters"}, {"giant", "wyrm", "elk", "chieftain"}},
		manner: manner{
			low: "moor", high: "shelf", sunk: "mere",
			highNote: "a shelf of rock", sunkNote: "the bed of the mere",
			ground: []line{{"of", `"earth"`, "clods and stones lie in crumbs"}, {"surface", `"uneven"`, "it dips below its level, never above"}},
			bed:    "mud", shelf: "rock",
			most: 4, dip: 2.4,
			wall:   wallManner{"sheepfold", "block", 1.1, 0.4, 0.5, 0.6, "an old fold, of field stone"},
			rubble: "scree", scar: "rut",
		},
		things: []*thing{
			{"boulder", "boulder", "", 2, []sized{{"size", 0.8}}, nil},
			{"boulder", "stone", "", 3, []sized{{"size", 0.32}}, []line{{"wear", "0.6", ""}}},
			{"outcrop", "outcrop", "rock in beds that lean", 1, []sized{{"length", 0.65}, {"width", 0.52}, {"height", 0.5}}, nil},
			{"outcrop", "ledge", "", 1, []sized{{"length", 0.4}, {"width", 0.28}, {"height", 0.24}}, nil},
			{"outcrop", "tor", "", 1, []sized{{"length", 1.3}, {"width", 1}, {"height", 0.95}}, []line{{"dip", "24", ""}}},
			{"log", "trunk", "windthrown, or cut and left", 1, []sized{{"length", 1.3}, {"diameter", 0.3}}, nil},
			{"log", "bough", "", 1, []sized{{"length", 0.8}, {"diameter", 0.14}}, []line{{"ends", `"broken"`, ""}, {"stubs", "3", ""}}},
			{"stump", "stump", "", 1, []sized{{"height", 0.35}, {"diameter", 0.3}}, []line{{"spread", "2.4", ""}}},
			{"stump", "snag", "snapped by the wind", 1, []sized{{"height", 0.9}, {"diameter", 0.26}}, []line{{"top", `"broken"`, ""}, {"spread", "2", ""}}},
			{"log", "billet", "", 3, []sized{{"length", 0.42}, {"diameter", 0.13}}, nil},
			{"reeds", "reeds", "where the ground holds water", 3, []sized{{"height", 0.55}, {"clump", 0.34}}, nil},
			{"reeds", "rushes", "tufts of rush in the heath", 3, []sized{{"height", 0.2}, {"clump", 0.28}}, []line{{"count", "9", ""}}},
			{"stakes", "marker", "they mark the way in snow", 2, []sized{{"height", 0.9}, {"thickness", 0.09}}, []line{{"lean", "7", ""}}},
			{"sign", "finger-post", "", 1, []sized{{"height", 1.7}}, []line{{"length", `"380 mm"`, ""}, {"lean", "8", ""}}},
			{"beams", "hurdle-wood", "", 1, []sized{{"length", 0.9}, {"width", 0.1}, {"depth", 0.12}}, []line{{"count", "3", ""}}},
		},
		apart: []string{"reeds", "marker", "finger-post"},
		zones: func(w *work) []*zone {
			mere := &zone{name: "mere", line: true, beyond: 18, south: "mere", north: "moor"}
			moor := &zone{name: "moor", north: "moor"}
			edge := &zone{name: "step", line: true, south: "moor", north: "shelf"}
			shelf := &zone{name: "shelf", north: "shelf"}
			rails := &course{"fence", "fence", "split rails, some of them down",
				[]line{{"of", `"rails"`, ""}, {"height", `"950 mm"`, ""}, {"post", `"110 mm"`, ""}}, false}
			boards := &course{"duckboards", "causeway", "split logs over the soft ground",
				[]line{{"width", `"600 mm"`, ""}, {"slat", `"140 mm"`, ""}, {"wear", "0.6", ""}}, true}
			hedge := &course{"hedge", "hedge", "a hedge gone wild, on its bank", []line{{"height", `"360 mm"`, ""}, {"width", `"700 mm"`, ""}, {"growth", `"550 mm"`, ""}}, false}
			reedy := func(b *berth) {
				reeds := w.thing("reeds")
				r := w.girth(reeds)
				w.row(b, reeds, r2.Vec{X: b.at.X - 0.1*b.half.X, Y: b.zone.at - r - 0.3}, 0.5*b.half.X, 3)
				w.row(b, w.thing("stone"), r2.Vec{X: b.at.X + 0.2*b.half.X, Y: b.zone.at + 0.8 + w.girth(w.thing("stone"))}, 0.55*b.half.X, 3)
			}
			mere.stations = []*station{w.brink("reeds by the mere", 18, 0.2, reedy)}
			tor := great(w.left("a tor with what fell of it", 0, 0, "tor", "outcrop", "boulder", "trunk"))
			felled := great(w.left("a windthrown tree", 0, 0, "trunk", "stump", "snag", "bough"))
			moor.stations = []*station{tor, felled, w.left("an outcrop", 22, 75, "outcrop", "boulder", "stone"), w.left("boulders", 10, 75, "boulder", "stone"),
				w.left("a felled tree", 22, 75, "trunk", "stump", "bough"), w.left("a snag", 10, 75, "snag", "bough"),
				w.wallEnd("the wall of a sheepfold", 24), w.across("a fence of split rails", 24, 100, rails),
				w.across("a causeway of split logs", 24, 100, boards), great(w.across("an old fence", 0, 0, rails)),
				w.torn("the rut of a cart"), w.scree(), w.pool(), great(w.pool()), great(w.across("a hedge gone wild", 0, 0, hedge)), w.across("the end of a hedge", 30, 100, hedge)}
			edge.stations = []*station{w.drop("a step of rock", 30, func(b *berth) {
				out := w.rise / math.Tan(shelfBank*math.Pi/180)
				b.keep(box(b.at.X-b.half.X, b.zone.at-out-0.2, b.at.X+b.half.X, b.zone.at))
				for _, x := range []float64{-0.45, 0.4} {
					t := w.choose(b, 0.3*b.side(), []string{"outcrop", "boulder", "stone"})
					if t == nil {
						continue
					}
					r := w.girth(t)
					w.row(b, t, r2.Vec{X: b.at.X + x*b.half.X, Y: b.zone.at + r + 0.4}, 0, 1)
				}
				w.heap(b, patch(b.at.X-0.6*b.half.X, b.zone.at-0.3*b.half.Y, b.at.X+0.6*b.half.X, b.zone.at-0.3), 0.3)
			})}
			shelf.stations = []*station{
				w.left("boulders on the shelf", 10, 90, "boulder", "stone", "outcrop"), w.left("a way-mark", 10, 60, "marker", "finger-post", "stone"),
			}
			mere.build = func(z *zone) {
				if used(z) {
					w.sink("the mere, with a sloping bank", 0, z.at, 50)
				}
				if y, there := w.edgeOf(edge, shelf); there {
					w.raiseGround("the shelf", y, shelfBank)
				}
			}
			return []*zone{mere, moor, edge, shelf}
		},
	}
}

// shelfBank is how steep the shelf of rock ends, degrees.
const shelfBank = 62

// pool is the station of a pool in the peat, with reeds on its shore.
func (w *work) pool() *station {
	return &station{word: "a pool in the peat", least: 30, most: 90, build: func(b *berth) {
		wide := 0.45 * b.side()
		at := tenthOf(b.aside(w.off(b, "pool", 0.16), wide/2))
		area := roundPatch(at, wide)
		w.page.table(fittings, "pool", w.once("pool", "where the ground holds water"), line{"area", area.text, ""})
		b.keep(area.plan)
		reeds := w.thing("reeds")
		w.row(b, reeds, r2.Vec{X: at.X, Y: at.Y + wide/2 + w.girth(reeds)}, 0.3*wide, 2)
	}}
}

// scree is the station of a fan of stones.
func (w *work) scree() *station {
	return &station{word: "a fan of scree", least: 10, most: 60, build: func(b *berth) {
		at := w.off(b, "scree", 0.14)
		w.heap(b, roundPatch(at, math.Max(4, 0.45*b.side())), 0.4)
	}}
}
