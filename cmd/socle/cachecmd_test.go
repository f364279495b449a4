package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out/store"
)

// runWith runs the command with more in its environment.
func runWith(t *testing.T, env []string, args ...string) ran {
	cmd := command(t, socle, args...)
	cmd.Env = append(os.Environ(), env...)
	return runCmd(t, cmd, t.TempDir())
}

func TestCacheTellsAndClears(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kept")
	env := []string{"SOCLE_CACHE=" + dir, "SOCLE_CACHE_LIMIT=500MiB"}
	s, err := store.Open(dir, 1<<20)
	require.NoError(t, err)
	require.NoError(t, s.Put(store.Key{1}, make([]byte, 3000)))

	r := runWith(t, env, "cache")
	require.Equal(t, exitDone, r.code, r.err)
	for _, line := range []string{"folder    " + dir, "holds     1 entry, 3 KiB", "limit     500 MiB", "last use  "} {
		require.Contains(t, r.out, line)
	}
	var told cacheReport
	r = runWith(t, env, "cache", "--json")
	require.NoError(t, json.Unmarshal([]byte(r.out), &told))
	require.Equal(t, 1, told.Entries)
	require.Equal(t, int64(500<<20), told.Limit)

	r = runWith(t, env, "cache", "clear")
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.out, "removed from "+dir+": 1 entry")
	require.Contains(t, runWith(t, env, "cache").out, "0 entries")
}

func TestCacheRefuses(t *testing.T) {
	foreign := t.TempDir()
	letter := filepath.Join(foreign, "letter.txt")
	require.NoError(t, os.WriteFile(letter, nil, 0o666))
	for want, env := range map[string]string{
		"not a cache of socle":   "SOCLE_CACHE=" + foreign,
		`did you mean "off"?`:    "SOCLE_CACHE=OFF",
		`did you mean "2GiB"?`:   "SOCLE_CACHE_LIMIT=2GB",
		"as 500MiB or 2GiB":      "SOCLE_CACHE_LIMIT=plenty",
		"from 1 MiB to 1024 TiB": "SOCLE_CACHE_LIMIT=0.5MiB",
	} {
		r := runWith(t, []string{"SOCLE_CACHE=" + t.TempDir(), env}, "cache", "clear")
		require.Equal(t, exitFaulty, r.code, env)
		require.Contains(t, r.err, want)
	}
	require.FileExists(t, letter)
	require.Contains(t, runWith(t, []string{"SOCLE_CACHE=off"}, "cache").out, "is off")
	require.Equal(t, exitFaulty, runWith(t, []string{"SOCLE_CACHE=off"}, "cache", "empty").code)
	for _, args := range [][]string{{"cache"}, {"cache", "--json"}, {"cache", "clear"}} {
		r := runWith(t, []string{"SOCLE_CACHE=" + filepath.Join(letter, "kept")}, args...)
		require.Equal(t, exitNotWritten, r.code, "%v where no folder can be made: %s", args, r.err)
	}
}
