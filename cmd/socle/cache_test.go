package main

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/cache"
)

// cacheYard is a place with everything that one piece's making may hang on, on the
// piece and off it.
var cacheYard = func() string {
	text, err := os.ReadFile(filepath.Join("testdata", "cache-yard.toml"))
	if err != nil {
		panic(err)
	}
	return string(text)
}()

// keepIn lets a test keep what it makes, in a folder of its own.
func keepIn(t *testing.T) (*cache.Cache, string) {
	dir := t.TempDir()
	t.Setenv("SOCLE_CACHE", dir)
	c, err := cache.Open()
	require.NoError(t, err)
	require.NotNil(t, c)
	return c, dir
}

// yardIn writes the yard into a folder.
func yardIn(t *testing.T, dir, text string) string {
	path := filepath.Join(dir, "yard.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	return path
}

// timesIn lists the files in a folder with their times.
func timesIn(t *testing.T, dir string) map[string]time.Time {
	all := map[string]time.Time{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			info, err := d.Info()
			if err != nil {
				return err
			}
			rel, err := filepath.Rel(dir, path)
			all[filepath.ToSlash(rel)] = info.ModTime()
			return err
		}
		return err
	}))
	return all
}

// TestBuildMakesOnlyWhatWasReached: unchanged, nothing is made and nothing written; with
// one crater moved, only the bases that it reaches are made, and only their files and
// those about the set change; and all files are those of a build without a cache.
func TestBuildMakesOnlyWhatWasReached(t *testing.T) {
	keepIn(t)
	dir := t.TempDir()
	yard := yardIn(t, dir, cacheYard)
	build := func(to string, args ...string) ran {
		r := runIn(t, dir, append([]string{"build", yard, "--cell", "0.4", "--to", to, "--size", "160x160"}, args...)...)
		require.Zero(t, r.code, r.err)
		return r
	}
	first := build("set")
	require.NotContains(t, first.err, "and kept")
	before := timesIn(t, filepath.Join(dir, "set"))
	require.Contains(t, before, "yard.json")

	again := build("set")
	require.Contains(t, again.out, "nothing has changed")
	require.Equal(t, before, timesIn(t, filepath.Join(dir, "set")))

	// One that is only spoilt, with its size and its time as they were.
	spoilt := filepath.Join(dir, "set", "east.stl")
	text, err := os.ReadFile(spoilt)
	require.NoError(t, err)
	spoil := func() {
		bad := bytes.Clone(text)
		bad[len(bad)/2] ^= 1
		require.NoError(t, os.WriteFile(spoilt, bad, 0o666))
	}
	spoil()
	require.NoError(t, os.Chtimes(spoilt, before["east.stl"], before["east.stl"]))
	build("set")
	mended, err := os.ReadFile(spoilt)
	require.NoError(t, err)
	require.True(t, bytes.Equal(text, mended), "the file is made good")
	before = timesIn(t, filepath.Join(dir, "set"))

	// A file that is gone, touched or spoilt is put right, and it alone.
	gone := filepath.Join(dir, "set", "west.stl")
	require.NoError(t, os.Remove(gone))
	spoil()
	again = build("set")
	require.Contains(t, again.err, "west: proven before, and kept")
	after := timesIn(t, filepath.Join(dir, "set"))
	require.Len(t, after, len(before))
	for name, at := range before {
		require.Equal(t, name != "west.stl" && name != "east.stl", at.Equal(after[name]), name)
	}

	edited := yardIn(t, dir, strings.Replace(cacheYard, "at = [95, 16]", "at = [97, 18]", 1))
	require.Equal(t, yard, edited)
	moved := build("set")
	require.Contains(t, moved.err, "west: proven before, and kept")
	require.Contains(t, moved.err, "east: proven (")
	last := timesIn(t, filepath.Join(dir, "set"))
	for _, name := range []string{"west.stl", "stagehand.stl", "pictures/west/three-quarter.png"} {
		require.Equal(t, after[name], last[name], name)
	}
	build("anew", "--no-cache")
	for name := range last {
		warm, err := os.ReadFile(filepath.Join(dir, "set", name))
		require.NoError(t, err)
		cold, err := os.ReadFile(filepath.Join(dir, "anew", name))
		require.NoError(t, err, name)
		require.Equal(t, cold, warm, name)
	}
}

