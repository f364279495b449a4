//go:build unix

package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// pipe makes a named pipe.
func pipe(t *testing.T, path string) string {
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	return path
}

// TestReadingIsBrokenOff: what waits for a terminal or a pipe ends at once, with 130,
// whichever signal asks it to.
func TestReadingIsBrokenOff(t *testing.T) {
	dir := testScene(t, "court.toml")
	fifo := pipe(t, filepath.Join(dir, "pipe.toml"))
	for _, c := range []struct {
		args  []string
		stdin bool
	}{
		{[]string{"build", "-"}, true}, {[]string{"check", "pipe.toml"}, false}, {[]string{"plan", "court.toml", "--printer", "pipe.toml"}, false},
		{[]string{"vary", "-", "base.walker.turn=0:90:2"}, true}, {[]string{"compare", "pipe.toml", "court.toml"}, false},
		{[]string{"compare", "court.toml", "-"}, true},
	} {
		for _, sig := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} {
			cmd := command(t, socle, c.args...)
			cmd.Dir = dir
			var said bytes.Buffer
			cmd.Stdout, cmd.Stderr = &said, &said
			into, err := cmd.StdinPipe()
			require.NoError(t, err)
			require.NoError(t, cmd.Start())
			if !c.stdin {
				into, err = os.OpenFile(fifo, os.O_WRONLY, 0) // waits for its reader
				require.NoError(t, err)
			}
			_, err = io.WriteString(into, strings.Repeat("# more than a pipe holds\n", 10000)) // is being read
			require.NoError(t, err)
			require.NoError(t, cmd.Process.Signal(sig))
			cmd.Wait()
			require.Equal(t, exitInterrupted, cmd.ProcessState.ExitCode(), "%v, %v: %s", c.args, sig, &said)
			require.Contains(t, said.String(), "socle: stopped")
			into.Close()
		}
	}
}

// TestPipesAreRead, once: what reads a scene again and again refuses them, and devices
// are refused by all.
func TestPipesAreRead(t *testing.T) {
	dir := testScene(t, "court.toml")
	text, err := os.ReadFile(filepath.Join(dir, "court.toml"))
	require.NoError(t, err)
	fifo := pipe(t, filepath.Join(dir, "pipe.toml"))
	wrote := make(chan error, 1)
	go func() { wrote <- os.WriteFile(fifo, text, 0) }()
	r := runIn(t, dir, "plan", "pipe.toml")
	require.Equal(t, exitDone, r.code, r.err)
	require.NoError(t, <-wrote)
	for _, c := range [][]string{
		{"jobs", "pipe.toml"}, {"jobs", "court.toml", "--printer", "pipe.toml"}, {"watch", "pipe.toml"},
		{"watch", "court.toml", "--printer", "pipe.toml"}, {"vary", "pipe.toml", "base.walker.turn=0:90:2", "--keep", "x"},
		{"plan", "/dev/zero"}, {"plan", "court.toml", "--printer", "/dev/zero"}, {"watch", "/dev/zero"}, {"watch", "court.toml", "--printer", "/dev/zero"},
	} {
		r := runIn(t, dir, c...)
		require.Equal(t, exitFaulty, r.code, "%v: %s", c, r.err)
		require.Contains(t, r.err, "file", c)
	}
}

// TestHangupEndsAWatch, and nohup keeps it from that.
func TestHangupEndsAWatch(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "yard.toml"), []byte(watchedScene), 0o600))
	cmd := command(t, socle, "watch", "yard.toml", "--setting", "draft", "--cell", "2", "--format", "json")
	cmd.Dir = dir
	said := &spoken{}
	cmd.Stdout, cmd.Stderr = said, said
	require.NoError(t, cmd.Start())
	require.Eventually(t, func() bool { return strings.Contains(said.String(), roundOver) }, patience, 10*time.Millisecond)
	require.NoError(t, cmd.Process.Signal(syscall.SIGHUP))
	require.NoError(t, cmd.Wait(), said.String())
}

// TestWatchOutlivesAPipe in the place of its scene.
func TestWatchOutlivesAPipe(t *testing.T) {
	w := startWatch(t, quick...)
	w.hears(roundOver, 1)
	require.NoError(t, os.Remove(w.scene))
	pipe(t, w.scene)
	w.hears("is a pipe, not a plain file; waiting", 1)
	require.NoError(t, os.Remove(w.scene))
	require.NoError(t, os.Symlink("/dev/zero", w.scene))
	w.hears("is a device, not a plain file; waiting", 1)
	require.NoError(t, os.Remove(w.scene))
	w.save(strings.Replace(watchedScene, "round = 20", "round = 22", 1))
	w.hears("base.scout.round: 22, was 20", 1)
	w.hears(roundOver, 2)
	require.Equal(t, exitDone, w.stop())
}

// TestKeepKeepsTheOwner, the group and the permissions of the scene file.
func TestKeepKeepsTheOwner(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root can give files away")
	}
	dir := testScene(t, "vary-yard.toml")
	path := filepath.Join(dir, "vary-yard.toml")
	require.NoError(t, os.Chown(path, 1234, 2345))
	require.NoError(t, os.Chmod(path, 0o640))
	r := runIn(t, dir, "vary", "vary-yard.toml", "crater.hit.depth=1.2", "--keep", "deep")
	require.Equal(t, exitDone, r.code, r.err)
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o640), info.Mode())
	s := info.Sys().(*syscall.Stat_t)
	require.Equal(t, [2]uint32{1234, 2345}, [2]uint32{s.Uid, s.Gid})
}
