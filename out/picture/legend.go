package picture

import "image"

// tones tells which tones are seen.
type tones [Figure + 1]bool

// drawLegend puts a key of the tones that are present, and of the grades of
// the marks, at the lower right.
func drawLegend(img *image.RGBA, o Options, present tones) {}
