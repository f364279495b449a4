package picture

// Tone is what the surface of a triangle is, which it is coloured by.
type Tone uint8

// The tones.
const (
	Clay    Tone = iota // as it was built
	Broken              // where damage took material away
	Strewn              // what lies in and around damage
	Figure              // the yardstick
	Added               // where another solid is held beside this one: what only this one has
	Removed             // the same: where the other one had more, or what it will not have

	lastTone = Removed
)
