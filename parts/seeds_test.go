package parts

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSeedsAreThoseOfTheScene(t *testing.T) {
	s := &Site{Seed: 9, Parts: []Part{&Ground{}, &Crater{Named: Named{"hit"}, Seed: 4}, &Crater{Named: Named{"miss"}}}}
	all := s.Seeds()
	require.Equal(t, Seeded{"", 9}, all[0])
	require.Contains(t, all, Seeded{"hit", 4})
	require.Contains(t, all, Seeded{"miss", 0})
}
