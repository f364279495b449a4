package sdf

// Cylinder stands on the origin, from z = 0 to z = height, its two edges rounded
// to radius round (0 keeps them sharp; at most the radius or half the height). Lengths
// in mm; of a radius or height not above zero, Nothing. Is exact.
func Cylinder(radius, height, round float64) Field {
	if !positive(radius, height) {
		return Nothing()
	}
	r := 0.0
	if round > 0 {
		r = min(round, min(radius, height/2))
	}
	return &extruded{s: &circle{radius - r}, lo: r, hi: height - r, round: r}
}
