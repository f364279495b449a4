package revision

import (
	"bytes"
	"compress/zlib"
	"crypto/sha1"
	"encoding/hex"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/out/plainfile"
)

const most = 1 << 20

// git runs git in a folder; the error is git's.
func git(dir string, args ...string) (string, error) {
	cmd := exec.Command("git", append([]string{"-C", dir, "-c", "user.name=A Tester", "-c", "user.email=tester@example.invalid", "-c", "commit.gpgsign=false", "-c", "tag.gpgsign=false", "-c", "init.defaultBranch=main", "-c", "protocol.file.allow=always"}, args...)...)
	text, err := cmd.CombinedOutput()
	return strings.TrimSpace(string(text)), err
}

func must(t require.TestingT, dir string, args ...string) string {
	text, err := git(dir, args...)
	require.NoError(t, err, text)
	return text
}

func needsGit(t *testing.T) {
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("there is no git here")
	}
}

// history makes a repository with branches, tags, a merge and some of it packed.
func history(t *testing.T) string {
	needsGit(t)
	root := t.TempDir()
	must(t, root, "init", "-q")
	commit := func(text string) {
		require.NoError(t, os.MkdirAll(filepath.Join(root, "yards", "deep"), 0o777))
		for _, name := range []string{"a.toml", "yards/deep/b.toml"} {
			require.NoError(t, os.WriteFile(filepath.Join(root, filepath.FromSlash(name)), []byte(name+" "+text), 0o666))
		}
		must(t, root, "add", ".")
		must(t, root, "commit", "-qm", text)
	}
	for i := range 4 {
		commit(fmt.Sprint("early ", i))
	}
	must(t, root, "tag", "light")
	must(t, root, "tag", "-a", "-m", "a tag", "heavy")
	must(t, root, "tag", "-a", "-m", "a tag of a tag", "heavier", "heavy")
	must(t, root, "gc", "-q") // and with it packed references
	must(t, root, "checkout", "-q", "-b", "side/one", "HEAD~2")
	commit("aside")
	must(t, root, "tag", "both")
	must(t, root, "branch", "both", "main")
	must(t, root, "checkout", "-q", "main")
	must(t, root, "merge", "-q", "-s", "ours", "-m", "joined", "side/one")
	commit("late")
	return root
}

// TestCommitsAreThoseOfGit: whatever stands for a commit stands for the one that git
// says, and what stands for none for git stands for none; and the file is git's.
func TestCommitsAreThoseOfGit(t *testing.T) {
	root := history(t)
	r, err := Open(filepath.Join(root, "yards", "deep"))
	require.NoError(t, err)
	hashes := strings.Fields(must(t, root, "rev-list", "--all"))
	texts := map[string]string{} // of the file, by commit
	for _, h := range hashes {
		texts[h] = must(t, root, "cat-file", "blob", h+":yards/deep/b.toml")
	}
	known := 0
	same := func(t require.TestingT, revision string) {
		want, err := git(root, "rev-parse", "--verify", "--quiet", "--end-of-options", revision+"^{commit}")
		c, got := r.Commit(revision)
		if err != nil || revision == "" {
			require.ErrorIs(t, got, ErrUnknown, revision)
			return
		}
		want = want[strings.LastIndexByte(want, '\n')+1:] // behind a warning
		require.NoError(t, got, revision)
		require.Equal(t, want, c.Hash, revision)
		text, err := c.Read(filepath.Join(root, "yards", "deep"), "b.toml", most)
		require.NoError(t, err)
		require.Equal(t, texts[want], string(text))
		known++
	}
	for _, revision := range []string{"HEAD^{commit}", "~1", "HEAD~999999", "HEAD~99999999999999999999", "HEAD^{tree}^{commit}", "HEAD:a.toml", hashes[0][:3], strings.ToUpper(hashes[0])} {
		same(t, revision)
	}
	// Commits that are left out, git's log and a search are not for a scene.
	for _, revision := range []string{"^HEAD", "main@{0}", ":/late"} {
		_, err := r.Commit(revision)
		require.ErrorIs(t, err, ErrUnknown)
	}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(
			rapid.SampledFrom([]string{"HEAD", "@", "main", "side/one", "light", "heavy", "heavier", "both", "refs/heads/main", "heads/main", "tags/heavy", "none", "", "-q", "--all", "a..b", "config", "HEAD^{tree}"}),
			rapid.Custom(func(t *rapid.T) string {
				h := rapid.SampledFrom(hashes).Draw(t, "hash")
				return h[:rapid.IntRange(7, 40).Draw(t, "length")]
			}),
		).Draw(t, "name")
		revision := name + strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{"~", "~1", "~2", "~0", "^", "^1", "^2", "^0", "^3", "^{commit}", "^{}", "^^"}), 0, 3).Draw(t, "steps"), "")
		same(t, revision)
	})
	require.Positive(t, known)
}

