// Package stair is the stair: a straight flight of equal risers between two finished
// levels, laid out by a profile of published limits.
//
// A stair is laid out once for its site (layout.go, with the limits in steplaw.go);
// its solid, plan, measures, views, notes and remedies all read that layout.
package stair
