package inspect

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// workersFor gives how many workers n pieces of work are shared among.
func workersFor(n int) int { return min(n, runtime.GOMAXPROCS(0)) }

// forEach runs do(w, 0) .. do(w, n-1), each once, on workersFor(n) workers of
// which w is the number. The calls must write to places of their own, or of
// their worker's. It gives the error of the lowest piece that has one; where
// ctx ends first, ctx.Err().
func forEach(ctx context.Context, n int, do func(worker, i int) error) error {
	errs := make([]error, n)
	var next atomic.Int64
	var wait sync.WaitGroup
	for w := range workersFor(n) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				errs[i] = do(w, i)
			}
		})
	}
	wait.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
