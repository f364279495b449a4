package picture

// Tone is what the surface of a triangle is, which it is coloured by.
type Tone uint8

// The tones.
const (
	Clay   Tone = iota // as it was built
	Broken             // where damage took material away
	Strewn             // what lies in and around damage
	Figure             // the yardstick
)
