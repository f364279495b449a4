package piece

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"socle/cmd/set"
	"socle/cmd/set/cache"
)

// BenchmarkKept builds the solids of the largest shipped scene, then again, then with
// one crater moved: how many bases are made again, and what share of the first build's
// time that takes beside the share that those bases had in it. Drawing is left out: it
// is kept by the same keys.
func BenchmarkKept(b *testing.B) {
	b.Setenv("SOCLE_CACHE", b.TempDir())
	c, err := cache.Open()
	require.NoError(b, err)
	cell := 0.4
	build := func(sets ...string) (made map[string]bool, took map[string]time.Duration, whole time.Duration) {
		start := time.Now()
		s, err := set.Open(b.Context(), nil, "saltmere-quay", set.Selection{Sets: sets})
		require.NoError(b, err)
		s.Cache = c
		require.NoError(b, s.Settle(&set.Options{Setting: set.SettingFine, Cell: &cell}))
		set, err := s.Cut(nil)
		require.NoError(b, err)
		pieces, maker := set.Pieces, MakerFor(set, nil)
		made, took = map[string]bool{}, map[string]time.Duration{}
		for i := range pieces { // one by one, so that each has a time of its own
			from := time.Now()
			m := maker(b.Context(), &pieces[i], func(float64) {})
			require.NoError(b, m.Err)
			made[pieces[i].Name], took[pieces[i].Name] = !m.Kept, time.Since(from)
		}
		return made, took, time.Since(start)
	}
	count := func(made map[string]bool) (n float64) {
		for _, is := range made {
			if is {
				n++
			}
		}
		return n
	}
	for range b.N {
		_, err := c.Clear()
		require.NoError(b, err)
		_, cold, whole := build()
		again, _, second := build()
		moved, _, third := build("crater.near-miss.at=[200,60]")
		var due time.Duration
		for name, is := range moved {
			if is {
				due += cold[name]
			}
		}
		b.ReportMetric(float64(len(cold)), "bases")
		b.ReportMetric(count(again), "made-unchanged")
		b.ReportMetric(count(moved), "made-moved")
		b.ReportMetric(whole.Seconds(), "s-cold")
		b.ReportMetric(second.Seconds(), "s-unchanged")
		b.ReportMetric(third.Seconds(), "s-moved")
		b.ReportMetric(due.Seconds(), "s-due") // what those bases took at first
	}
}
