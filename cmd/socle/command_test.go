package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"socle/sdf/mesh"
)

// socle is the built command, which these tests run as a user would. It lies in scratch, a
// folder for what several tests share.
var socle, scratch string

func TestMain(m *testing.M) {
	os.Setenv("SOCLE_CACHE", "off") // but for the tests of it
	os.Exit(func() int {
		dir, err := os.MkdirTemp("", "socle")
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		defer os.RemoveAll(dir)
		scratch = dir
		socle = filepath.Join(dir, "socle.exe") // a name that every platform runs
		if text, err := exec.Command("go", "build", "-buildvcs=false", "-o", socle, ".").CombinedOutput(); err != nil {
			fmt.Fprintf(os.Stderr, "%s%v\n", text, err)
			return 1
		}
		return m.Run()
	}())
}

// ran is what came of one run of the command.
type ran struct {
	code     int
	out, err string
}

// patience ends a run that hangs; it is no measure of speed.
const patience = 5 * time.Minute

// command is a command that cannot outlive the test.
func command(t *testing.T, name string, args ...string) *exec.Cmd {
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	t.Cleanup(cancel)
	return exec.CommandContext(ctx, name, args...)
}

// runIn runs the command in a folder.
func runIn(t *testing.T, dir string, args ...string) ran {
	return runCmd(t, command(t, socle, args...), dir)
}

func runCmd(t *testing.T, cmd *exec.Cmd, dir string) ran {
	var stdout, stderr bytes.Buffer
	cmd.Dir = dir
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		require.NoError(t, err)
	}
	return ran{cmd.ProcessState.ExitCode(), stdout.String(), stderr.String()}
}

// testScene copies a scene from testdata into a folder of its own.
func testScene(t *testing.T, name string) (dir string) {
	text, err := os.ReadFile(filepath.Join("testdata", name))
	require.NoError(t, err)
	dir = t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, name), text, 0o644))
	return dir
}

func filesIn(t *testing.T, dir string) (names []string) {
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestHelpWithoutArguments(t *testing.T) {
	r := runIn(t, t.TempDir())
	require.Equal(t, exitDone, r.code)
	require.Contains(t, r.out, "Exit codes")
	require.Empty(t, r.err)
}

func TestHelpOfEveryVerbEndsWithExamples(t *testing.T) {
	for _, verb := range [][]string{{}, {"new"}, {"build"}, {"check"}, {"watch"}, {"picture"}, {"plan"}, {"report"}, {"vary"}, {"compare"}, {"jobs"}, {"gather"}, {"cache"}, {"parts"}, {"schema"}, {"version"}, {"completion"}} {
		r := runIn(t, t.TempDir(), append(verb, "--help")...)
		require.Equal(t, exitDone, r.code, verb)
		_, examples, ok := strings.Cut(r.out, "\nExamples:\n")
		require.True(t, ok, "%v: %s", verb, r.out)
		for _, line := range strings.Split(strings.TrimSpace(examples), "\n") {
			if !strings.Contains(line, "jobs.txt") && !strings.Contains(line, "make -k") { // what runs the jobs is not socle's
				require.Contains(t, line, "socle", verb)
			}
		}
	}
}

func TestFaultyCommandsExitWith2(t *testing.T) {
	dir := testScene(t, "court.toml")
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"bild"}, "Did you mean this?\n\tbuild"},
		{[]string{"build"}, "needs one scene"},
		{[]string{"build", "court.toml", "court.toml"}, "needs one scene"},
		{[]string{"build", "court.toml", "--cel", "1"}, "unknown flag"},
		{[]string{"build", "court.toml", "--cell", "0.001"}, fmt.Sprintf("allowed: %v to 10", mesh.LeastCell)},
		{[]string{"build", "court.toml", "--cell", "NaN"}, fmt.Sprintf("allowed: %v to 10", mesh.LeastCell)},
		{[]string{"build", "court.toml", "--tolerance", "-1"}, "allowed: 0 to the cell"},
		{[]string{"build", "court.toml", "--tolerance", "NaN"}, "allowed: 0 to the cell of 0.1 mm"},
		{[]string{"build", "court.toml", "--tolerance", "0.11"}, "allowed: 0 to the cell of 0.1 mm"},
		{[]string{"build", "court.toml", "--cell", "0.8", "--tolerance", "0.81"}, "allowed: 0 to the cell of 0.8 mm"},
		{[]string{"build", "court.toml", "--setting", "rough"}, `--setting "rough": allowed: draft, fine`},
		{[]string{"build", "court.toml", "--setting", "", "--cell", "1"}, `--setting "": allowed: draft, fine`},
		{[]string{"build", "court.toml", "--set", "printer.layer=0.25"}, "too thick for a layer of resin"},
		{[]string{"build", "court.toml", "--format", "obj"}, "allowed: stl, 3mf, png, svg, html, json"},
		{[]string{"build", "court.toml", "--format", ""}, "allowed: stl, 3mf, png, svg, html, json"},
		{[]string{"build", "court.toml", "--size", "20000x20000"}, "each 160 to 4096 pixels"},
		{[]string{"picture", "court.toml", "--size", "800"}, "WIDTHxHEIGHT"},
		{[]string{"picture", "court.toml", "--view", "behind"}, "allowed: three-quarter, top, side, underside, life-size, details, findings, set, variants"},
		{[]string{"picture", "court.toml", "--view", "set", "--base", "walker"}, "leave out --base"},
		{[]string{"picture", "court.toml", "--from", "30"}, "AZIMUTH,ELEVATION"},
		{[]string{"picture", "court.toml", "--from", "30,91"}, "-90 to 90"},
		{[]string{"picture", "court.toml", "--from", "NaN,30"}, "AZIMUTH,ELEVATION"},
		{[]string{"build", "court"}, `did you mean "court.toml"?`},
		{[]string{"build", "none/there.toml"}, "there is no file"},
		{[]string{"build", "saltmere-key"}, "saltmere-quay"},
		{[]string{"build", "."}, "is a folder"},
		{[]string{"build", "court.toml", "--base", "nobody"}, `no base "nobody"; it has: hollow, scout-1, scout-2, walker`},
		{[]string{"build", "court.toml", "--variant", "other"}, "no variant"},
		{[]string{"build", "court.toml", "--set", "base.walker.oval=round"}, "base.walker.oval"},
		{[]string{"parts", "stiar"}, `"stair"`},
		{[]string{"parts", "stair", "rail"}, "one kind at most"},
		{[]string{"parts", "stiar", "--page", "p.html"}, `"stair"`},
		{[]string{"parts", "--page", ""}, "allowed: the name of a file"},
		{[]string{"parts", "stair", "--json", "--page", "p.html"}, "only one of the two"},
		{[]string{"new"}, "needs one name"},
		{[]string{"new", ".."}, "cannot be a name"},
		{[]string{"new", "x", "--from", "saltmere-key"}, "saltmere-quay"},
		{[]string{"version", "now"}, "unknown command"},
	} {
		t.Run(strings.Join(c.args, " "), func(t *testing.T) {
			r := runIn(t, dir, c.args...)
			require.Equal(t, exitFaulty, r.code, r.err)
			require.Contains(t, r.err, c.says)
			require.Empty(t, r.out)
			require.Equal(t, []string{"court.toml"}, filesIn(t, dir))
		})
	}
}

