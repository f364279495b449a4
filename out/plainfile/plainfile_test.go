package plainfile

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestReadsToItsLimit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.SliceOfN(rapid.Byte(), 0, 3000).Draw(r, "text")
		most := rapid.Int64Range(0, 3000).Draw(r, "most")
		require.NoError(r, os.WriteFile(path, text, 0o666))
		got, err := Read(path, most)
		if int64(len(text)) > most {
			var large *TooLargeError
			require.ErrorAs(r, err, &large)
			return
		}
		require.NoError(r, err)
		require.True(r, bytes.Equal(text, got))
	})
}

func TestSparseFileIsNotRead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sparse")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, f.Truncate(3<<30))
	require.NoError(t, f.Close())
	var read error
	spent := testing.Benchmark(func(b *testing.B) {
		for range b.N {
			_, read = Read(path, 4<<20)
		}
	}).AllocedBytesPerOp()
	require.EqualError(t, read, path+" is larger than 4 MiB")
	require.Less(t, spent, int64(64<<10), "bytes")
}

func TestWhatIsNotPlainIsRefused(t *testing.T) {
	dir := t.TempDir()
	_, err := Read(dir, 10)
	require.ErrorIs(t, err, ErrNotPlain)
	require.ErrorContains(t, err, "is a folder")
	_, err = Read(filepath.Join(dir, "none"), 10)
	require.ErrorIs(t, err, os.ErrNotExist)
}
