package finding

import "gonum.org/v1/gonum/spatial/r3"

// Vec is a place, or a size, as a vector.
func Vec(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }

// Triple is a vector as three numbers, mm.
func Triple(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
