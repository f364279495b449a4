package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/vary"
	"socle/scenes"
)

// TestKeepAllAtOnce: each of several that keep at the same time says kept, and is.
func TestKeepAllAtOnce(t *testing.T) {
	dir := testScene(t, "vary-yard.toml")
	const all = 4
	came := make([]ran, all)
	var wait sync.WaitGroup
	for i := range came {
		wait.Go(func() {
			came[i] = runIn(t, dir, "vary", "vary-yard.toml", "crater.hit.depth=1.2", "--keep", fmt.Sprint("try-", i))
		})
	}
	wait.Wait()
	read, err := scenes.ReadFile(filepath.Join(dir, "vary-yard.toml"), nil)
	require.NoError(t, err)
	for i, r := range came {
		require.Equal(t, exitDone, r.code, r.err)
		require.Contains(t, r.out, "kept 1")
		_, err := read.Variant(fmt.Sprint("try-", i))
		require.NoError(t, err)
	}
	require.Equal(t, []string{"vary-yard.toml"}, filesIn(t, dir))
}

// TestKeepRefusesNames: an empty one is one, and so is that which stands for no variant.
func TestKeepRefusesNames(t *testing.T) {
	dir := testScene(t, "vary-yard.toml")
	for _, name := range []string{"", "as-it-is", "all", "a b", "nul"} {
		r := runIn(t, dir, "vary", "vary-yard.toml", "crater.hit.depth=1.2", "--keep", name)
		require.Equal(t, exitFaulty, r.code, "%q: %s", name, r.out)
		require.Contains(t, r.err, "--keep: ", name)
		require.Contains(t, r.err, "allowed: ", name)
		require.Equal(t, []string{"vary-yard.toml"}, filesIn(t, dir))
	}
}

// TestKeepLeavesSomeFilesAlone, and then shows what was to be added.
func TestKeepLeavesSomeFilesAlone(t *testing.T) {
	for why, make := range map[string]func(path string) error{
		"you may not write to":   func(path string) error { return os.Chmod(path, 0o444) },
		"is a file with 2 names": func(path string) error { return os.Link(path, path+".hard") },
	} {
		dir := testScene(t, "vary-yard.toml")
		path := filepath.Join(dir, "vary-yard.toml")
		require.NoError(t, make(path))
		before, err := os.Stat(path)
		require.NoError(t, err)
		if strings.HasSuffix(why, "names") && vary.LinksOf(before) == 1 {
			continue // not known here
		}
		r := runIn(t, dir, "vary", "vary-yard.toml", "crater.hit.depth=1.2", "--keep", "deep")
		require.Equal(t, exitNotWritten, r.code, r.out)
		require.Contains(t, r.err, why)
		require.Contains(t, r.err, "[[variant]]\nname = \"deep\"\nset = { \"crater.hit.depth\" = 1.2 }\n")
		after, err := os.Stat(path)
		require.NoError(t, err)
		require.True(t, os.SameFile(before, after))
		require.Equal(t, before.Size(), after.Size())
	}
}
