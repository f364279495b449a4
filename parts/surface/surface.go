// Package surface gives the texture of what a place is made of, as reliefs: dressed stone,
// brick, concrete, boards, plate, earth. Sizes are those of life at the site's scale, and
// never less than the printer shows.
package surface

import "socle/parts"

// Grain is the least depth, in mm, of a texture over a whole face: what is left of it after
// primer. A third of the least relief of the print, which is 0.1 mm for resin and 0.2 mm for
// filament: common practice, no source.
func Grain(s *parts.Site) float64 { return s.Print.Relief / 3 }
