package mesh

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Progress begins near 0, only grows, in small steps, and ends at 1 once.
func TestProgressIsEven(t *testing.T) {
	f, box := referenceSolid(930)
	var told []float64
	mustBuild(t, f, Options{Cell: 0.4, Box: box, Progress: func(done float64) { told = append(told, done) }})
	last := 0.0
	for _, at := range told {
		require.Greater(t, at, last)
		require.Less(t, at-last, 0.06, "no great leap at %g", at)
		last = at
	}
	require.Equal(t, 1.0, last)
	require.Greater(t, len(told), 40)
}

// A build that is told to stop at any stage stops there, and gives nothing.
func TestBuildStopsAtAnyStage(t *testing.T) {
	f, box := referenceSolid(930)
	for _, stop := range []float64{0.01, 0.1, 0.22, 0.3, 0.45, 0.6, 0.95} {
		ctx, cancel := context.WithCancel(context.Background())
		after := 0
		s, err := Build(ctx, f, Options{Cell: 0.4, Box: box, Progress: func(done float64) {
			if ctx.Err() != nil {
				after++
			}
			if done >= stop {
				cancel()
			}
		}})
		require.ErrorIs(t, err, context.Canceled, "at %g", stop)
		require.Nil(t, s)
		require.Less(t, after, 4, "what was under way at %g may end, no more", stop)
		cancel()
	}
}

// BenchmarkCancel tells how long a build goes on after it is told to stop, at its worst of
// several stages: the aim is 100 ms.
func BenchmarkCancel(b *testing.B) {
	f, box := referenceSolid(930)
	worst := time.Duration(0)
	for b.Loop() {
		for stop := 0.05; stop < 1; stop += 0.1 {
			ctx, cancel := context.WithCancel(context.Background())
			var told time.Time
			_, err := Build(ctx, f, Options{Cell: 0.1, Tolerance: 0.005, Box: box, Progress: func(done float64) {
				if done >= stop && told.IsZero() {
					told = time.Now()
					cancel()
				}
			}})
			if err == nil {
				b.Fatal("it went on to the end")
			}
			worst = max(worst, time.Since(told))
			cancel()
		}
	}
	b.ReportMetric(float64(worst.Microseconds())/1000, "ms-after-cancel")
}
