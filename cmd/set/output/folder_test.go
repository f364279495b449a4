package output

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out"
)

func TestOutputsAppearTogether(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "build", "quay")
	o := &Folder{Path: dir}
	file, err := o.Add("a.stl", func(w io.Writer) error {
		_, err := io.WriteString(w, "abc")
		return err
	})
	require.NoError(t, err)
	require.NoFileExists(t, filepath.Join(dir, "a.stl"))
	require.EqualValues(t, 3, file.Bytes)
	// FIPS 180-2, appendix B.1: the SHA-256 of "abc".
	require.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", file.SHA256)
	set, err := o.PlateFile(0, "quay.3mf", out.Meta{})
	require.NoError(t, err)
	vertices := [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	triangles := [][3]uint32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}}
	require.NoError(t, set.Add("a", vertices, triangles))
	files, err := o.ClosePlates()
	require.NoError(t, err)
	require.Len(t, files, 1)
	_, err = o.Commit()
	require.NoError(t, err)
	o.Discard()
	require.FileExists(t, filepath.Join(dir, "a.stl"))
	require.FileExists(t, filepath.Join(dir, "quay.3mf"))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 2)
}

func TestOutputsLeaveNoTrace(t *testing.T) {
	root := t.TempDir()
	o := &Folder{Path: filepath.Join(root, "build", "quay")}
	_, err := o.Add("a.stl", func(w io.Writer) error {
		_, err := io.WriteString(w, "abc")
		return err
	})
	require.NoError(t, err)
	for plate, name := range []string{"quay-plate-1.3mf", "quay-plate-2.3mf"} {
		_, err = o.PlateFile(plate, name, out.Meta{})
		require.NoError(t, err)
	}
	fault := errors.New("no room left")
	_, err = o.Add("b.stl", func(io.Writer) error { return fault })
	require.ErrorIs(t, err, fault)
	o.Discard()
	entries, err := os.ReadDir(root)
	require.NoError(t, err)
	require.Empty(t, entries, "folders that were made for the build go with it")
}

func TestOutputsKeepFoldersOfOthers(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "mine")
	require.NoError(t, os.Mkdir(dir, 0o755))
	o := &Folder{Path: dir}
	_, err := o.Add("a.stl", func(io.Writer) error { return nil })
	require.NoError(t, err)
	o.Discard()
	require.DirExists(t, dir)
}

func TestOutputsNeedAFolder(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	o := &Folder{Path: filepath.Join(file, "below")}
	_, err := o.Add("a.stl", func(io.Writer) error { return nil })
	require.Error(t, err)
}
