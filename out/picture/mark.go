package picture

import (
	"image"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mark is a place that is ringed in the picture.
type Mark struct {
	At     r3.Vec
	Radius float64 // of the ring, mm; it is never drawn too small to be seen
	Label  string  // beside the ring: a number; "" for a ring alone
	Grade  Grade
}

// Grade is how grave what a mark rings is. It is told by colour and by the ring's
// line, so that it does not hang on colour alone.
type Grade uint8

// The grades.
const (
	Note Grade = iota
	Warning
	Stop
)

// drawMarks rings the marks of o. s must have been seen with o.
func drawMarks(img *image.RGBA, o Options, s *scene) {}
