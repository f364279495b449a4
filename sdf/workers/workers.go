// Package workers shares many small pieces of work among the processors. It imports
// nothing of socle, so that every package may use it.
package workers

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// Count gives how many workers n pieces of work are shared among: one for each
// processor (GOMAXPROCS), but no more than there are pieces.
func Count(n int) int { return min(n, runtime.GOMAXPROCS(0)) }

// ForEach runs do(w, 0) to do(w, n-1), each once, where w is the number of the worker,
// from 0 to Count(n)-1. One worker runs one piece at a time. Which worker runs which
// piece is chance: the calls must write to places of their own, or to their worker's, so
// that the result does not depend on it.
//
// It gives the error of the lowest piece that has one, whatever the number of workers;
// a panic is an error too. After an error no further piece is begun. Where ctx ends
// first, it gives ctx.Err().
func ForEach(ctx context.Context, n int, do func(worker, i int) error) error {
	var next atomic.Int64
	var all sync.WaitGroup
	var mu sync.Mutex
	failed, failure := n, error(nil)
	var stop atomic.Bool
	for w := range Count(n) {
		all.Go(func() {
			for ctx.Err() == nil && !stop.Load() {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				if err := guarded(do, w, i); err != nil {
					// Pieces are begun in order, so the lowest that fails was begun.
					stop.Store(true)
					mu.Lock()
					if i < failed {
						failed, failure = i, err
					}
					mu.Unlock()
				}
			}
		})
	}
	all.Wait()
	if err := ctx.Err(); err != nil {
		return err
	}
	return failure
}

// AtOnce runs do(0) to do(n-1) as ForEach does, where nothing can fail or end early. A panic in
// one of them is a panic of its caller's.
func AtOnce(n int, do func(i int)) {
	err := ForEach(context.Background(), n, func(_, i int) error {
		do(i)
		return nil
	})
	if err != nil {
		panic(err)
	}
}

// guarded turns a panic into an error: in a worker it would end the program, and leave
// files half-written.
func guarded(do func(worker, i int) error, worker, i int) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("internal fault: %v\n%s", r, debug.Stack())
		}
	}()
	return do(worker, i)
}