// TestCacheNoticesWhatIsSpoilt: entries that are cut short, changed or swapped are made
// anew.
func TestCacheNoticesWhatIsSpoilt(t *testing.T) {
	_, kept := keepIn(t)
	dir := t.TempDir()
	yard := yardIn(t, dir, cacheYard)
	build := func(to string) {
		r := runIn(t, dir, "build", yard, "--cell", "1", "--to", to, "--format", "stl,json")
		require.Zero(t, r.code, r.err)
	}
	build("one")
	spoilt := 0
	require.NoError(t, filepath.WalkDir(kept, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil || len(data) < 100 {
			return err
		}
		switch spoilt++; spoilt % 3 {
		case 0:
			data = data[:len(data)/2]
		default:
			data[len(data)*(spoilt%3)/3] ^= 0x10
		}
		return os.WriteFile(path, data, 0o666)
	}))
	require.Positive(t, spoilt)
	build("two")
	for name := range timesIn(t, filepath.Join(dir, "one")) {
		a, err := os.ReadFile(filepath.Join(dir, "one", name))
		require.NoError(t, err)
		b, err := os.ReadFile(filepath.Join(dir, "two", name))
		require.NoError(t, err)
		require.Equal(t, a, b, name)
	}
}

// TestTwoBuildsAtOnce share a cache and a folder, and both leave what one would.
func TestTwoBuildsAtOnce(t *testing.T) {
	keepIn(t)
	dir := t.TempDir()
	yard := yardIn(t, dir, cacheYard)
	args := []string{"build", yard, "--cell", "2", "--format", "stl,3mf,svg,json"}
	done := make(chan ran)
	const builds = 3
	for range builds {
		go func() { done <- runIn(t, dir, append(args, "--to", "shared")...) }()
	}
	for range builds {
		r := <-done
		require.Zero(t, r.code, r.err)
	}
	require.Zero(t, runIn(t, dir, append(args, "--to", "alone", "--no-cache")...).code)
	names := timesIn(t, filepath.Join(dir, "alone"))
	require.Len(t, timesIn(t, filepath.Join(dir, "shared")), len(names))
	for name := range names {
		a, err := os.ReadFile(filepath.Join(dir, "alone", name))
		require.NoError(t, err)
		b, err := os.ReadFile(filepath.Join(dir, "shared", name))
		require.NoError(t, err)
		require.Equal(t, a, b, name)
	}
}

// TestEveryVariant: all of them, each in a folder of its own.
func TestEveryVariant(t *testing.T) {
	dir := t.TempDir()
	yard := yardIn(t, dir, cacheYard)
	r := runIn(t, dir, "build", yard, "--variant", "all", "--cell", "1", "--format", "stl", "--to", "sets", "--base", "east")
	require.Zero(t, r.code, r.err)
	require.Contains(t, r.err, "== yard\n")
	require.Contains(t, r.err, "== yard-later\n")
	plain, err := os.ReadFile(filepath.Join(dir, "sets", "yard", "east.stl"))
	require.NoError(t, err)
	later, err := os.ReadFile(filepath.Join(dir, "sets", "yard-later", "east.stl"))
	require.NoError(t, err)
	require.NotEqual(t, plain, later)

	for _, args := range [][]string{{"build", "-"}, {"build", yard, "--json"}} {
		r := runIn(t, dir, append(args, "--variant", "all")...)
		require.Equal(t, exitFaulty, r.code, r.err)
	}
}
