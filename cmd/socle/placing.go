package main

import "gonum.org/v1/gonum/spatial/r3"

// vec is a place, or a size, as a vector.
func vec(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }

// xyz is a vector as three numbers, mm.
func xyz(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
