// Package rail is the rail: posts in equal bays, a handrail and an infill, along a
// stair, the edge of a deck or a line.
//
// A rail is worked out once for its site: its sizes as drawn (sizes.go) and its
// stretches with their bays (layout.go). Its solid, plan, measures, notes and remedies
// all read that. guard.go holds the published limits.
package rail
