package assembly

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/base"
)

// Remedies gives what may clear a finding of a check on a part, or on a piece at a
// place. Those of what causes it come first: of damage that cut what was built, then
// of the part itself, then of what lies beside it, and of the base where its edge is
// near. part, p and at may be nil.
func (sc *Scene) Remedies(check string, part parts.Part, p *Piece, at *r3.Vec) []parts.Remedy {
	t := parts.Trouble{Check: check, Part: part, Land: part != nil && sc.site.IsLand(part), At: at, Edge: math.Inf(1)}
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
		thicken := parts.Move{Kind: "inspect", Key: "neck", Value: "thicken"}
		return []parts.Remedy{{Key: "inspect.neck", Value: &thicken, Words: "which makes necks thicker", Tries: [][]parts.Move{{thicken}}}}
	}
	return nil
}
