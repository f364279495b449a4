// Package deck is the raised floor: a slab at a level on piers, on walls or solid.
//
// A deck is worked out once for its site (layout.go): its heights, its sizes as drawn
// and the places of what carries it. Its solid, plan, notes and remedies read that.
package deck
