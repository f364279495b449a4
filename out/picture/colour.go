package picture

import "image/color"

// Colour is what a tone looks like in full light, for legends and for what else
// shows the same surfaces.
func (t Tone) Colour() color.RGBA { return swatch(t) }
