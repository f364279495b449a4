package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// plainYard has bases that take no time: the test is about their files.
const plainYard = `[scale]
ratio = 100
[printer]
pixel = 0.2
layer = 0.2
[ground]
size = [90, 30]
level = 3
[[base]]
name = "west"
round = 16
at = [15, 15]
[[base]]
name = "stagehand"
round = 12
at = [45, 15]
[[base]]
name = "east"
round = 12
at = [75, 15]
`

// TestBuildIsStoppedAtEachStep kills a build, and has its disk fail, at each step that
// puts its files on the disk and in place: the next build says what it found, and then
// there is the whole of its set and nothing else.
func TestBuildIsStoppedAtEachStep(t *testing.T) {
	_, kept := keepIn(t) // so that the bases are made once
	dir := t.TempDir()
	faulty := filepath.Join(t.TempDir(), "faulty.exe")
	text, err := exec.Command("go", "build", "-buildvcs=false", "-tags", "faults", "-o", faulty, ".").CombinedOutput()
	require.NoError(t, err, string(text))
	yard := yardIn(t, dir, plainYard)
	build := func(fault, to, height string) ran {
		cmd := command(t, faulty, "build", yard, "--cell", "1", "--format", "stl,3mf,svg,json", "--base", "west", "--base", "stagehand", "--set", "base.west.height="+height, "--to", to)
		cmd.Env = append(os.Environ(), "SOCLE_CACHE="+kept, "SOCLE_FAULT="+fault)
		return runCmd(t, cmd, dir)
	}
	require.Zero(t, build("", "old", "4").code)
	require.Zero(t, build("", "new", "5").code)
	reference := map[string]map[string]string{"old": filesOf(t, filepath.Join(dir, "old")), "new": filesOf(t, filepath.Join(dir, "new"))}
	changed := 0
	for name, text := range reference["new"] {
		if reference["old"][name] != text {
			changed++
		}
	}
	require.Greater(t, changed, 2)
	// How many files of each set there are, of those that differ.
	count := func(to string) (old, now int) {
		for name, text := range filesOf(t, filepath.Join(dir, to)) {
			switch {
			case reference["old"][name] == reference["new"][name]:
			case text == reference["old"][name]:
				old++
			case text == reference["new"][name]:
				now++
			}
		}
		return old, now
	}
	for _, how := range []string{"kill", "fail"} {
		mixed := 0
		for step := 1; ; step++ {
			to := fmt.Sprint(how, step)
			require.NoError(t, os.CopyFS(filepath.Join(dir, to), os.DirFS(filepath.Join(dir, "old"))))
			stopped := build(fmt.Sprint(how, " ", step), to, "5")
			if stopped.code == exitDone {
				require.Greater(t, step, len(reference["new"])+changed, "each file was sealed, and those that differ moved")
				break
			}
			if how == "fail" {
				require.Equal(t, exitNotWritten, stopped.code, stopped.err)
			}
			old, now := count(to)
			next := build("", to, "5")
			require.Zero(t, next.code, next.err)
			if old > 0 && now > 0 {
				mixed++
				require.Contains(t, next.err, fmt.Sprintf("stopped while it moved its files into %s, with %d of %d in place", to, now, changed))
			} else if how == "kill" && now == 0 {
				require.Contains(t, next.err, "an earlier run", "step %d", step)
			}
			sameFiles(t, filepath.Join(dir, "new"), filepath.Join(dir, to))
			require.NotContains(t, strings.Join(filesIn(t, filepath.Join(dir, to)), " "), ".socle")
		}
		require.Equal(t, changed-1, mixed)
	}
}
