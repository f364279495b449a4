package main

import (
	"bytes"
	"context"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// watchedScene has one small base; its printer makes even a fine build coarse.
const watchedScene = `[scale]
ratio = 56
[printer]
process = "filament"
nozzle = 0.8
[ground]
size = [40, 40]
level = 3
[[base]]
name = "scout"
round = 20
at = [20, 20]
`

// spoken gathers what a command says while it runs.
type spoken struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *spoken) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *spoken) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// watching is a watch under way.
type watching struct {
	t          *testing.T
	dir, scene string
	said       *spoken
	stop       func() int // breaks it off and gives its exit code
}

func startWatch(t *testing.T, args ...string) *watching {
	dir := t.TempDir()
	return watchFile(t, filepath.Join(dir, "yard.toml"), filepath.Join(dir, "made"), args...)
}

func watchFile(t *testing.T, scene, to string, args ...string) *watching {
	w := &watching{t: t, dir: filepath.Dir(to), scene: scene, said: &spoken{}}
	w.save(watchedScene)
	ctx, cancel := context.WithCancel(t.Context())
	code := make(chan int, 1)
	go func() {
		line := append([]string{"watch", scene, "--to", to, "--size", "160x160"}, args...)
		code <- run(ctx, line, streams{in: strings.NewReader(""), out: w.said, err: w.said})
	}()
	w.stop = sync.OnceValue(func() int {
		cancel()
		return <-code
	})
	t.Cleanup(func() { w.stop() })
	return w
}

func (w *watching) save(text string) {
	require.NoError(w.t, os.WriteFile(w.scene, []byte(text), 0o600))
}

// hears waits until something has been said so many times.
func (w *watching) hears(what string, times int) {
	require.Eventually(w.t, func() bool { return strings.Count(w.said.String(), what) >= times },
		patience, 10*time.Millisecond, "%q", what)
}

const roundOver = "waiting for the next save"

func (w *watching) leftovers() (found []string) {
	require.NoError(w.t, filepath.WalkDir(w.dir, func(path string, _ fs.DirEntry, err error) error {
		if strings.HasSuffix(path, ".part") {
			found = append(found, path)
		}
		return err
	}))
	return found
}

// TestWatchBuildsOnEverySave: a draft and then fine, what was changed told; a file put
// in the place of the other counts too, and a scene at fault is waited for.
func TestWatchBuildsOnEverySave(t *testing.T) {
	w := startWatch(t)
	w.hears(roundOver, 1)
	require.FileExists(t, filepath.Join(w.dir, "made", "scout.stl"))
	require.FileExists(t, filepath.Join(w.dir, "made", "draft", "yard.html"))
	require.NoFileExists(t, filepath.Join(w.dir, "made", "draft", "scout.stl"))
	require.NoFileExists(t, filepath.Join(w.dir, "made", "draft", "yard.3mf"))

	w.save(strings.Replace(watchedScene, "round = 20", "round = 22", 1))
	w.hears("base.scout.round: 22, was 20", 1)
	w.hears(roundOver, 2)

	w.save(watchedScene + "trun = 3\n")
	w.hears(`did you mean "turn"?`, 1)
	require.NoError(t, os.WriteFile(filepath.Join(w.dir, "other.toml"), []byte("x"), 0o600))
	next := filepath.Join(w.dir, "next~")
	require.NoError(t, os.WriteFile(next, []byte(watchedScene+"turn = 3\n"), 0o600))
	require.NoError(t, os.Rename(next, w.scene))
	w.hears("base.scout.turn: 3, was left out", 1)
	w.hears(roundOver, 4)

	require.NoError(t, os.Remove(w.scene))
	w.hears("yard.toml is missing; waiting", 1)
	w.save(watchedScene)
	w.hears("yard.toml is back", 1)
	w.hears("base.scout.turn: left out, was 3", 1)
	w.hears(roundOver, 5)
	require.Equal(t, exitDone, w.stop())
	require.Equal(t, 5, strings.Count(w.said.String(), roundOver), "the other file is not watched")
	require.Empty(t, w.leftovers())
}

// TestFirstPictureComesFirst: it is in place, whole, before its base is inspected or another is
// made, and the build leaves it as it is; broken off then, that is all there is.
func TestFirstPictureComesFirst(t *testing.T) {
	w := startWatch(t, "--setting", "draft")
	w.hears("first picture: ", 1)
	said := w.said.String()
	require.NotContains(t, strings.SplitN(said, "first picture: ", 2)[0], "proven (")
	path := filepath.Join(w.dir, "made", "draft", "pictures", "scout", "three-quarter.png")
	require.Contains(t, said, filepath.ToSlash(path))
	first, err := os.ReadFile(path)
	require.NoError(t, err)
	sight, err := png.Decode(bytes.NewReader(first))
	require.NoError(t, err)
	w.hears(roundOver, 1)
	last, err := os.ReadFile(path)
	require.NoError(t, err)
	solid, err := png.Decode(bytes.NewReader(last))
	require.NoError(t, err)
	require.Equal(t, sight.Bounds(), solid.Bounds())
	require.NotContains(t, w.said.String(), "unchanged", "it was not there before")
	w.save(strings.ReplaceAll(watchedScene, "round = 20", "round = 24"))
	w.hears("first picture: ", 2)
	require.Zero(t, w.stop())
	require.Empty(t, w.leftovers())
	changed, err := os.ReadFile(path)
	require.NoError(t, err)
	require.False(t, bytes.Equal(first, changed))
	_, err = png.Decode(bytes.NewReader(changed))
	require.NoError(t, err)
}

