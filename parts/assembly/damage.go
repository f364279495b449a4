package assembly

import (
	"encoding/binary"
	"fmt"
	"slices"

	"socle/parts"
	"socle/parts/base"
	"socle/sdf"
	"socle/sdf/workers"
)

// blow is one damage with what it touches.
type blow struct {
	parts.Damager
	parts.Scope
}

func blowsOf(all []parts.Part) []blow {
	var out []blow
	for _, p := range all {
		if d, ok := p.(parts.Damager); ok {
			out = append(out, blow{d, parts.ScopeOf(d)})
		}
	}
	return out
}

// damage lets every blow into what it touches. What a blow throws up counts as
// ground: the blow itself and all that touch the ground cut it. Parts that the
// same blows touch are cut together, so a blow is looked at once for all of them.
type damage struct {
	blows  []blow
	cuts   []sdf.Field   // what each blow takes away
	bites  []*parts.Bite // the same for work that breaks in its own way, nil of a blow that gives none
	thrown []sdf.Field   // what each blow adds, or nil
	fallen []sdf.Field   // the floor that has slumped beside each blow, or nil
	ground []string      // the names that ground goes by
}

// landNames are the names that the land goes by.
func landNames(s *parts.Site) []string {
	if land := s.Land(); land != nil {
		return []string{land.Plot.Part.Label()}
	}
	return nil
}

func newDamage(s *parts.Site, all []parts.Part) *damage {
	d := &damage{blows: blowsOf(all)}
	d.ground = landNames(s)
	for _, b := range d.blows {
		cut := b.Cut(s)
		d.cuts, d.bites = append(d.cuts, cut), append(d.bites, biteOf(s, b.Damager, cut))
	}
	return d
}

// takes is all that the blows take from work that goes by the names.
func (d *damage) takes(names ...string) (cuts []sdf.Field) {
	for i := range d.blows {
		if d.blows[i].Touches(names...) {
			cuts = append(cuts, d.cuts[i])
		}
	}
	return cuts
}

// narrowed are the numbers of the blows that do not touch everything.
func narrowed(blows []blow) (all []int) {
	for i := range blows {
		if blows[i].Narrowed() {
			all = append(all, i)
		}
	}
	return all
}

// touched tells work that the same blows touch by one key: those of the narrowed ones
// that do. Of blow own, -1 for none, it is told as if it did.
func touched(blows []blow, narrow []int, own int, names ...string) string {
	var key []byte
	for _, i := range narrow {
		if i == own || blows[i].Touches(names...) {
			key = binary.AppendUvarint(key, uint64(i))
		}
	}
	return string(key)
}

// made is the solid of a part.
type made struct {
	part  parts.Part
	solid sdf.Field
}

// strike gives the work after damage: the solid of every part, and what is
// thrown up, less what each is cut by, or what is left of it where it broke in its own
// way; and those remains, by the place of the part in the work.
//
// What is cut together with the land is given by itself.
func (d *damage) strike(s *parts.Site, work []made) (under sdf.Field, land cutWork, remains []*broken) {
	type group struct {
		solids, cuts []sdf.Field
	}
	groups := map[string]*group{}
	var order []string
	narrow := narrowed(d.blows)
	add := func(f sdf.Field, own int, names ...string) {
		key := touched(d.blows, narrow, own, names...)
		g := groups[key]
		if g == nil {
			g = &group{cuts: d.takes(names...)}
			if own >= 0 && !d.blows[own].Touches(names...) {
				g.cuts = append(g.cuts, d.cuts[own])
			}
			groups[key] = g
			order = append(order, key)
		}
		g.solids = append(g.solids, f)
	}
	remains = d.breakAll(s, work)
	whole := make([]sdf.Field, len(work))
	var after []sdf.Field
	for i, p := range work {
		whole[i] = p.solid
		if remains[i] != nil {
			after = append(after, remains[i].left)
		} else {
			add(p.solid, -1, p.part.Label())
		}
	}
	undamaged := sdf.Union(whole...)
	opened := openedIn(work, remains)
	thrownBy := make([]sdf.Field, len(d.blows))
	workers.AtOnce(len(d.blows), func(i int) { thrownBy[i] = throwOf(s, d.blows[i].Damager, undamaged) })
	for i, thrown := range thrownBy {
		if thrown != nil {
			thrown = sdf.Difference(thrown, opened...)
		}
		d.thrown = append(d.thrown, thrown)
		if thrown != nil {
			add(thrown, i, d.ground...)
		}
	}
	for _, key := range order {
		w := cutWork{sdf.Union(groups[key].solids...), groups[key].cuts}
		if key == touched(d.blows, narrow, -1, d.ground...) {
			land = w
		} else {
			after = append(after, w.left())
		}
	}
	left := sdf.Union(append(after, land.left())...)
	return sdf.Union(append(d.slump(s, work, left), after...)...), land, remains
}

