package scenes_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
)

// What kinds of the catalogue offer others.
func TestOffers(t *testing.T) {
	t.Parallel()
	require.Equal(t, []string{"collapse", "crater", "gouge", "breach"}, parts.KindsOffering("debris"))
	require.Equal(t, []string{"collapse", "crater", "gouge", "pockmarks", "breach"}, parts.KindsOffering("layout"))
	require.Equal(t, []string{"stair", "deck", "storey"}, parts.KindsOffering("flight", "slab"))
}
