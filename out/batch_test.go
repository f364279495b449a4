package out

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// setOf is the names of the files that the sets of these tests are made of: one in each
// has the same bytes in all sets.
var setOf = []string{"a.stl", "b.stl", "pictures/a/top.png", "pictures/b/top.png", "set.3mf", "same.txt"}

func textOf(name, set string) string {
	if name == "same.txt" {
		return "the same"
	}
	return name + " of the set " + set
}

// putSet writes a set into a folder.
func putSet(dir, set string, tell func(string)) error {
	b := NewBatch(dir, tell)
	defer b.Discard()
	for _, name := range setOf {
		f, err := b.Create(name)
		if err != nil {
			return err
		}
		if _, err := f.Write([]byte(textOf(name, set))); err != nil {
			return err
		}
		if err := f.Seal(); err != nil {
			return err
		}
	}
	_, err := b.Commit()
	return err
}

// setsIn counts the files of each set in a folder; what is none of any is under "".
func setsIn(t require.TestingT, dir string) map[string]int {
	found := map[string]int{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() && !stageName.MatchString(e.Name()) {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		text, _ := os.ReadFile(path)
		_, set, _ := strings.Cut(string(text), " of the set ")
		if name = filepath.ToSlash(name); name == "same.txt" || e.IsDir() || string(text) != textOf(name, set) {
			set = ""
		}
		found[set]++
		return nil
	}))
	return found
}

// only is what setsIn finds where there is one whole set and nothing else.
func only(set string) map[string]int { return map[string]int{set: len(setOf) - 1, "": 1} }

const childOf = "SOCLE_BATCH" // "put|recover DIR SET kill|fail|no STEP"

// TestChild is what the other tests run as a process of its own.
func TestChild(t *testing.T) {
	var do, dir, set, how string
	var at, now int
	if _, err := fmt.Sscan(os.Getenv(childOf), &do, &dir, &set, &how, &at); err != nil {
		t.Skip("it is run by others")
	}
	var turn sync.Mutex
	atStep = func(step string) error {
		turn.Lock()
		defer turn.Unlock()
		if now++; now != at || how == "no" {
			return nil
		}
		if how == "fail" {
			return errors.New("the disk failed, at: " + step)
		}
		self, _ := os.FindProcess(os.Getpid())
		_ = self.Kill()
		select {}
	}
	tell := func(text string) { fmt.Println("told:", text) }
	if do == "recover" {
		require.NoError(t, Recover(dir, tell))
		return
	}
	require.NoError(t, putSet(dir, set, tell))
}

// child runs TestChild; ended says that it came to its end.
func child(t *testing.T, do, dir, set, how string, at int) (ended bool, says string) {
	cmd := exec.Command(os.Args[0], "-test.run=^TestChild$", "-test.v")
	cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%s %s %s %s %d", childOf, do, dir, set, how, at))
	text, err := cmd.CombinedOutput()
	return err == nil, string(text)
}

// TestBatchIsOneWhereverItStops: a process is killed, or the disk fails, at each step in
// turn: what is there is then one set or, once the next run has come by, one set; what
// is neither is told of, and nothing else is left.
func TestBatchIsOneWhereverItStops(t *testing.T) {
	for _, how := range []string{"kill", "fail"} {
		for _, next := range []string{"a look", "another set"} {
			t.Run(how+", and then "+next, func(t *testing.T) {
				mixed, swept := 0, 0
				for at := 1; ; at++ {
					dir := t.TempDir()
					require.NoError(t, putSet(dir, "old", nil))
					ended, says := child(t, "put", dir, "new", how, at)
					if ended {
						require.Equal(t, only("new"), setsIn(t, dir))
						require.Greater(t, at, 2*len(setOf), "each file was sealed and moved")
						break
					}
					was := setsIn(t, dir)
					var told []string
					tell := func(text string) { told = append(told, text) }
					want := "new"
					if next == "a look" {
						require.NoError(t, Recover(dir, tell))
						if was["new"] == 0 && setsIn(t, dir)["new"] == 0 {
							want = "old"
						}
					} else {
						require.NoError(t, putSet(dir, "third", tell))
						want = "third"
					}
					require.Equal(t, only(want), setsIn(t, dir), "stopped at step %d: %s", at, says)
					switch {
					case was["new"] > 0 && was["old"] > 0:
						mixed++
						require.Len(t, told, 1)
						require.Contains(t, told[0], fmt.Sprintf("with %d of %d in place", was["new"], len(setOf)-1))
						if how == "fail" {
							require.Contains(t, says, fmt.Sprintf("%d of %d files were put into", was["new"], len(setOf)-1))
						}
					case was["new"] == 0 && how == "kill":
						swept++
						require.Len(t, told, 1, "step %d", at)
					}
					told = nil
					require.NoError(t, Recover(dir, tell))
					require.Empty(t, told, "it is told once")
				}
				require.Equal(t, len(setOf)-2, mixed, "between each two renames")
				if how == "kill" {
					require.Greater(t, swept, len(setOf))
				}
			})
		}
	}
}

