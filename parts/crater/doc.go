// Package crater holds what strikes the ground: the crater and the gouge. Both are cut
// by a profile over a plan with a wandering lip, and throw out ejecta over the same plan.
package crater
