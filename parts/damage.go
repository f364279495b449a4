package parts

import (
	"fmt"
	"slices"

	"socle/sdf"
)

// blow is one damage with what it touches.
type blow struct {
	Damager
	only, spares []string
}

func blowsOf(parts []Part) []blow {
	var out []blow
	for _, p := range parts {
		if d, ok := p.(Damager); ok {
			only, spares := d.Narrow()
			out = append(out, blow{d, only, spares})
		}
	}
	return out
}

// touches says whether the damage reaches work that goes by any of the names:
// a part has one, the rim of a base that of the base and of the ground.
func (b *blow) touches(names ...string) bool {
	listed := func(list []string) bool {
		return slices.ContainsFunc(names, func(n string) bool { return slices.Contains(list, n) })
	}
	return (len(b.only) == 0 || listed(b.only)) && !listed(b.spares)
}

// damage lets every blow into what it touches. What a blow throws up counts as
// ground: the blow itself and all that touch the ground cut it. Parts that the
// same blows touch are cut together, so a blow is looked at once for all of them.
type damage struct {
	blows  []blow
	cuts   []sdf.Field // what each blow takes away
	thrown []sdf.Field // what each blow adds, or nil
	ground []string    // the names that ground goes by
}

func newDamage(s *Site, parts []Part) *damage {
	d := &damage{blows: blowsOf(parts)}
	if g := groundOf(s); g != nil {
		d.ground = []string{g.Name}
	}
	for _, b := range d.blows {
		d.cuts = append(d.cuts, b.Cut(s))
	}
	return d
}

// takes is all that the blows take from work that goes by the names, together
// with what they have in common as a key.
func (d *damage) takes(names ...string) (cuts []sdf.Field, key string) {
	bits := make([]byte, len(d.blows))
	for i := range d.blows {
		bits[i] = '0'
		if d.blows[i].touches(names...) {
			bits[i] = '1'
			cuts = append(cuts, d.cuts[i])
		}
	}
	return cuts, string(bits)
}

// made is the solid of a part.
type made struct {
	name  string
	solid sdf.Field
}

// strike gives the work after damage: the solid of every part, and what is
// thrown up, less what each is cut by.
func (d *damage) strike(s *Site, work []made) sdf.Field {
	type group struct {
		solids, cuts []sdf.Field
	}
	groups := map[string]*group{}
	var order []string
	add := func(f sdf.Field, cuts []sdf.Field, key string) {
		g := groups[key]
		if g == nil {
			g = &group{cuts: cuts}
			groups[key] = g
			order = append(order, key)
		}
		g.solids = append(g.solids, f)
	}
	for _, p := range work {
		cuts, key := d.takes(p.name)
		add(p.solid, cuts, key)
	}
	groundCuts, groundKey := d.takes(d.ground...)
	whole := make([]sdf.Field, len(work))
	for i, p := range work {
		whole[i] = p.solid
	}
	undamaged := sdf.Union(whole...)
	for i := range d.blows {
		thrown := throwOf(s, d.blows[i].Damager, undamaged)
		d.thrown = append(d.thrown, thrown)
		if thrown == nil {
			continue
		}
		cuts, key := groundCuts, []byte(groundKey)
		if key[i] == '0' {
			key[i] = '1'
			cuts = append(slices.Clone(cuts), d.cuts[i])
		}
		add(thrown, cuts, string(key))
	}
	after := make([]sdf.Field, 0, len(order))
	for _, key := range order {
		g := groups[key]
		after = append(after, sdf.Difference(sdf.Union(g.solids...), g.cuts...))
	}
	return sdf.Union(after...)
}

// throwOf is what a damage adds before it cuts.
func throwOf(s *Site, d Damager, work sdf.Field) sdf.Field {
	if on, ok := d.(Draper); ok {
		return on.ThrowOn(s, work)
	}
	return d.Throw(s)
}

// narrowFaults reports names in a damage's only and spares that lead to nothing
// that can be damaged.
func narrowFaults(s *Site) []Fault {
	var faults []Fault
	for _, b := range blowsOf(s.Parts) {
		known := true
		for _, list := range []struct {
			key   string
			names []string
		}{{"only", b.only}, {"spares", b.spares}} {
			for i, name := range list.names {
				var text string
				switch p := s.Find(name).(type) {
				case nil:
					text = fmt.Sprintf("no part is called %q", name)
				case Solider, *Base:
				default:
					text = fmt.Sprintf("%q is a %s, which damage does not touch", name, WordOf(p))
				}
				if text != "" {
					faults = append(faults, Fault{Part: b.Label(), Key: fmt.Sprintf("%s[%d]", list.key, i), Text: text,
						Allowed: "names of structure, finishes, fittings and bases"})
					known = false
				}
			}
		}
		if known && !b.touchesAny(s) {
			f := Fault{Part: b.Label(), Key: "only", Text: "leaves nothing that it may touch", Allowed: "one name at least that spares does not hold"}
			if len(b.only) == 0 {
				f.Key, f.Allowed = "spares", "a list that leaves out one of the parts at least"
			}
			faults = append(faults, f)
		}
	}
	return faults
}

// touchesAny says whether there is anything in the scene that the damage may touch.
func (b *blow) touchesAny(s *Site) bool {
	var ground []string
	if g := groundOf(s); g != nil {
		ground = []string{g.Name}
	}
	return slices.ContainsFunc(s.Parts, func(p Part) bool {
		switch p := p.(type) {
		case Solider:
			return b.touches(p.Label())
		case *Base:
			return b.touches(append(ground, p.Name)...)
		}
		return false
	})
}
