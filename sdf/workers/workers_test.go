package workers

import (
	"context"
	"fmt"
	"runtime"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// onProcessors runs a test with so many processors.
func onProcessors(t *testing.T, n int) {
	before := runtime.GOMAXPROCS(n)
	t.Cleanup(func() { runtime.GOMAXPROCS(before) })
}

// Every piece is done once, and no worker does two at a time.
func TestWorkersDoEachOnce(t *testing.T) {
	for _, processors := range []int{1, 2, 8} {
		t.Run(fmt.Sprint(processors), func(t *testing.T) {
			onProcessors(t, processors)
			require.Equal(t, min(3, processors), Count(3))
			for _, n := range []int{0, 1, 3, 1000} {
				done, busy := make([]int, n), make([]atomic.Bool, Count(n))
				err := ForEach(t.Context(), n, func(w, i int) error {
					if !busy[w].CompareAndSwap(false, true) {
						t.Errorf("worker %d does two at a time", w)
					}
					done[i]++
					runtime.Gosched()
					busy[w].Store(false)
					return nil
				})
				require.NoError(t, err)
				for i := range done {
					require.Equal(t, 1, done[i])
				}
			}
		})
	}
}

// The error is that of the lowest piece that fails, whichever comes first.
func TestWorkersGiveTheLowestError(t *testing.T) {
	onProcessors(t, 8)
	for range 200 {
		begun := atomic.Int64{}
		err := ForEach(t.Context(), 10_000, func(_, i int) error {
			begun.Add(1)
			if i == 40 {
				runtime.Gosched()
			}
			if i >= 40 {
				return fmt.Errorf("piece %d", i)
			}
			return nil
		})
		require.EqualError(t, err, "piece 40")
		require.Less(t, begun.Load(), int64(60), "after an error no more is begun")
	}
}

func TestWorkersTurnAPanicIntoAnError(t *testing.T) {
	err := ForEach(t.Context(), 5, func(_, i int) error {
		if i == 2 {
			panic("broken")
		}
		return nil
	})
	require.ErrorContains(t, err, "internal fault: broken")
	require.ErrorContains(t, err, "workers_test.go", "with where it was")
}

// Where the context ends, its error goes before any other.
func TestWorkersStopWithTheContext(t *testing.T) {
	onProcessors(t, 2)
	ctx, cancel := context.WithCancel(t.Context())
	begun := atomic.Int64{}
	err := ForEach(ctx, 1000, func(_, i int) error {
		begun.Add(1)
		if i == 3 {
			cancel()
			return fmt.Errorf("piece 3")
		}
		if i > 3 {
			<-ctx.Done()
		}
		return nil
	})
	require.ErrorIs(t, err, context.Canceled)
	require.Less(t, begun.Load(), int64(10))
}