// TestOtherLayouts: a second working tree, a repository that borrows its objects, one
// whose .git is elsewhere, and a folder by a link.
func TestOtherLayouts(t *testing.T) {
	root := history(t)
	want := must(t, root, "rev-parse", "HEAD")
	away := t.TempDir()
	must(t, root, "worktree", "add", "-q", "--detach", filepath.Join(away, "tree"))
	must(t, away, "clone", "-q", "--shared", root, "shared")
	must(t, away, "clone", "-q", "--separate-git-dir", filepath.Join(away, "own"), root, "apart")
	dirs := []string{"tree", "shared", "apart"}
	if os.Symlink(filepath.Join(root, "yards"), filepath.Join(away, "link")) == nil {
		dirs = append(dirs, "link")
	}
	for _, dir := range dirs {
		at := filepath.Join(away, dir)
		r, err := Open(at)
		require.NoError(t, err, dir)
		c, err := r.Commit("HEAD")
		require.NoError(t, err, dir)
		require.Equal(t, want, c.Hash, dir)
		if dir != "link" {
			text, err := c.Read(at, "a.toml", most)
			require.NoError(t, err, dir)
			require.Equal(t, "a.toml late", string(text))
		} else {
			text, err := c.Read(filepath.Join(at, "deep"), "b.toml", most)
			require.NoError(t, err, dir)
			require.Equal(t, "yards/deep/b.toml late", string(text))
		}
	}
	_, err := Open(t.TempDir())
	require.ErrorContains(t, err, "no git repository")
}

func TestWhatIsNotAFile(t *testing.T) {
	root := history(t)
	if os.Symlink("a.toml", filepath.Join(root, "link.toml")) != nil {
		t.Skip("no links here")
	}
	must(t, root, "add", ".")
	must(t, root, "commit", "-qm", "a link")
	r, err := Open(root)
	require.NoError(t, err)
	c, err := r.Commit("HEAD")
	require.NoError(t, err)
	for name, says := range map[string]string{"none.toml": "there is no none.toml in it", "yards": "not a plain file", "link.toml": "not a plain file"} {
		_, err = c.Read(root, name, most)
		require.ErrorContains(t, err, says)
	}
	_, err = c.Read(root, "a.toml", 3)
	var large *plainfile.TooLargeError
	require.ErrorAs(t, err, &large)
}

// loose writes an object as git has it, with a head that may lie.
func loose(t *testing.T, root, head string, zeros int64) string {
	var file bytes.Buffer
	w, sum := zlib.NewWriter(&file), sha1.New()
	for _, part := range [][]byte{[]byte(head)} {
		w.Write(part)
		sum.Write(part)
	}
	block := make([]byte, 1<<20)
	for ; zeros > 0; zeros -= int64(len(block)) {
		w.Write(block[:min(zeros, int64(len(block)))])
		sum.Write(block[:min(zeros, int64(len(block)))])
	}
	require.NoError(t, w.Close())
	hash := hex.EncodeToString(sum.Sum(nil))
	dir := filepath.Join(root, ".git", "objects", hash[:2])
	require.NoError(t, os.MkdirAll(dir, 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, hash[2:]), file.Bytes(), 0o666))
	return hash
}

