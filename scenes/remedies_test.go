package scenes

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
)

// TestRemediesAreSets: whatever a part would have tried is a path and a value that the
// scene takes: a rule may refuse it, but no word of it is unknown.
func TestRemediesAreSets(t *testing.T) {
	t.Parallel()
	tried := map[string]int{} // changes of a key that were read
	all, err := madeOnFilament()
	require.NoError(t, err)
	for _, whole := range all {
		s, name := whole.read, whole.read.Site.Title
		p := whole.Pieces()[0]
		taken, read, refused := map[string]bool{}, 0, 0
		for _, c := range parts.InspectionChecks() {
			for _, part := range s.Site.Parts {
				for _, r := range whole.Remedies(c.Word, part, &p, &r3.Vec{X: p.Box.Min.X + 1, Z: p.Base.Height}) {
					for _, try := range r.Tries {
						var sets []string
						for _, m := range try {
							sets = append(sets, MoveText(m))
						}
						key := strings.Join(sets, " ")
						if taken[key] {
							continue
						}
						taken[key] = true
						faults := &Faults{}
						apply(s.root.Clone(), readSets(nil, try, faults), faults)
						require.Empty(t, faults.List, key)
						of := try[0].Kind + "." + try[0].Key
						if tried[of]++; tried[of] > 6 {
							continue
						}
						read++
						if _, err := s.With(nil, try...); err != nil {
							var f *Faults
							require.True(t, errors.As(err, &f), key)
							refused++
						}
					}
				}
			}
		}
		require.Greater(t, len(taken), 40, name)
		require.Less(t, refused, read/2, name)
		t.Logf("%s: %d changes, %d read, %d of them refused", name, len(taken), read, refused)
	}
}
