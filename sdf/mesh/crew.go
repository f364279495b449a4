package mesh

import (
	"context"
	"sync"

	"socle/sdf/workers"
)

// crew is who does the work of one build, until ctx ends, and a meter that tells how far
// they are.
type crew struct {
	ctx   context.Context
	meter meter
}

// inParallel calls a worker's function for every item and gives the error of
// the first item that has one. Which worker takes which item is chance;
// nothing may depend on it.
func (w *crew) inParallel(items []int32, worker func() func(i int32) error) error {
	work := make([]func(i int32) error, workers.Count(len(items)))
	for k := range work {
		work[k] = worker()
	}
	return workers.ForEach(w.ctx, len(items), func(k, i int) error {
		defer w.meter.tick()
		return work[k](items[i])
	})
}

// meter turns work done into a fraction that only grows. Its stages have shares of the
// whole, measured on large solids.
type meter struct {
	mu       sync.Mutex
	report   func(done float64) // may be nil
	told     float64
	from, to float64
	done, of int
}

// leastStride is the least progress that is told.
const leastStride = 0.002

// stage begins a stage of so many ticks, which ends at a fraction of the whole.
func (m *meter) stage(to float64, of int) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.from, m.to, m.done, m.of = max(m.to, m.told), to, 0, max(of, 1)
	m.tell(m.from)
}

func (m *meter) tick() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.done = min(m.done+1, m.of)
	if m.of > 0 {
		m.tell(m.from + (m.to-m.from)*float64(m.done)/float64(m.of))
	}
}

func (m *meter) tell(at float64) {
	if m.report != nil && (at >= m.told+leastStride || at == 1 && m.told < 1) {
		m.told = at
		m.report(at)
	}
}

// numbers lists 0 to n-1.
func numbers(n int) []int32 {
	out := make([]int32, n)
	for i := range out {
		out[i] = int32(i)
	}
	return out
}