// TestSizeIsNoReasonToRead: what inflates, a reference or a pointer of any size, takes
// next to no memory.
func TestSizeIsNoReasonToRead(t *testing.T) {
	const size = 256 << 20
	sparse := func(path string) func(*testing.T, string) {
		return func(t *testing.T, root string) {
			path := filepath.Join(root, ".git", filepath.FromSlash(path))
			if _, err := os.Stat(path); err != nil {
				require.NoError(t, os.WriteFile(path, nil, 0o666))
			}
			require.NoError(t, os.Truncate(path, size))
		}
	}
	head := func(of func(*testing.T, string) string) func(*testing.T, string) {
		return func(t *testing.T, root string) {
			require.NoError(t, os.WriteFile(filepath.Join(root, ".git", "HEAD"), []byte(of(t, root)+"\n"), 0o666))
		}
	}
	for name, spoil := range map[string]func(*testing.T, string){
		"a commit": head(func(t *testing.T, root string) string {
			return loose(t, root, fmt.Sprintf("commit %d\x00", int64(size)), size)
		}),
		"a folder": head(func(t *testing.T, root string) string {
			tree := loose(t, root, fmt.Sprintf("tree %d\x00", int64(size)), size)
			text := "tree " + tree + "\nauthor A <a@example.invalid> 1 +0000\ncommitter A <a@example.invalid> 1 +0000\n\nx\n"
			return loose(t, root, fmt.Sprintf("commit %d\x00%s", len(text), text), 0)
		}),
		"HEAD":        sparse("HEAD"),
		"packed-refs": sparse("packed-refs"),
		"commondir":   sparse("commondir"),
		"alternates":  sparse("objects/info/alternates"),
	} {
		t.Run(name, func(t *testing.T) {
			root := history(t)
			spoil(t, root)
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			r, err := Open(root)
			if err == nil {
				var c *Commit
				if c, err = r.Commit("HEAD"); err == nil {
					_, err = c.Read(root, "a.toml", most)
				}
			}
			runtime.ReadMemStats(&after)
			t.Log(err)
			require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(4<<20), "bytes")
		})
	}
}

// TestDamagedRepositories: whatever of a repository is damaged, what is read is what was
// written, or there is an error.
func TestDamagedRepositories(t *testing.T) {
	root := history(t)
	own := filepath.Join(root, ".git")
	var paths []string
	require.NoError(t, filepath.WalkDir(own, func(path string, e os.DirEntry, err error) error {
		if err == nil && e.Type().IsRegular() && !strings.Contains(path, "hooks") && !strings.Contains(path, "logs") {
			paths = append(paths, path)
		}
		return err
	}))
	written := map[string]bool{}
	for _, h := range strings.Fields(must(t, root, "rev-list", "--all")) {
		written[must(t, root, "cat-file", "blob", h+":a.toml")] = true
	}
	read, failed := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		path := rapid.SampledFrom(paths).Draw(t, "path")
		whole, err := os.ReadFile(path)
		require.NoError(t, err)
		defer func() { require.NoError(t, os.WriteFile(path, whole, 0o666)) }()
		bad := bytes.Clone(whole)
		require.NoError(t, os.Chmod(path, 0o666))
		if len(bad) > 0 && rapid.Bool().Draw(t, "flip") {
			for range rapid.IntRange(1, 4).Draw(t, "flips") {
				bad[rapid.IntRange(0, len(bad)-1).Draw(t, "at")] ^= rapid.ByteRange(1, 255).Draw(t, "bits")
			}
		} else {
			bad = bad[:rapid.IntRange(0, len(bad)).Draw(t, "length")]
		}
		require.NoError(t, os.WriteFile(path, bad, 0o666))
		r, err := Open(root)
		if err != nil {
			failed++
			return
		}
		for _, revision := range []string{"HEAD", "HEAD~3", "heavier", "side/one", "light~1"} {
			c, err := r.Commit(revision)
			if err != nil {
				failed++
				continue
			}
			if text, err := c.Read(root, "a.toml", most); err != nil {
				failed++
			} else {
				read++
				require.True(t, written[string(text)], "%s: %q", revision, text)
			}
		}
	})
	t.Logf("%d were read, %d were errors", read, failed)
	require.Positive(t, read)
	require.Positive(t, failed)
}
