package picture

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// forEach runs do(0) .. do(n-1), each once, on as many workers as the
// processor has. The calls must write to places of their own; then the outcome
// does not depend on how they were shared out.
func forEach(n int, do func(i int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	var next atomic.Int64
	var wait sync.WaitGroup
	for range workers {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wait.Wait()
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
