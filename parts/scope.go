package parts

import "slices"

// Scope is the work that a damage touches: all, or some parts by name.
type Scope struct{ only, spares map[string]bool }

// ScopeOf is that of a damage.
func ScopeOf(d Damager) Scope {
	only, spares := d.Narrow()
	return Scope{setOf(only), setOf(spares)}
}

// Narrowed says whether it is less than everything.
func (s *Scope) Narrowed() bool { return len(s.only)+len(s.spares) > 0 }

// Touches says whether the damage reaches work that goes by any of the names:
// a part has one, the rim of a base that of the base and of the ground.
func (s *Scope) Touches(names ...string) bool {
	listed := func(set map[string]bool) bool {
		return len(set) > 0 && slices.ContainsFunc(names, func(n string) bool { return set[n] })
	}
	return (len(s.only) == 0 || listed(s.only)) && !listed(s.spares)
}

func setOf(names []string) map[string]bool {
	set := make(map[string]bool, len(names))
	for _, n := range names {
		set[n] = true
	}
	return set
}