func TestNewWritesASceneThatBuilds(t *testing.T) {
	dir := t.TempDir()
	r := runIn(t, dir, "new", "harbour")
	require.Equal(t, exitDone, r.code, r.err)
	require.Equal(t, "wrote harbour.toml\n", r.out)
	r = runIn(t, dir, "build", "harbour.toml", "--cell", "2", "--quiet", "--base", "captain", "--format", "stl")
	require.Equal(t, exitDone, r.code, r.err)
	require.Empty(t, r.out)
	require.FileExists(t, filepath.Join(dir, "build", "harbour", "draft", "captain.stl"))
}

func TestNewNeverWritesOver(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "harbour.toml")
	require.NoError(t, os.WriteFile(path, []byte("mine"), 0o644))
	r := runIn(t, dir, "new", "harbour")
	require.Equal(t, exitFaulty, r.code)
	require.Contains(t, r.err, "left unchanged")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "mine", string(text))
}

func TestNewCopiesWhatIsShipped(t *testing.T) {
	dir := t.TempDir()
	r := runIn(t, dir, "new", "mine.toml", "--from", "saltmere-quay")
	require.Equal(t, exitDone, r.code, r.err)
	text, err := os.ReadFile(filepath.Join(dir, "mine.toml"))
	require.NoError(t, err)
	require.Contains(t, string(text), "Saltmere")
}

func TestResultsGoToTheirReader(t *testing.T) {
	dir := t.TempDir()
	r := runIn(t, dir, "parts")
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.out, "stair")
	r = runIn(t, dir, "parts", "base", "--json")
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.out, `"oval"`)
	r = runIn(t, dir, "schema")
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.out, "https://json-schema.org/draft/2020-12/schema")
	r = runIn(t, dir, "version")
	require.Equal(t, exitDone, r.code, r.err)
	require.Regexp(t, `^socle .*go1\.`, r.out)
	r = runIn(t, dir, "completion", "bash")
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.out, "__start_socle")
}

// brokenPipe is a reader of results that is gone.
type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("nobody reads") }

func TestAResultThatIsNotReadIsNoSuccess(t *testing.T) {
	for _, args := range [][]string{{"parts"}, {"parts", "base"}, {"schema"}, {"version"}} {
		var messages bytes.Buffer
		code := run(context.Background(), args, streams{in: strings.NewReader(""), out: brokenPipe{}, err: &messages})
		require.NotEqual(t, exitDone, code, args)
		require.Contains(t, messages.String(), "nobody reads")
	}
}
