package parts

import (
	"fmt"
	"slices"
)

// Narrowing is embedded by damage that may be narrowed to some parts, or spare some.
type Narrowing struct {
	Only   []string `key:"only" type:"refs" doc:"names of the only parts that it may damage"`
	Spares []string `key:"spares" type:"refs" doc:"names of parts that it leaves whole"`
}

// Narrow gives the only parts that it touches and those it spares.
func (n *Narrowing) Narrow() (only, spares []string) { return n.Only, n.Spares }

// Misses reports that damage leaves out the part that it is done to; done says in a message
// what that part is to it: "the wall that it goes through".
func (n *Narrowing) Misses(damage, to, done string) (faults []Fault) {
	if len(n.Only) > 0 && !slices.Contains(n.Only, to) {
		faults = append(faults, Fault{Part: damage, Key: "only", Text: fmt.Sprintf("leaves out %q, %s", to, done), Allowed: fmt.Sprintf("a list with %q in it", to)})
	}
	if slices.Contains(n.Spares, to) {
		faults = append(faults, Fault{Part: damage, Key: "spares", Text: fmt.Sprintf("holds %q, %s", to, done), Allowed: fmt.Sprintf("a list without %q", to)})
	}
	return faults
}

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
