package scenes

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/parts"
)

// onPrinter reads the quay on a printer's file.
func onPrinter(scene, printer string, sets ...string) (*Scene, error) {
	return Read("quay.toml", []byte(scene), sets, On(NewPrinter("mine.toml", []byte(printer))))
}

// TestPrinterFileStandsInWholly: nothing of the scene's own printer is left.
func TestPrinterFileStandsInWholly(t *testing.T) {
	scene := quay + "[printer]\nlayer = 0.1\npixel = 0.022\npin = 2\n"
	own, err := Read("quay.toml", []byte(scene), nil, On(nil))
	require.NoError(t, err)
	require.Equal(t, 2.0, own.Site.Print.Pin)
	s, err := onPrinter(scene, "\uFEFF# mine\n[printer]\nlayer = 0.03\nwall = 1.4\n")
	require.NoError(t, err)
	require.Equal(t, parts.PrinterSize{Word: "layer", Size: 0.03, Given: true}, s.Site.Printer.Up())
	require.Equal(t, parts.PrinterSize{Word: "pixel", Size: 0.05}, s.Site.Printer.Across())
	require.Equal(t, parts.Print{Pin: 0.8, Wall: 1.4, Gap: 0.3, Relief: 0.3}, s.Site.Print)
	s, err = onPrinter(quay, "printer = { process = \"filament\" }")
	require.NoError(t, err, "a scene without a printer")
	require.True(t, s.Site.Printer.Extrudes())
}

// TestPrinterFileHoldsForVariants: and --set and variants go over it.
func TestPrinterFileHoldsForVariants(t *testing.T) {
	scene := quay + "[printer]\npin = 2\n[[variant]]\nname = \"low\"\nset = { \"levels.mole\" = 6 }\n" +
		"[[variant]]\nname = \"stout\"\nset = { \"printer.pin\" = 1.5 }\n"
	s, err := onPrinter(scene, "[printer]\npin = 1.1\nlayer = 0.02\n", "printer.wall=1.3")
	require.NoError(t, err)
	for name, pin := range map[string]float64{"low": 1.1, "stout": 1.5} {
		v, err := s.Variant(name)
		require.NoError(t, err)
		require.Equal(t, parts.Print{Pin: pin, Wall: 1.3, Gap: 0.3, Relief: 0.3}, v.Site.Print, name)
		require.Equal(t, 0.02, v.Site.Printer.Up().Size, name)
	}
}

// TestFaultsOfAPrinterFile: each is found at its own line of the printer's file,
// those of the scene and of --set in the same run before it.
func TestFaultsOfAPrinterFile(t *testing.T) {
	for _, c := range []struct {
		printer       string
		line, column  int
		text, nearest string
	}{
		{"", 1, 1, "has no [printer]", ""},
		{"# nothing\n\n", 1, 1, "has no [printer]", ""},
		{"layer = 0.05\n", 1, 1, `"layer" is outside [printer]`, ""},
		{"[printer]\npixel = 0.05\n[pritner]\nlayer = 0.05\n", 3, 2, `has no "pritner"`, "printer"},
		{"[printer]\npixel = 0.05\n[scale]\nratio = 10\n", 3, 2, `has no "scale"`, ""},
		{"\n[printer]\nlayers = 0.05\n", 3, 1, "unknown key", "layer"},
		{"\n[printer]\nlayer = 5\n", 3, 9, "too large", ""},
		{"[printer]\nprocess = \"filament\"\npixel = 0.05\n", 3, 9, "no pixels", ""},
		{"[printer]\nlayer = \n", 2, 9, "no value", ""},
		{"[printer]\nlayer = 0.05\nlayer = 0.04\n", 3, 1, "", ""},
		{"[[printer]]\nlayer = 0.05\n[[printer]]\n", 3, 3, "a scene has one printer", ""},
		{"printer = 3\n", 1, 11, "printer is a table", ""},
		{"\x00", 1, 1, "not text", ""},
	} {
		_, err := onPrinter(quay, c.printer)
		var faults *Faults
		require.True(t, errors.As(err, &faults), "%q", c.printer)
		require.Len(t, faults.List, 1, "%q: %v", c.printer, err)
		f := faults.List[0]
		require.Equal(t, []any{"mine.toml", c.line, c.column}, []any{f.File, f.Line, f.Column}, "%v", err)
		require.Contains(t, f.Text, c.text)
		require.Equal(t, c.nearest, f.Nearest, "%v", err)
	}
	_, err := onPrinter(quay+"taperr = 1\n[printer]\nlayer = 77\n", "[printer]\nlayer = 5\npixel = 6\n", "seed=x")
	var faults *Faults
	require.True(t, errors.As(err, &faults))
	require.Equal(t, "4 faults in quay.toml and --set and mine.toml", faults.Summary(), "%v", err)
}

func TestOpenPrinter(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "mine.toml")
	require.NoError(t, os.WriteFile(path, []byte("[printer]\nlayer = 0.04\n"), 0o600))
	p, err := OpenPrinter(path)
	require.NoError(t, err)
	s, err := Read("quay.toml", []byte(quay), nil, On(p))
	require.NoError(t, err)
	require.Equal(t, 0.04, s.Site.Printer.Up().Size)
	_, err = OpenPrinter(dir)
	require.ErrorContains(t, err, "folder, not a printer file")
	_, err = OpenPrinter(filepath.Join(dir, "none.toml"))
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, make([]byte, MaxSize+1), 0o600))
	p, err = OpenPrinter(path)
	require.NoError(t, err)
	_, err = Read("quay.toml", []byte(quay), nil, On(p))
	require.ErrorContains(t, err, "mine.toml:1:1: larger than 4 MiB")
}

// TestAnyPrinterFile: no text makes reading panic, or report a fault without a place.
func TestAnyPrinterFile(t *testing.T) {
	bits := []string{"[printer]\n", "[[printer]]\n", "printer", "layer", "plate", "exposure", " = ", "0.05", "\"filament\"", "[1, 2]", "{ x = 1 }",
		"\n", "process", "[material]\n", "\"", ".", "nan", "\x80", "-1", "1e400", "#"}
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(bits), 0, 12).Draw(t, "bits"), "")
		_, err := onPrinter(quay, text)
		if err == nil {
			return
		}
		var faults *Faults
		if !errors.As(err, &faults) || len(faults.List) == 0 {
			t.Fatalf("not faults: %v", err)
		}
		lines := strings.Count(text, "\n") + 1
		for _, f := range faults.List {
			if f.File != "mine.toml" || f.Line < 1 || f.Line > lines || f.Column < 1 || f.Length < 1 || f.Text == "" || strings.Contains(f.Text, broken) {
				t.Fatalf("a fault without a place: %#v", f)
			}
		}
	})
}
