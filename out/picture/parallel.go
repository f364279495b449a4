package picture

import "socle/sdf/workers"

// forTiles runs do for small squares that together cover w x h. Neighbours in a
// square look up neighbours in the shadow maps, which so stay at hand.
func forTiles(w, h int, do func(x0, y0, x1, y1 int)) {
	const side = 16
	across, down := (w+side-1)/side, (h+side-1)/side
	workers.AtOnce(across*down, func(i int) {
		x, y := i%across*side, i/across*side
		do(x, y, min(x+side, w), min(y+side, h))
	})
}
