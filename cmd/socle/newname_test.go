package main

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestNewRefusesNamesThatAreNone: for the file, the terminal, or the command that it
// tells; a theme's scenes are held to the same.
func TestNewRefusesNamesThatAreNone(t *testing.T) {
	for _, name := range []string{"a\nb", "a\x1b[2Jb", "-x", "CON", "nul.toml", "com1", "...", "...toml", "", ".toml", "a b", "here/..", "here/-x"} {
		for _, how := range [][]string{nil, {"--theme", "quay"}, {"--from", "saltmere-quay"}} {
			dir := t.TempDir()
			require.NoError(t, os.Mkdir(filepath.Join(dir, "here"), 0o700))
			r := runIn(t, dir, append(append([]string{"new"}, how...), "--", name)...)
			require.Equal(t, exitFaulty, r.code, "%q %v: %s", name, how, r.out)
			require.Contains(t, r.err, "allowed:", "%q", name)
			require.NotContains(t, r.err, "\x1b")
			require.Equal(t, []string{"here"}, filesIn(t, dir))
			require.Empty(t, filesIn(t, filepath.Join(dir, "here")))
		}
	}
}

// TestNewTellsACommandThatWorks, wherever the scene is.
func TestNewTellsACommandThatWorks(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "-my places"), 0o700))
	r := runIn(t, dir, "new", "--", filepath.Join("-my places", "yard"))
	require.Equal(t, exitDone, r.code, r.err)
	if runtime.GOOS != "windows" {
		require.Contains(t, r.err, `socle build './-my places/yard.toml'`)
	}
}

// TestScenesThatCannotNameTheirFiles are told so, and nothing is written.
func TestScenesThatCannotNameTheirFiles(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("testdata", "court.toml"))
	require.NoError(t, err)
	for _, name := range []string{"...toml", "..toml", ".toml", "-x.toml", "a\nb.toml"} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			continue // nor on this system
		}
		for _, verb := range []string{"build", "plan", "jobs"} {
			r := runIn(t, dir, verb, "./"+name)
			require.Equal(t, exitFaulty, r.code, "%q: %s", name, r.out)
			require.Contains(t, r.err, "no scene can be called", "%q", name)
			require.Equal(t, []string{name}, filesIn(t, dir))
		}
	}
}
