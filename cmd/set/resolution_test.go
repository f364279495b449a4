package set

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/sdf/mesh"
)

func resin(pixel, layer float64) parts.Printer {
	return parts.Printer{Process: "resin", Pixel: &pixel, Layer: &layer}
}

func filament(nozzle, layer float64) parts.Printer {
	return parts.Printer{Process: "filament", Nozzle: &nozzle, Layer: &layer}
}

// TestFineFollowsThePrinter goes to both sides of every limit of the rule.
func TestFineFollowsThePrinter(t *testing.T) {
	for _, c := range []struct {
		name            string
		printer         parts.Printer
		cell, tolerance float64
		cellWhy         string
		toleranceWhy    string
	}{
		{"no printer", parts.Printer{Process: "resin"}, 0.1, 0.005,
			"twice a resin printer's usual layer of 0.05 mm", "a tenth of a resin printer's usual pixel of 0.05 mm"},
		{"layer larger", resin(0.035, 0.05), 0.1, 0.005, "twice the printer's layer of 0.05 mm", "the least: a tenth of the printer's pixel of 0.035 mm would be finer"},
		{"pixel larger", resin(0.07, 0.06), 0.14, 0.006, "twice the printer's pixel of 0.07 mm", "a tenth of the printer's layer of 0.06 mm"},
		{"at the least cell", resin(0.025, 0.025), 0.05, 0.005, "twice the printer's layer of 0.025 mm", "the least: a tenth of the printer's pixel of 0.025 mm would be finer"},
		{"under the least cell", resin(0.024, 0.024), 0.05, 0.005, "the least: twice the printer's layer of 0.024 mm would be finer", "the least: a tenth of the printer's pixel of 0.024 mm would be finer"},
		{"over the least cell", resin(0.026, 0.024), 0.052, 0.005, "twice the printer's pixel of 0.026 mm", "the least: a tenth of the printer's layer of 0.024 mm would be finer"},
		{"under the least tolerance", resin(0.1, 0.049), 0.2, 0.005, "twice the printer's pixel of 0.1 mm", "the least: a tenth of the printer's layer of 0.049 mm would be finer"},
		{"over the least tolerance", resin(0.1, 0.051), 0.2, 0.0051, "twice the printer's pixel of 0.1 mm", "a tenth of the printer's layer of 0.051 mm"},
		{"coarsest resin", resin(0.2, 0.2), 0.4, 0.02, "twice the printer's layer of 0.2 mm", "a tenth of the printer's pixel of 0.2 mm"},
		{"usual filament", parts.Printer{Process: "filament"}, 0.2, 0.02,
			"half a filament printer's usual nozzle of 0.4 mm", "a tenth of a filament printer's usual layer of 0.2 mm"},
		{"filament", filament(0.4, 0.1), 0.2, 0.01, "half the printer's nozzle of 0.4 mm", "a tenth of the printer's layer of 0.1 mm"},
		{"finest filament", filament(0.1, 0.1), 0.05, 0.01, "half the printer's nozzle of 0.1 mm", "a tenth of the printer's nozzle of 0.1 mm"},
		{"at the most cell", filament(0.8, 0.5), 0.4, 0.05, "half the printer's nozzle of 0.8 mm", "a tenth of the printer's layer of 0.5 mm"},
		{"over the most cell", filament(0.81, 0.49), 0.4, 0.049, "the most: half the printer's nozzle of 0.81 mm would be coarser", "a tenth of the printer's layer of 0.49 mm"},
		{"under the most cell", filament(0.79, 0.51), 0.395, 0.05, "half the printer's nozzle of 0.79 mm", "the most: a tenth of the printer's layer of 0.51 mm would be coarser"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Empty(t, c.printer.Check(), "no such printer can be read")
			r, err := resolve(SettingFine, c.printer, nil, nil)
			require.NoError(t, err)
			require.Equal(t, Resolution{SettingFine, c.cell, c.tolerance, c.cellWhy, c.toleranceWhy}, r)
		})
	}
}

func TestDraftIsForLooking(t *testing.T) {
	r, err := resolve(SettingDraft, parts.Printer{}, nil, nil)
	require.NoError(t, err)
	require.Equal(t, Resolution{SettingDraft, 0.3, 0.0075, "for looking", "a fortieth of it"}, r)
	r, err = resolve(SettingDraft, filament(0.4, 0.1), nil, nil)
	require.NoError(t, err)
	require.Equal(t, 0.01, r.Tolerance, "as fine")
	r, err = resolve(SettingDraft, filament(0.4, 0.11), nil, nil)
	require.NoError(t, err)
	require.Equal(t, 0.011, r.Tolerance)
	require.Equal(t, "a tenth of the printer's layer of 0.11 mm", r.toleranceWhy)
}

// TestSettingsHoldForEveryPrinter draws printers over all that a scene may say.
func TestSettingsHoldForEveryPrinter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := resin(rapid.Float64Range(0.01, 0.2).Draw(t, "pixel"), rapid.Float64Range(0.01, 0.2).Draw(t, "layer"))
		if rapid.Bool().Draw(t, "extrudes") {
			nozzle := rapid.Float64Range(0.1, 1.2).Draw(t, "nozzle")
			p = filament(nozzle, rapid.Float64Range(0.01, nozzle).Draw(t, "layer"))
		}
		require.Empty(t, p.Check())
		fine, err := resolve(SettingFine, p, nil, nil)
		require.NoError(t, err)
		draft, err := resolve(SettingDraft, p, nil, nil)
		require.NoError(t, err)
		for _, r := range []Resolution{fine, draft} {
			require.True(t, r.Cell >= 0.05 && r.Cell <= 0.4, "%v", r)
			require.True(t, r.Tolerance >= 0.005 && r.Tolerance <= 0.05 && r.Tolerance <= r.Cell, "%v", r)
		}
		require.GreaterOrEqual(t, draft.Cell, fine.Cell)
		require.GreaterOrEqual(t, draft.Tolerance, fine.Tolerance)
	})
}

func TestCellAndToleranceGoBeforeTheSetting(t *testing.T) {
	of := func(v float64) *float64 { return &v }
	for _, c := range []struct {
		setting         string
		cell, tolerance *float64
		want            Resolution
	}{
		{SettingFine, of(0.8), nil, Resolution{settingGiven, 0.8, 0.02, "set by --cell", "a fortieth of it"}},
		{SettingDraft, of(0.2), nil, Resolution{settingGiven, 0.2, 0.005, "set by --cell", "a fortieth of it"}},
		{SettingFine, nil, of(0.03), Resolution{SettingFine, 0.1, 0.03, "twice a resin printer's usual layer of 0.05 mm", "set by --tolerance"}},
		{SettingDraft, nil, of(0.3), Resolution{SettingDraft, 0.3, 0.3, "for looking", "set by --tolerance"}},
		{SettingFine, of(mesh.LeastCell), of(0), Resolution{settingGiven, mesh.LeastCell, 0, "set by --cell", "set by --tolerance"}},
		{SettingFine, of(10), of(10), Resolution{settingGiven, 10, 10, "set by --cell", "set by --tolerance"}},
	} {
		r, err := resolve(c.setting, parts.Printer{}, c.cell, c.tolerance)
		require.NoError(t, err)
		require.Equal(t, c.want, r)
	}
	require.Equal(t, mesh.Options{Cell: 0.3, Tolerance: -1}, Resolution{Cell: 0.3}.options(), "0 keeps every triangle")
	require.Equal(t, mesh.Options{Cell: 0.3, Tolerance: 0.01}, Resolution{Cell: 0.3, Tolerance: 0.01}.options())
}
