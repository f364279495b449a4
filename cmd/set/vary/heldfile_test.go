package vary

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestHeldFileSeesWhatOthersDo: an edit that was saved since it was read is not lost,
// whether the editor wrote into the file or put another in its place.
func TestHeldFileSeesWhatOthersDo(t *testing.T) {
	path := filepath.Join(t.TempDir(), "yard.toml")
	for name, save := range map[string]func(text string) error{
		"written into": func(text string) error { return os.WriteFile(path, []byte(text), 0o600) },
		"put in its place": func(text string) error {
			if err := os.WriteFile(path+"~", []byte(text), 0o600); err != nil {
				return err
			}
			return os.Rename(path+"~", path)
		},
	} {
		require.NoError(t, os.WriteFile(path, []byte("old\n"), 0o600))
		h, err := Hold(t.Context(), path)
		require.NoError(t, err)
		require.NoError(t, save("edited\n"), name)
		require.ErrorContains(t, h.replace([]byte("ours\n")), "was changed in the meantime", name)
		h.Release()
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, "edited\n", string(text), name)
		entries, err := os.ReadDir(filepath.Dir(path))
		require.NoError(t, err)
		require.Len(t, entries, 1)
	}
}
