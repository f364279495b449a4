//go:build unix

package plainfile

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// Neither a pipe that nobody writes to nor a device without an end is waited for, by
// a link as well.
func TestPipesAndDevicesAreRefused(t *testing.T) {
	dir := t.TempDir()
	pipe, link := filepath.Join(dir, "pipe"), filepath.Join(dir, "link")
	require.NoError(t, syscall.Mkfifo(pipe, 0o666))
	require.NoError(t, os.Symlink(pipe, link))
	for path, what := range map[string]string{pipe: "a pipe", link: "a pipe", "/dev/zero": "a device"} {
		_, err := Read(path, 10)
		require.ErrorIs(t, err, ErrNotPlain)
		require.ErrorContains(t, err, what)
	}
}