// What finishes for another may be stopped itself.
func TestRecoveryIsStopped(t *testing.T) {
	renames := 0
	for at := 1; ; at++ {
		dir := t.TempDir()
		require.NoError(t, putSet(dir, "old", nil))
		if ended, _ := child(t, "put", dir, "new", "kill", at); ended {
			break
		}
		if was := setsIn(t, dir); was["new"] != 1 || was["old"] == 0 {
			continue // one that is half done will do
		}
		renames++
		for again := 1; ; again++ {
			if ended, _ := child(t, "recover", dir, "-", "kill", again); ended {
				break
			}
		}
		require.Equal(t, only("new"), setsIn(t, dir))
	}
	require.Positive(t, renames)
}

// Processes that write into one folder at once, some of them killed: what is left is the
// set of one.
func TestBatchesAtOnce(t *testing.T) {
	for round := range 6 {
		dir := t.TempDir()
		var work sync.WaitGroup
		for i := range 4 {
			how := "no"
			if i == 3 {
				how = "kill"
			}
			work.Go(func() {
				if ended, says := child(t, "put", dir, fmt.Sprint("set-", i), how, 8+2*round); !ended && how == "no" {
					t.Error(says)
				}
			})
		}
		work.Wait()
		require.NoError(t, Recover(dir, func(string) {}))
		found := setsIn(t, dir)
		require.Len(t, found, 2, "%v", found)
		require.Equal(t, 1, found[""], "%v", found)
	}
}

// What stands on the way out of the folder is not followed, and what is not a batch's is
// not touched.
func TestBatchStaysInItsFolder(t *testing.T) {
	root := t.TempDir()
	dir, outside := filepath.Join(root, "dir"), filepath.Join(root, "outside")
	require.NoError(t, os.Mkdir(dir, 0o777))
	require.NoError(t, os.Mkdir(outside, 0o777))
	links := os.Symlink(outside, filepath.Join(dir, "absolute")) == nil && os.Symlink("../outside", filepath.Join(dir, "relative")) == nil
	b := NewBatch(dir, nil)
	for _, name := range []string{"../x", "a/../../x", "a//x", "./x", "/x", "", ".", "a/"} {
		_, err := b.Create(name)
		require.ErrorContains(t, err, "is no place in", name)
	}
	if links {
		for _, name := range []string{"absolute/x", "relative/x", "relative/deep/x"} {
			_, err := b.Create(name)
			require.Error(t, err, name)
		}
	}
	b.Discard()
	require.Empty(t, names(t, outside))

	strange := []string{".socle-x/0", ".socle-0123456789abcdef.part/0", ".socle-q.part/letter.txt", ".x.stl.1.part"}
	for _, name := range strange {
		path := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, []byte("dear"), 0o666))
	}
	require.NoError(t, putSet(dir, "new", func(string) {}))
	for _, name := range strange {
		require.FileExists(t, filepath.Join(dir, filepath.FromSlash(name)))
	}
}

// A journal that somebody else has put there leads no way out.
func TestForgedJournal(t *testing.T) {
	for _, name := range []string{"../letter.txt", "/letter.txt", "a.stl"} {
		root := t.TempDir()
		dir := filepath.Join(root, "dir")
		stage := filepath.Join(dir, ".socle-1.part")
		require.NoError(t, os.MkdirAll(stage, 0o777))
		require.NoError(t, os.WriteFile(filepath.Join(stage, "0"), []byte("forged"), 0o666))
		in, err := os.OpenRoot(dir)
		require.NoError(t, err)
		j := journal{Files: []journalFile{{As: "0", Name: name, SHA256: "00"}}}
		require.NoError(t, j.write(in, ".socle-1.part"))
		in.Close()
		err = Recover(dir, func(string) {})
		if name == "a.stl" {
			require.ErrorContains(t, err, "what was written for a.stl is damaged")
			require.ErrorContains(t, err, "delete "+stage)
		}
		require.NoFileExists(t, filepath.Join(root, "letter.txt"))
		require.NoFileExists(t, filepath.Join(dir, "a.stl"))
	}
}

func TestBatchSparesWhatIsNoPlainFile(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "x.stl"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "file"), nil, 0o644))
	b := NewBatch(dir, nil)
	_, err := b.Create("x.stl")
	require.ErrorContains(t, err, "not a plain file")
	_, err = b.Create("file/y.stl")
	require.ErrorContains(t, err, "not a folder")
	b.Discard()
	require.Equal(t, []string{"file", "x.stl"}, names(t, dir))
}
