package scenes

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts"
)

// TestPrinter reads printers, with what they usually have where the scene does
// not say: references.md section 7.
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

// TestDefaultsFollowTheProcess: what a printer, a material, an inspection and a
// magnet have where the scene does not say: references.md, sections 5, 7 and 11.
func TestDefaultsFollowTheProcess(t *testing.T) {
	for _, c := range []struct {
		printer                   string
		print                     parts.Print
		joined, hair, vent        float64
		clearance, depth          float64
		density, bridge, ledge    float64
		firstLayers               int
		magnetWider, magnetDeeper float64
	}{
		{"", parts.Print{Pin: 0.8, Wall: 1, Gap: 0.3, Relief: 0.3}, 0.5, 0.5, 2, 0.15, 0.15, 1.18, 3, 1.5, 6, 0.15, 0.15},
		{"process = \"resin\"", parts.Print{Pin: 0.8, Wall: 1, Gap: 0.3, Relief: 0.3}, 0.5, 0.5, 2, 0.15, 0.15, 1.18, 3, 1.5, 6, 0.15, 0.15},
		{"process = \"filament\"", parts.Print{Pin: 3, Wall: 1.2, Gap: 0.6, Relief: 0.6}, 0.8, 0.4, 2, 0.3, 0.2, 1.24, 5, 1.5, 1, 0.3, 0.2},
		{"nozzle = 0.6\nprocess = \"material extrusion\"\npin = 2\nengrave = 0.9", parts.Print{Pin: 2, Wall: 1.2, Gap: 0.6, Relief: 0.9}, 0.8, 0.6, 2, 0.3, 0.2, 1.24, 5, 1.5, 1, 0.3, 0.2},
		{"clearance = 0.22\nclearance-depth = 0.07\nvent = 2.5\nfirst-layers = 4", parts.Print{Pin: 0.8, Wall: 1, Gap: 0.3, Relief: 0.3}, 0.5, 0.5, 2.5, 0.22, 0.07, 1.18, 3, 1.5, 4, 0.22, 0.07},
	} {
		s, err := Read("quay.toml", []byte(quay+"[printer]\n"+c.printer+"\n"), nil)
		require.NoError(t, err, c.printer)
		p := s.Site.Printer
		require.Equal(t, c.print, s.Site.Print, c.printer)
		require.Equal(t, []float64{c.joined, c.hair, c.vent}, []float64{p.JoinedWall(), p.LeastPin(), p.Vent}, c.printer)
		require.Equal(t, []float64{c.clearance, c.depth}, []float64{p.Clearance, p.ClearanceDepth}, c.printer)
		require.Equal(t, c.firstLayers, p.FirstLayers, c.printer)
		require.Equal(t, c.density, s.Site.Material.Density, c.printer)
		require.Equal(t, []float64{c.bridge, c.ledge}, []float64{s.Site.Inspect.Bridge, s.Site.Inspect.Overhang}, c.printer)
		m := parts.AllOf[*parts.Base](s.Site)[0].Magnets[0]
		require.Equal(t, []float64{c.magnetWider, c.magnetDeeper}, []float64{m.Clearance, m.Depth}, c.printer)
		require.NoError(t, compiled(t).Validate(asJSON(t, quay+"[printer]\n"+c.printer+"\n")), c.printer)
	}
	s, err := Read("quay.toml", []byte(quay), []string{"base.base-1.magnet[0].clearance=0", "printer.clearance=0.3"})
	require.NoError(t, err)
	magnets := parts.AllOf[*parts.Base](s.Site)[0].Magnets
	require.Zero(t, magnets[0].Clearance, "given, even as nothing")
	require.Equal(t, 0.3, magnets[1].Clearance)
}

