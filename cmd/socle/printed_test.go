package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// fullDisk takes so many bytes and no more.
type fullDisk struct{ left int }

var errFull = errors.New("no space left")

func (d *fullDisk) Write(p []byte) (int, error) {
	n := min(len(p), d.left)
	d.left -= n
	if n < len(p) {
		return n, errFull
	}
	return n, nil
}

// TestResultsThatAreNotPrinted: whatever a verb prints, and however much of it can be,
// the end is 3. Every verb is here.
func TestResultsThatAreNotPrinted(t *testing.T) {
	t.Chdir(t.TempDir())
	quick := func(args ...string) []string { return append(args, "--cell", "3", "--tolerance", "0.5") }
	lines := [][]string{
		{}, {"--help"}, {"help", "build"}, {"new", "mine"}, quick("build", "yard.toml", "--format", "stl"), quick("build", "yard.toml", "--format", "stl", "--json"),
		quick("check", "yard.toml"), quick("check", "yard.toml", "--json"), quick("picture", "yard.toml", "--view", "top", "--size", "160x160"),
		{"plan", "yard.toml"}, quick("report", "yard.toml"),
		quick("vary", "yard.toml", "base.scout.turn=9"), {"vary", "yard.toml", "base.scout.turn=9", "--keep", "turned"},
		{"compare", "yard.toml", "yard.toml"}, {"compare", "yard.toml", "yard.toml", "--json"},
		quick("jobs", "yard.toml", "--format", "stl"), {"gather", "build/yard-jobs"},
		{"cache"}, {"cache", "--json"}, {"cache", "clear"}, {"parts"}, {"parts", "stair"}, {"schema"}, {"version"},
		{"completion", "bash"}, {"completion", "zsh"}, {"completion", "fish"}, {"completion", "powershell"}, {"__complete", "parts", ""},
	}
	verbs := map[string]bool{"watch": true, "help": true} // a watch goes on
	for i, args := range lines {
		require.NoError(t, os.WriteFile("yard.toml", []byte(watchedScene), 0o600))
		if len(args) > 0 {
			verbs[args[0]] = true
			if args[0] == "gather" {
				makeJobs(t, lines[i-1])
			}
		}
		var said bytes.Buffer
		code := run(t.Context(), args, streams{in: strings.NewReader(""), out: &fullDisk{i % 2 * 5}, err: &said})
		require.Equal(t, exitNotWritten, code, "%v: %s", args, &said)
		require.Contains(t, said.String(), "could not be printed", "%v", args)
	}
	for _, c := range newRoot(streams{}).Commands() {
		require.True(t, verbs[c.Name()], "%s is not tried", c.Name())
	}
}

// makeJobs makes the pieces of some jobs.
func makeJobs(t *testing.T, args []string) {
	var jobs, said bytes.Buffer
	require.Equal(t, exitDone, run(t.Context(), args, streams{in: strings.NewReader(""), out: &jobs, err: &said}), said.String())
	for line := range strings.Lines(jobs.String()) {
		require.Equal(t, exitDone, run(t.Context(), strings.Fields(line)[1:], streams{in: strings.NewReader(""), out: &said, err: &said}), said.String())
	}
}

// TestFullDevice: the same on a device that is full.
func TestFullDevice(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("there is no full device here: ", err)
	}
	defer full.Close()
	dir := testScene(t, "court.toml")
	for _, args := range [][]string{{"parts"}, {"schema"}, {"completion", "bash"}, {"cache", "--json"}, {"cache"}, {"version"}, {"--help"}, {"plan", "court.toml"}, {"compare", "court.toml", "court.toml"}} {
		cmd := command(t, socle, args...)
		cmd.Dir, cmd.Stdout = dir, full
		cmd.Env = append(os.Environ(), "SOCLE_CACHE="+filepath.Join(dir, "kept"))
		err := cmd.Run()
		var exit *exec.ExitError
		require.ErrorAs(t, err, &exit, "%v", args)
		require.Equal(t, exitNotWritten, exit.ExitCode(), "%v", args)
	}
}
