package ground

import (
	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// newHollow is what a sunk terrace takes out: its outline at the mouth, its
// floor below, and a slope in degrees between. It reaches a little above the mouth.
func newHollow(a *parts.Area, mouth, floor, slope float64) *planar.Bank {
	sin, cos := planar.SinCos(slope)
	return &planar.Bank{Shape: a.Shape(), Box: a.Bounds(), At: mouth, Lo: floor, Hi: mouth + 1, Sin: sin, Cos: -cos}
}

// newMound is a raised terrace: its outline at the top, a slope in degrees down
// from there to the foot.
func newMound(a *parts.Area, top, foot, slope float64) *planar.Bank {
	sin, cos := planar.SinCos(slope)
	return &planar.Bank{Shape: a.Shape(), Box: a.Bounds(), At: top, Lo: foot, Hi: top, Sin: sin, Cos: cos}
}

// slope is the sides of a hollow or a mound alone, through all heights from lo to hi.
func slope(f *planar.Bank, lo, hi float64) sdf.Field {
	sides := *f
	sides.Lo, sides.Hi = lo, hi
	return &sides
}
