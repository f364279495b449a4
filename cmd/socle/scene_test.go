package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/scenes"
)

// TestFaultsOfTheWholeHaveAPlace: a scene without a base, and one that is too large.
func TestFaultsOfTheWholeHaveAPlace(t *testing.T) {
	dir := t.TempDir()
	bare, _, _ := strings.Cut(watchedScene, "[[base]]")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "bare.toml"), []byte(bare), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "large.toml"), bytes.Repeat([]byte("# stone\n"), scenes.MaxSize/8+1), 0o600))
	for name, says := range map[string]string{
		"bare.toml": "bare.toml:1:1: the scene has no base to build", "large.toml": "large.toml:1:1: larger than 4 MiB",
	} {
		r := runIn(t, dir, "build", name)
		require.Equal(t, exitFaulty, r.code)
		require.Contains(t, r.err, says)
		require.Contains(t, r.err, "1 fault in "+name)
	}
}
