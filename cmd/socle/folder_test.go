package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPlacesWithinAFolder(t *testing.T) {
	require.Equal(t, "walker.stl", within(filepath.Join("build", "quay"), "build/quay/walker.stl"))
	require.Equal(t, "pictures/walker/top.png", within("build/quay/", "build/quay/pictures/walker/top.png"))
	require.Equal(t, "walker.stl", within(".", "walker.stl"))
}
