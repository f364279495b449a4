// Package surface gives the texture of what a place is made of, as reliefs: dressed stone,
// brick, concrete, boards, plate, earth. Sizes are those of life at the site's scale, and
// never less than the printer shows.
package surface
