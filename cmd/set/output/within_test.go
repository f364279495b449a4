package output

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPlacesWithinAFolder(t *testing.T) {
	require.Equal(t, "walker.stl", Within(filepath.Join("build", "quay"), "build/quay/walker.stl"))
	require.Equal(t, "pictures/walker/top.png", Within("build/quay/", "build/quay/pictures/walker/top.png"))
	require.Equal(t, "walker.stl", Within(".", "walker.stl"))
}
