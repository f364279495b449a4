package set

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/scenes"
)

// TestReadSceneOnAPrinterOfItsOwnFile: from a file, from standard input and
// shipped, and with a variant.
func TestReadSceneOnAPrinterOfItsOwnFile(t *testing.T) {
	dir := t.TempDir()
	printer, starter := filepath.Join(dir, "mine.toml"), filepath.Join(dir, "starter.toml")
	require.NoError(t, os.WriteFile(printer, []byte("[printer]\nlayer = 0.03\n"), 0o600))
	require.NoError(t, os.WriteFile(starter, scenes.Starter(), 0o600))
	for _, c := range []struct{ arg, variant string }{{starter, ""}, {"-", ""}, {"saltmere-quay", ""}, {"saltmere-quay", "high-water"}} {
		s, err := Open(t.Context(), strings.NewReader(string(scenes.Starter())), c.arg, Selection{Variant: c.variant, Printer: printer})
		require.NoError(t, err, c.arg)
		require.Equal(t, 0.03, s.Site.Printer.Up().Size, c.arg)
		require.False(t, s.Site.Printer.Across().Given, "%s: the scene's own pixel is gone", c.arg)
	}
	_, err := Open(t.Context(), nil, "saltmere-quay", Selection{Printer: filepath.Join(dir, "none.toml")})
	require.ErrorContains(t, err, "none.toml: no such file")
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(printer, []byte("[printer]\nlayer = 30\n"), 0o600))
	_, err = Open(t.Context(), nil, "saltmere-quay", Selection{Printer: printer})
	require.ErrorContains(t, err, "mine.toml:2:9: layer of [printer] is too large")
	require.ErrorContains(t, err, "1 fault in ")
}

func TestExitErrorKeepsItsCause(t *testing.T) {
	cause := errors.New("cause")
	require.ErrorIs(t, &Failure{Kind: NotWritten, Err: cause}, cause)
}

func TestFormatsAreWhatIsWritten(t *testing.T) {
	require.NoError(t, Formats(AllFormats).Check())
	require.True(t, Formats(AllFormats).Solids())
	require.False(t, Formats{FormatPNG, FormatSVG, FormatHTML, FormatJSON}.Solids())
	require.True(t, Formats{FormatJSON}.Report())
	require.False(t, Formats{FormatSTL, FormatPNG}.Report())
	require.ErrorContains(t, Formats{FormatSTL, "obj"}.Check(), `"obj"`)
	require.Error(t, Formats{}.Check())
}
