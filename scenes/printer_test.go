package scenes

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
)

// TestPrinter reads printers, with what they usually have where the scene does
// not say: references.md's rows of layer height, pixel and line.
func TestPrinter(t *testing.T) {
	size := func(word string, mm float64, given bool) parts.PrinterSize {
		return parts.PrinterSize{Word: word, Size: mm, Given: given}
	}
	for _, c := range []struct {
		table      string
		extrudes   bool
		across, up parts.PrinterSize
	}{
		{"", false, size("pixel", 0.05, false), size("layer", 0.05, false)},
		{"[printer]\n", false, size("pixel", 0.05, false), size("layer", 0.05, false)},
		{"[printer]\nlayer = 0.03\n", false, size("pixel", 0.05, false), size("layer", 0.03, true)},
		{"[printer]\npixel = 0.035\n", false, size("pixel", 0.035, true), size("layer", 0.05, false)},
		{"[printer]\nprocess = \"resin\"\npixel = 0.01\nlayer = 0.2\n", false, size("pixel", 0.01, true), size("layer", 0.2, true)},
		{"[printer]\nprocess = \"vat photopolymerisation\"\npixel = 0.2\nlayer = 0.01\n", false, size("pixel", 0.2, true), size("layer", 0.01, true)},
		{"[printer]\nprocess = \"filament\"\n", true, size("nozzle", 0.4, false), size("layer", 0.2, false)},
		{"[printer]\nprocess = \"material extrusion\"\nnozzle = 0.1\n", true, size("nozzle", 0.1, true), size("layer", 0.05, false)},
		{"[printer]\nprocess = \"filament\"\nnozzle = 1.2\nlayer = 1\n", true, size("nozzle", 1.2, true), size("layer", 1, true)},
		{"[printer]\nprocess = \"filament\"\nlayer = 0.4\n", true, size("nozzle", 0.4, false), size("layer", 0.4, true)},
	} {
		s, err := Read("quay.toml", []byte(quay+c.table), nil)
		require.NoError(t, err, c.table)
		p := s.Site.Printer
		require.Equal(t, c.extrudes, p.Extrudes(), c.table)
		require.Equal(t, c.across, p.Across(), c.table)
		require.Equal(t, c.up, p.Up(), c.table)
		require.NoError(t, compiled(t).Validate(asJSON(t, quay+c.table)), c.table)
	}
}

// TestPrinterIsOverridden changes the printer by --set and by a variant.
func TestPrinterIsOverridden(t *testing.T) {
	text := quay + "[printer]\nlayer = 0.05\n[[variant]]\nname = \"filament\"\n" +
		"set = { \"printer.process\" = \"filament\", \"printer.layer\" = 0.3 }\n"
	s, err := Read("quay.toml", []byte(text), []string{"printer.pixel=0.022", "printer.layer=0.1"})
	require.ErrorContains(t, err, "a filament printer has no pixels", "the variant has the pixel too")
	require.Nil(t, s)
	s, err = Read("quay.toml", []byte(text), []string{"printer.layer=0.1"})
	require.NoError(t, err)
	require.Equal(t, 0.1, s.Site.Printer.Up().Size)
	v, err := s.Variant("filament")
	require.NoError(t, err)
	require.True(t, v.Site.Printer.Extrudes())
	require.Equal(t, 0.3, v.Site.Printer.Up().Size)
	_, err = Read("quay.toml", []byte(quay), []string{"printer.pixle=0.05"})
	require.ErrorContains(t, err, `did you mean "printer.pixel"?`)
}

// TestCatalogueOfThePrinter checks that its sizes are not said to be scaled.
func TestCatalogueOfThePrinter(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Catalogue(&b, printerWord))
	flat := strings.Join(strings.Fields(b.String()), " ")
	require.NotContains(t, flat, "full size")
	for _, key := range printerKeys {
		require.Regexp(t, `(?m)^ +`+key.Word+` `, b.String())
		require.Contains(t, flat, key.Doc)
		require.Contains(t, flat, key.Source)
	}
	require.Regexp(t, `(?m)^  pixel +number, mm +0\.01 to 0\.2$`, b.String())
}
