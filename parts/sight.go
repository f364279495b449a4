package parts

import "gonum.org/v1/gonum/spatial/r3"

// Sight is a place on a piece that is worth a picture of its own.
type Sight struct {
	Kind   string  // stand, stair or crater
	Part   Part    // what is there: the base for a stand
	Name   string  // of the picture, unique on the piece: "stair-water-stair", "stand-1"
	Box    r3.Box  // what the picture should show, piece coordinates, mm
	From   float64 // where it is best looked at from, degrees counter-clockwise from the piece's +x
	Figure *r3.Vec // where a person may stand in it, on what is there; nil where there is no such place
}

// Tone is what a place on the surface of a piece is.
type Tone uint8

// The tones.
const (
	Built  Tone = iota // as it was built
	Broken             // where damage took material away
	Strewn             // what lies in and around damage: spill, and what damage threw up
)