// cutWork is work that the same blows cut.
type cutWork struct {
	whole sdf.Field // nil for none
	cuts  []sdf.Field
}

// left is what the blows leave of it.
func (w cutWork) left() sdf.Field {
	if w.whole == nil {
		return sdf.Nothing()
	}
	return sdf.Difference(w.whole, w.cuts...)
}

// throwOf is what a damage adds before it cuts.
func throwOf(s *parts.Site, d parts.Damager, work sdf.Field) sdf.Field {
	if on, ok := d.(parts.Draper); ok {
		return on.ThrowOn(s, work)
	}
	return d.Throw(s)
}

// mostStrikes is the most that groups of work which different damage touches, times the
// damage to each, may come to: each group carries a list of its own.
const mostStrikes = 1_000_000

// narrowFaults reports names in a damage's only and spares that lead to nothing
// that can be damaged, and too much damage that is narrowed to different work.
func narrowFaults(s *parts.Site) []parts.Fault {
	var faults []parts.Fault
	byName := s.ByName()
	blows := blowsOf(s.Parts)
	for _, b := range blows {
		known := true
		only, spares := b.Narrow()
		for _, list := range []struct {
			key   string
			names []string
		}{{"only", only}, {"spares", spares}} {
			for i, name := range list.names {
				var text string
				switch p := byName[name].(type) {
				case nil:
					text = fmt.Sprintf("no part is called %q", name)
				case parts.Solider, *base.Base:
				default:
					text = fmt.Sprintf("%q is a %s, which damage does not touch", name, parts.WordOf(p))
				}
				if text != "" {
					faults = append(faults, parts.Fault{Part: b.Label(), Key: fmt.Sprintf("%s[%d]", list.key, i), Text: text,
						Allowed: "names of structure, finishes, fittings and bases"})
					known = false
				}
			}
		}
		if known && !b.touchesAny(s) {
			f := parts.Fault{Part: b.Label(), Key: "only", Text: "leaves nothing that it may touch", Allowed: "one name at least that spares does not hold"}
			if len(only) == 0 {
				f.Key, f.Allowed = "spares", "a list that leaves out one of the parts at least"
			}
			faults = append(faults, f)
		}
	}
	if len(faults) > 0 {
		return faults
	}
	narrow := narrowed(blows)
	groups := map[string]bool{}
	for _, p := range s.Parts {
		if _, ok := p.(parts.Solider); !ok || len(narrow) == 0 {
			continue
		}
		if groups[touched(blows, narrow, -1, p.Label())] = true; len(groups)*len(blows) > mostStrikes {
			last := blows[narrow[len(narrow)-1]]
			return []parts.Fault{{Part: last.Label(), Text: fmt.Sprintf("the scene now has %d damages, and their only and spares make more than %d different groups of parts", len(blows), mostStrikes/len(blows)),
				Allowed: fmt.Sprintf("at most %d damages times groups: fewer damages, or the same only and spares for many", mostStrikes)}}
		}
	}
	return nil
}

// touchesAny says whether there is anything in the scene that the damage may touch.
func (b *blow) touchesAny(s *parts.Site) bool {
	ground := landNames(s)
	return slices.ContainsFunc(s.Parts, func(p parts.Part) bool {
		switch p := p.(type) {
		case parts.Solider:
			return b.Touches(p.Label())
		case *base.Base:
			return b.Touches(append(ground, p.Name)...)
		}
		return false
	})
}
