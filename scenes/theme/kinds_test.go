package theme

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/base"
	"socle/parts/ground"
	"socle/scenes"
)

// kindsOf is how many places of each kind of part a scene has, but for its land, its bases
// and their damage.
func kindsOf(s *scenes.Scene) map[string]int {
	out := map[string]int{}
	for _, p := range s.Site.Parts {
		switch p.(type) {
		case *ground.Ground, *base.Base:
			continue
		}
		n := 1
		if placed, ok := p.(parts.Placed); ok {
			n = max(1, len(placed.Extents(s.Site)))
		}
		out[parts.WordOf(p)] += n
	}
	return out
}

// TestEveryThemeUsesManyKinds: ten kinds of part or more, three of them at least that stand
// about, and with another seed others, or other numbers of them.
func TestEveryThemeUsesManyKinds(t *testing.T) {
	t.Parallel()
	building := []string{"column", "crater", "deck", "gouge", "paving", "rail", "spill", "stair", "wall"}
	var wrong []string
	for _, name := range Names() {
		for _, scale := range []float64{0, 56} {
			var before map[string]int
			for seed := uint64(1); seed <= 2; seed++ {
				m, err := Scene(Ask{Theme: name, Seed: seed, Scale: scale})
				require.NoError(t, err)
				kinds := kindsOf(read(t, m))
				var about []string
				for word := range kinds {
					if !slices.Contains(building, word) {
						about = append(about, word)
					}
				}
				slices.Sort(about)
				if len(kinds) < 10 || len(about) < 3 {
					wrong = append(wrong, fmt.Sprintf("%s, scale %g, seed %d has few kinds: %v", name, scale, seed, kinds))
				}
				if maps.Equal(before, kinds) {
					wrong = append(wrong, fmt.Sprintf("%s, scale %g: seed %d has %v, as the one before", name, scale, seed, kinds))
				}
				before = kinds
			}
		}
	}
	require.Empty(t, strings.Join(wrong, "\n"))
}
