package sdf

import "gonum.org/v1/gonum/spatial/r2"

// Cone stands on the origin: a round frustum of radius bottom at z = 0 and top at
// z = height, mm; either may be 0 (a point). A radius below zero counts as zero; of
// no height, or two zero radii, Nothing. Is exact.
func Cone(bottom, top, height float64) Field {
	if !positive(height) {
		return Nothing()
	}
	return Revolve([]r2.Vec{{}, {X: max(bottom, 0)}, {X: max(top, 0), Y: height}, {Y: height}})
}