// TestWhatIsSaidOfPrinting reads all that a scene can say of it.
func TestWhatIsSaidOfPrinting(t *testing.T) {
	text := quay + `
[printer]
plate = [130, 80.5]
tallest = 160
exposure = 2.2
first-exposure = 28
first-layers = 5
lift = 7.5
[material]
name = "grey"
density = 1.2
price = 31.5
currency = "€"
waste = 0.15
supports = 0.2
[inspect]
laid = "tilted"
crumbs = "stop"
neck = "thicken"
overhang = 1
bridge = 2.5
slender = 12
island = 0.1
void = 0.4
severity = { crumb = "stop", hair = "warn" }
`
	require.NoError(t, compiled(t).Validate(asJSON(t, text)))
	s, err := Read("quay.toml", []byte(text), []string{"inspect.severity.bow=note", "material.waste=0"})
	require.NoError(t, err)
	p, m, in := s.Site.Printer, s.Site.Material, s.Site.Inspect
	require.Equal(t, [2]float64{130, 80.5}, *p.Plate)
	require.Equal(t, []float64{160, 2.2, 28, 7.5}, []float64{*p.Tallest, *p.Exposure, *p.FirstExposure, *p.Lift})
	require.Equal(t, 5, p.FirstLayers)
	price := 31.5
	require.Equal(t, parts.Material{Name: "grey", Density: 1.2, Price: &price, Currency: "€", Supports: 0.2}, m)
	require.Equal(t, []string{"tilted", "stop", "thicken"}, []string{in.Laid, in.Crumbs, in.Neck})
	require.Equal(t, []float64{1, 2.5, 12, 0.1, 0.4}, []float64{in.Overhang, in.Bridge, in.Slender, in.Island, in.Void})
	for check, want := range map[string]string{"crumb": "stop", "hair": "warn", "bow": "note", "pocket": "stop"} {
		require.Equal(t, want, in.Severity(check, true), check)
	}
}

// TestNothingIsSaidOfPrinting: no price, no time, no plate that nobody gave.
func TestNothingIsSaidOfPrinting(t *testing.T) {
	for _, process := range []string{"resin", "filament"} {
		s, err := Read("quay.toml", []byte(quay), []string{"printer.process=" + process})
		require.NoError(t, err)
		p, in := s.Site.Printer, s.Site.Inspect
		require.Nil(t, p.Plate)
		for _, v := range []*float64{p.Tallest, p.Exposure, p.FirstExposure, p.Lift, p.Speed, p.Line, s.Site.Material.Price} {
			require.Nil(t, v)
		}
		require.Equal(t, []string{"flat", "drop", "keep"}, []string{in.Laid, in.Crumbs, in.Neck})
		for _, c := range parts.InspectionChecks() {
			want := c.Default
			if want == "harm" {
				want = parts.SeverityWarn
			}
			require.Equal(t, want, in.Severity(c.Word, true))
		}
	}
	_, err := Read("quay.toml", []byte(quay), []string{"print.pin=0.5"})
	require.ErrorContains(t, err, `did you mean "printer.pin"?`)
}

// TestCatalogueOfThePrinter checks that its sizes are not said to be scaled.
func TestCatalogueOfThePrinter(t *testing.T) {
	shown := map[string]string{}
	for _, own := range ownTables {
		if own.word == scaleWord {
			continue
		}
		var b bytes.Buffer
		require.NoError(t, Catalogue(&b, own.word))
		shown[own.word] = b.String()
		flat := strings.Join(strings.Fields(b.String()), " ")
		require.NotContains(t, flat, "full size", own.word)
		var told func(keys []parts.Key)
		told = func(keys []parts.Key) {
			for _, key := range keys {
				require.Regexp(t, `(?m)^ +`+key.Word+` `, b.String())
				require.Contains(t, flat, key.Doc)
				require.Contains(t, flat, key.Source)
				require.Contains(t, flat, key.Filament)
				told(key.Sub)
			}
		}
		told(own.keys)
	}
	require.Regexp(t, `(?m)^  pixel +number, mm +0\.01 to 0\.2$`, shown[printerWord])
	require.Regexp(t, `(?m)^  plate +two numbers, mm +20 to 2000$`, shown[printerWord])
	require.Regexp(t, `(?m)^  exposure +number, s +0\.1 to 600$`, shown[printerWord])
	require.Regexp(t, `(?m)^  pin +number, mm +0\.8, filament 3 +0\.1 to 10$`, shown[printerWord])
	require.Regexp(t, `(?m)^  currency +text +8 characters or less$`, shown[materialWord])
	require.Equal(t, 1, strings.Count(shown[inspectWord], "one of stop, warn, note"), "once for all checks")
	var b bytes.Buffer
	require.NoError(t, Catalogue(&b, "base"))
	require.Regexp(t, `(?m)^ +clearance +length, mm +the printer's +0 to 0\.5$`, b.String())
	require.Contains(t, b.String(), "left out: clearance of [printer]")
}

// TestCatalogueJSONTellsOfTheProcess: scripts see both defaults, and what follows
// the printer.
func TestCatalogueJSONTellsOfTheProcess(t *testing.T) {
	text, err := CatalogueJSON("")
	require.NoError(t, err)
	require.Contains(t, string(text), `"filament": "1.24"`)
	require.Contains(t, string(text), `"from": "clearance-depth"`)
	for _, word := range CatalogueWords() {
		_, err := CatalogueJSON(word)
		require.NoError(t, err, word)
	}
}
