package assembly

import (
	"cmp"
	"math"
	"slices"
	"socle/parts"
	"socle/parts/base"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Remedies gives what may clear a finding of a check on a part, or on a piece at a
// place. Those of what causes it come first: of damage that cut what was built, then
// of the part itself, then of what lies beside it, and of the base where its edge is
// near. part, p and at may be nil.
func (sc *Scene) Remedies(check string, part parts.Part, p *Piece, at *r3.Vec) []parts.Remedy {
	t := parts.Trouble{Check: check, Part: part, At: at, Edge: math.Inf(1)}
	if p != nil {
		t.Piece = &parts.Laying{Pose: p.Pose}
		if p.berth != nil {
			t.Piece.Turn = p.berth.Turn
		}
	}
	asked := []parts.Part{part}
	if p != nil && p.berth != nil && at != nil {
		t.Edge = -p.berth.Shape().At(r2.Vec{X: at.X, Y: at.Y}) - p.Base.Taper
		asked = append(asked, sc.around(*p, *at)...)
		if t.NearEdge() {
			asked = append(asked, p.Base)
		}
	}
	built := false
	if s, ok := part.(parts.Solider); ok {
		built = parts.StageOf(s) < parts.Damaging
	}
	var all []parts.Remedy
	for i, q := range asked {
		r, ok := q.(parts.Remedier)
		if !ok || slices.Contains(asked[:i], q) {
			continue
		}
		rank := parts.OfNear
		if _, damage := q.(parts.Damager); damage && built {
			rank = parts.OfDamage
		} else if q == part {
			rank = parts.OfBlamed
		}
		for _, one := range r.Remedies(sc.site, t) {
			one.Cause = rank
			all = append(all, one)
		}
	}
	slices.SortStableFunc(all, func(a, b parts.Remedy) int { return cmp.Compare(a.Cause, b.Cause) })
	return append(all, siteRemedies(sc.site, check)...)
}

// around lists the parts that have a surface near a place on a piece, the nearest
// first.
func (sc *Scene) around(p Piece, at r3.Vec) []parts.Part {
	type near struct {
		part parts.Part
		away float64
	}
	var found []near
	all := sc.sceneryOf(p)
	for i := range all.bodies {
		if v, _ := all.bodies[i].Nearest(at); v > parts.CauseWithin {
			continue
		}
		for k := range all.bodies[i].faces {
			f := &all.bodies[i].faces[k]
			away := math.Abs(f.value(at))
			if _, base := f.part.(*base.Base); base || away > parts.CauseWithin {
				continue
			}
			if n := slices.IndexFunc(found, func(o near) bool { return o.part == f.part }); n >= 0 {
				found[n].away = math.Min(found[n].away, away)
			} else {
				found = append(found, near{f.part, away})
			}
		}
	}
	slices.SortStableFunc(found, func(a, b near) int { return cmp.Compare(a.away, b.away) })
	out := make([]parts.Part, len(found))
	for i, n := range found {
		out[i] = n.part
	}
	return out
}

// remedies are those of the scene's own tables.
func siteRemedies(s *parts.Site, check string) []parts.Remedy {
	if check == "neck" && s.Inspect.Neck == "keep" {
		return []parts.Remedy{{Key: "inspect.neck", Words: `[inspect] neck = "thicken", which makes necks thicker`,
			Tries: [][]parts.Move{{{Kind: "inspect", Key: "neck", Value: "thicken"}}}}}
	}
	return nil
}

// Hint says in plain words what may clear a finding of a check on a part, by its
// remedies: those of other parts with their names. It is never without words.
func Hint(check, part string, all []parts.Remedy) string {
	const most = 6
	var said []string
	for _, r := range all {
		words := r.Words
		if r.Part != "" && r.Part != part {
			words = r.Part + ": " + words
		}
		if r.Words != "" && !slices.Contains(said, words) {
			said = append(said, words)
		}
	}
	switch n := min(len(said), most); n {
	case 0:
		return cmp.Or(generally[check], "change the part that it lies on")
	case 1:
		return said[0]
	default:
		return strings.Join(said[:n-1], ", ") + ", or " + said[n-1]
	}
}

// generally is what may help where no part has a remedy of its own.
var generally = map[string]string{
	"thin-wall":      "make it thicker; the least wall that is drawn is [printer] wall",
	"thin-pin":       "make it thicker; the least pin that is drawn is [printer] pin",
	"hair":           "make it thicker, or remove what makes it stand free",
	"slender-pin":    "make it thicker or shorter",
	"narrow-gap":     "make the gap wider, or close it; the least gap that is drawn is [printer] gap",
	"shallow-relief": "make it deeper; the least relief that is drawn is [printer] emboss and engrave",
	"island":         "let it rest on something, or print it on supports: [inspect] laid = \"tilted\"",
	"overhang":       "fill what is under it, or print it on supports",
	"bridge":         "make the span shorter, or print it on supports",
	"sealed-void":    "open it to the outside, or fill it",
	"filled-void":    "open it to the outside by [printer] vent or more, or fill it on purpose",
	"drain":          "make the way out wider, to [printer] vent at least, or fill the room on purpose",
	"lidded-void":    "open it to the side, fill it, or print it tilted on supports",
	"vent":           "make the vents wider",
	"suction":        "print it tilted on supports, or make it hollow with vents",
	"foot":           "a chamfer at the foot of the base",
	"uneven-foot":    "a larger floor, so that nothing reaches through its foot",
	"bow":            "make the base higher, or print it tilted on supports",
	"plate":          "a smaller base, a lower part, or a printer with a larger plate",
	"pocket":         "change the magnet or its clearance",
	"skin":           "a thinner magnet or a higher base",
	"stand":          "move the stand, or what stands in its way",
	"stand-level":    "give the stand the level of the floor there, or move it to where that level is",
	"rough-stand":    "a [[base.stand]] gives a flat pad",
	"crumb":          `[inspect] crumbs = "drop" leaves it out, "keep" leaves it in`,
	"neck":           `[inspect] neck = "cut" takes it off, "thicken" makes it hold`,
	"stair":          "change the levels, or the riser and the going",
	"uneven-risers":  "lay the same finish at its foot and its head",
	"rail":           "change the height of the rail",
	"opening":        "set the balusters closer",
	"unit":           "larger and fewer units, or a larger scale",
}
