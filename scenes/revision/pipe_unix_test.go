//go:build unix

package revision

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A pipe in place of any file of a repository is not waited for.
func TestPipesAreNotWaitedFor(t *testing.T) {
	for _, name := range []string{"HEAD", "config", "packed-refs", "commondir", "refs/heads/main", "objects/info/alternates"} {
		root := history(t)
		path := filepath.Join(root, ".git", filepath.FromSlash(name))
		_ = os.Remove(path)
		require.NoError(t, syscall.Mkfifo(path, 0o666))
		if r, err := Open(root); err == nil {
			_, err = r.Commit("HEAD")
			t.Log(name, err)
		}
	}
}
