package out

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

var errFull = errors.New("no room left")

// smallDisk is a writer with room for so many bytes.
type smallDisk struct{ room int }

func (d *smallDisk) Write(p []byte) (int, error) {
	n := min(len(p), d.room)
	d.room -= n
	if n < len(p) {
		return n, errFull
	}
	return n, nil
}

func names(t *testing.T, dir string) (names []string) {
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestAtomicFileAppearsWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x.stl")
	require.NoError(t, os.WriteFile(path, []byte("earlier"), 0o644))
	f, err := CreateAtomic(path)
	require.NoError(t, err)
	defer f.Discard()
	_, err = f.Write([]byte("later"))
	require.NoError(t, err)
	require.NoError(t, f.Seal())
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "earlier", string(text), "before the commit")
	require.NoError(t, f.Commit())
	text, err = os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "later", string(text))
	f.Discard()
	require.Equal(t, []string{"x.stl"}, names(t, dir))
}

func TestAtomicFileLeavesNoTrace(t *testing.T) {
	dir := t.TempDir()
	f, err := CreateAtomic(filepath.Join(dir, "x.stl"))
	require.NoError(t, err)
	_, err = f.Write([]byte("half"))
	require.NoError(t, err)
	f.Discard()
	require.Empty(t, names(t, dir))
	require.Error(t, f.Commit(), "what was discarded cannot be committed")
	require.Empty(t, names(t, dir))
	_, err = f.Write([]byte("more"))
	require.Error(t, err)
}

func TestAtomicFileNeedsItsFolder(t *testing.T) {
	_, err := CreateAtomic(filepath.Join(t.TempDir(), "none", "x.stl"))
	require.ErrorIs(t, err, os.ErrNotExist)
}

func TestAtomicFileSparesWhatIsNoPlainFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x.stl")
	require.NoError(t, os.Mkdir(path, 0o755))
	_, err := CreateAtomic(path)
	require.ErrorContains(t, err, "not a plain file")
	require.Equal(t, []string{"x.stl"}, names(t, dir))
}

// faultyFile fails at one of the steps that a full disk may fail at.
type faultyFile struct {
	stream
	write, sync, close error
}

func (f *faultyFile) Write(p []byte) (int, error) {
	if f.write != nil {
		return 0, f.write
	}
	return f.stream.Write(p)
}

func (f *faultyFile) Sync() error { return errors.Join(f.sync, f.stream.Sync()) }

func (f *faultyFile) Close() error { return errors.Join(f.close, f.stream.Close()) }

func TestAtomicFileOnAFullDisk(t *testing.T) {
	for name, fault := range map[string]faultyFile{
		"write": {write: errFull},
		"sync":  {sync: errFull},
		"close": {close: errFull},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "x.stl")
			require.NoError(t, os.WriteFile(path, []byte("earlier"), 0o644))
			f, err := CreateAtomic(path)
			require.NoError(t, err)
			fault.stream = f.file
			f.file = &fault
			_, err = f.Write([]byte("later"))
			if name == "write" {
				require.ErrorIs(t, err, errFull)
			}
			require.ErrorIs(t, f.Commit(), errFull)
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, "earlier", string(text))
			require.Equal(t, []string{"x.stl"}, names(t, dir))
		})
	}
}

// What is written in the place of a file may be read by whom that could.
func TestAtomicFileTakesOverPermissions(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no permissions of this kind there")
	}
	path := filepath.Join(t.TempDir(), "scene.toml")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	f, err := CreateAtomic(path)
	require.NoError(t, err)
	_, err = f.Write([]byte("new"))
	require.NoError(t, err)
	require.NoError(t, f.Commit())
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}
