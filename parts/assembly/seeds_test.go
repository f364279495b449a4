package assembly

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
	"socle/parts/crater"
	"socle/parts/ground"
)

func TestSeedsAreThoseOfTheScene(t *testing.T) {
	s := &parts.Site{Seed: 9, Parts: []parts.Part{&ground.Ground{}, &crater.Crater{Named: parts.Named{Name: "hit"}, Seed: 4},
		&crater.Crater{Named: parts.Named{Name: "miss"}}}}
	all := s.Seeds()
	require.Equal(t, parts.Seeded{Part: "", Seed: 9}, all[0])
	require.Contains(t, all, parts.Seeded{Part: "hit", Seed: 4})
	require.Contains(t, all, parts.Seeded{Part: "miss", Seed: 0})
}
