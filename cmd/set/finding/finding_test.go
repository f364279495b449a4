package finding

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// findings draws single findings, as one finding each gives them. Their places are
// all different.
func concerns(t *rapid.T) (all []Finding) {
	n := rapid.IntRange(0, 60).Draw(t, "n")
	for i := range n {
		f := Finding{
			Severity: rapid.SampledFrom(Severities).Draw(t, "severity"),
			Check:    rapid.SampledFrom([]string{"neck", "bridge", "hair"}).Draw(t, "check"),
			Base:     rapid.SampledFrom([]string{"", "scout-1", "walker"}).Draw(t, "base"),
			Part:     rapid.SampledFrom([]string{"", "quay"}).Draw(t, "part"),
			What:     fmt.Sprintf("finding %d", i),
			Value:    rapid.Float64Range(0.1, 10).Draw(t, "value"),
			Limit:    rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(t, "limit"),
			Harm:     float64(rapid.IntRange(0, 3).Draw(t, "harm")),
		}
		if rapid.IntRange(0, 9).Draw(t, "placed") > 0 {
			f.At = &[3]float64{float64(i), 0, 0}
		}
		all = append(all, f)
	}
	return all
}

// cause is what is told as one finding.
type cause struct{ severity, check, base, part string }

func causeOf(f Finding) cause { return cause{f.Severity, f.Check, f.Base, f.Part} }

// counts are how many places there are of each cause, and of each severity.
func counts(all []Finding) (places map[cause]int) {
	places = map[cause]int{}
	for _, f := range all {
		places[causeOf(f)] += max(f.Count, 1)
	}
	return places
}

// TestGatherLosesNothing: the counts add up, each cause is told once, the worst of
// it first, its places are its own, and the worst severity comes first.
func TestGatherLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		single := concerns(t)
		all := Join(slices.Clone(single))
		require.Equal(t, counts(single), counts(all))
		require.Len(t, all, len(counts(single)))
		require.True(t, slices.IsSortedFunc(all, func(a, b Finding) int { return byHarm(&a, &b) }))
		for _, f := range all {
			var places [][3]float64
			for _, s := range single {
				if causeOf(s) == causeOf(f) {
					require.False(t, s.worseThan(&f), "%v is worse than %v", s, f)
					if s.At != nil {
						places = append(places, *s.At)
					}
				}
			}
			told := slices.Clone(f.Others)
			if f.At != nil {
				told = append(told, *f.At)
			}
			require.Subset(t, places, told)
			require.Len(t, told, min(len(places), len(told)))
			require.LessOrEqual(t, len(f.Others), mostOthers)
			if f.Count <= mostOthers {
				require.Len(t, told, len(places), "all places are named while there is room")
			}
			slices.SortFunc(told, func(a, b [3]float64) int { return int(a[0] - b[0]) })
			require.Len(t, slices.Compact(told), len(told), "no place is named twice")
		}
		require.Equal(t, len(all), TallyOf(all).Stops+TallyOf(all).Warns+TallyOf(all).Notes)
	})
}

// TestGatherWhateverTheOrder: the counts and the worst of each cause are the same
// in any order, and whether gathered at once or base by base and then again.
func TestGatherWhateverTheOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		single := concerns(t)
		at := rapid.IntRange(0, len(single)).Draw(t, "at")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		other := slices.Clone(single)
		rng.Shuffle(len(other), func(i, j int) { other[i], other[j] = other[j], other[i] })

		once := Join(slices.Clone(single))
		for _, again := range [][]Finding{
			Join(other),
			Join(append(Join(slices.Clone(single[:at])), Join(slices.Clone(single[at:]))...)),
			Join(slices.Clone(once)),
		} {
			require.Equal(t, counts(once), counts(again))
			require.Equal(t, TallyOf(once), TallyOf(again))
			for _, f := range once {
				i := slices.IndexFunc(again, func(o Finding) bool { return causeOf(o) == causeOf(f) })
				require.False(t, f.worseThan(&again[i]) || again[i].worseThan(&f))
			}
		}
	})
}

// TestTopicsLoseNothing: every finding is in one topic, with others of its check
// and its part alone, and severity goes before how many there are.
func TestTopicsLoseNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := Join(concerns(t))
		found := Groups(all)
		var told []Finding
		for i, one := range found {
			require.NotEmpty(t, one)
			for _, f := range one {
				require.Equal(t, [3]string{one[0].Severity, one[0].Check, one[0].Part}, [3]string{f.Severity, f.Check, f.Part})
			}
			told = append(told, one...)
			if i > 0 {
				before, after := found[i-1].worst(), one.worst()
				rank := byHarm(&before, &after)
				require.True(t, rank < 0 || rank == 0 && len(found[i-1]) >= len(one))
			}
		}
		require.ElementsMatch(t, all, told)
	})
}

// TestWorse holds findings of one check against each other: by the share that they
// miss their limit by, on either side of it.
func TestWorse(t *testing.T) {
	for _, c := range []struct {
		a, b  Finding
		worse bool
	}{
		{Finding{Value: 0.2, Limit: 0.5}, Finding{Value: 0.4, Limit: 0.5}, true},  // thinner
		{Finding{Value: 0.4, Limit: 0.5}, Finding{Value: 0.2, Limit: 0.5}, false}, // not as thin
		{Finding{Value: 9, Limit: 3}, Finding{Value: 4, Limit: 3}, true},          // longer
		{Finding{Value: 0.3, Limit: 1}, Finding{Value: 0.2, Limit: 0.5}, true},    // 3.3 against 2.5
		{Finding{Value: 2}, Finding{Value: 1}, true},                              // without a limit: larger
		{Finding{Value: 1, Limit: 2}, Finding{Value: 1, Limit: 2}, false},
	} {
		require.Equal(t, c.worse, c.a.worseThan(&c.b), "%v", c)
	}
}

func TestTallyInWords(t *testing.T) {
	require.Equal(t, "0 stops, 0 warnings and 0 notes", Tally{}.String())
	require.Equal(t, "1 stop, 1 warning and 1 note", Tally{1, 1, 1}.String())
	require.Equal(t, "2 stops, 3 warnings and 12 notes", Tally{2, 3, 12}.String())
}
