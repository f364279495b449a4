package picture

import (
	"context"

	"socle/sdf/workers"
)

// forEach runs do(0) .. do(n-1), each once, on all processors. The calls must write to
// places of their own.
func forEach(n int, do func(i int)) {
	err := workers.ForEach(context.Background(), n, func(_, i int) error {
		do(i)
		return nil
	})
	if err != nil {
		panic(err) // a worker has
	}
}

// forTiles runs do for small squares that together cover w x h. Neighbours in a
// square look up neighbours in the shadow maps, which so stay at hand.
func forTiles(w, h int, do func(x0, y0, x1, y1 int)) {
	const side = 16
	across, down := (w+side-1)/side, (h+side-1)/side
	forEach(across*down, func(i int) {
		x, y := i%across*side, i/across*side
		do(x, y, min(x+side, w), min(y+side, h))
	})
}