// TestWatchBreaksOffWhatIsOutOfDate, and Ctrl-C whatever is under way; neither leaves
// anything half written.
func TestWatchBreaksOffWhatIsOutOfDate(t *testing.T) {
	w := startWatch(t, "--cell", "0.06", "--format", "stl")
	w.hears("cell 0.06 mm", 1)
	w.save(strings.Replace(watchedScene, "round = 20", "round = 21", 1))
	w.hears(": stopped", 1)
	w.hears("base.scout.round: 21, was 20", 1)
	w.hears("cell 0.06 mm", 2)
	require.Equal(t, exitDone, w.stop())
	require.Equal(t, 2, strings.Count(w.said.String(), ": stopped"))
	require.NotContains(t, w.said.String(), roundOver)
	require.NoFileExists(t, filepath.Join(w.dir, "made", "scout.stl"))
	require.Empty(t, w.leftovers())
}

// quick is a watch that makes little.
var quick = []string{"--setting", "draft", "--cell", "2", "--format", "json"}

// TestWatchOutlivesItsFolder: that it goes away, comes back, or becomes something else
// is told, and so is an output folder that is none.
func TestWatchOutlivesItsFolder(t *testing.T) {
	dir := t.TempDir()
	yard := filepath.Join(dir, "yard")
	require.NoError(t, os.Mkdir(yard, 0o700))
	w := watchFile(t, filepath.Join(yard, "yard.toml"), filepath.Join(dir, "made"), quick...)
	w.hears(roundOver, 1)
	require.NoError(t, os.Rename(yard, yard+"-elsewhere"))
	w.hears("and its folder "+yard+" are missing; waiting", 1)
	require.NoError(t, os.Rename(yard+"-elsewhere", yard))
	w.hears("is back", 1)
	require.NoError(t, os.RemoveAll(yard))
	w.hears("and its folder "+yard+" are missing; waiting", 2)
	require.NoError(t, os.Mkdir(yard, 0o700))
	w.save(strings.Replace(watchedScene, "round = 20", "round = 22", 1))
	w.hears("base.scout.round: 22, was 20", 1)
	w.hears(roundOver, 2)
	require.NoError(t, os.Remove(w.scene))
	require.NoError(t, os.Mkdir(w.scene, 0o700))
	w.hears("is a folder, not a plain file; waiting", 1)
	require.NoError(t, os.Remove(w.scene))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "made")))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "made"), nil, 0o600))
	w.save(watchedScene)
	w.hears("made exists and is not a folder", 1)
	w.hears(roundOver, 3)
	require.NoError(t, os.Remove(filepath.Join(dir, "made")))
	w.save(watchedScene + "# again\n")
	w.hears(roundOver, 4)
	require.FileExists(t, filepath.Join(dir, "made", "draft", "yard.json"))
	require.Equal(t, exitDone, w.stop())
}

// TestWatchFollowsLinks to where the scene and its printer are.
func TestWatchFollowsLinks(t *testing.T) {
	dir := t.TempDir()
	for _, d := range []string{"real", "links"} {
		require.NoError(t, os.Mkdir(filepath.Join(dir, d), 0o700))
	}
	real, printer := filepath.Join(dir, "real", "yard.toml"), filepath.Join(dir, "real", "mine.toml")
	require.NoError(t, os.WriteFile(printer, []byte("[printer]\nlayer = 0.05\n"), 0o600))
	for from, to := range map[string]string{"yard.toml": real, "mine.toml": printer} {
		if err := os.Symlink(to, filepath.Join(dir, "links", from)); err != nil {
			t.Skip("no symbolic links here: ", err)
		}
	}
	w := watchFile(t, filepath.Join(dir, "links", "yard.toml"), filepath.Join(dir, "made"),
		append([]string{"--printer", filepath.Join(dir, "links", "mine.toml")}, quick...)...)
	w.hears(roundOver, 1)
	require.NoError(t, os.WriteFile(real, []byte(strings.Replace(watchedScene, "round = 20", "round = 22", 1)), 0o600))
	w.hears("base.scout.round: 22, was 20", 1)
	w.hears(roundOver, 2)
	require.NoError(t, os.WriteFile(printer, []byte("[printer]\nlayer = 0.04\n"), 0o600))
	w.hears("printer.layer: 0.04, was 0.05", 1)
	w.hears(roundOver, 3)
	require.Equal(t, exitDone, w.stop())
}

func TestWatchRefusesWhatHasNoFile(t *testing.T) {
	for arg, says := range map[string]string{
		"-": "cannot be watched", "saltmere-quay": "socle new mine --from saltmere-quay", "none.toml": "there is no file",
	} {
		r := runIn(t, t.TempDir(), "watch", arg)
		require.Equal(t, exitFaulty, r.code)
		require.Contains(t, r.err, says)
	}
	r := runIn(t, testScene(t, "court.toml"), "watch", "court.toml", "--setting", "rough")
	require.Equal(t, exitFaulty, r.code)
	require.Contains(t, r.err, "allowed: draft, fine")
}
