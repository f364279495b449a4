package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestBuildTellsOfItsSetting builds one small base at each setting.
func TestBuildTellsOfItsSetting(t *testing.T) {
	dir := testScene(t, "court.toml")
	small := []string{"court.toml", "--base", "scout-1", "--set", "base.scout.round=10"}
	nozzle := []string{"--set", "printer.process=filament", "--set", "printer.nozzle=0.8"}
	for _, c := range []struct {
		args            []string
		setting         string
		cell, tolerance float64
		says            string
	}{
		{nozzle, "fine", 0.4, 0.04, "fine: cell 0.4 mm, half the printer's nozzle of 0.8 mm\n" +
			"      tolerance 0.04 mm, a tenth of a filament printer's usual layer of 0.4 mm\nfor a quicker look: --setting draft\n"},
		{append([]string{"--setting", "fine"}, nozzle...), "fine", 0.4, 0.04, "usual layer of 0.4 mm\n1 base: meshed"},
		{[]string{"--setting", "draft"}, "draft", 0.3, 0.0075, "draft: cell 0.3 mm, for looking\n       tolerance 0.0075 mm, a fortieth of it\n1 base: meshed"},
		{[]string{"--setting", "draft", "--cell", "1"}, "given", 1, 0.025, "given: cell 1 mm, set by --cell\n       tolerance 0.025 mm, a fortieth of it\n1 base: meshed"},
		{[]string{"--setting", "draft", "--tolerance", "0.02"}, "draft", 0.3, 0.02, "tolerance 0.02 mm, set by --tolerance\n"},
	} {
		doc, r := document(t, dir, append(c.args, small...)...)
		require.Equal(t, exitDone, r.code, r.err)
		require.Equal(t, c.setting, doc.Setting)
		require.Equal(t, c.cell, doc.Cell)
		require.Equal(t, c.tolerance, doc.Tolerance)
		require.Contains(t, r.err, c.says)
		require.Len(t, doc.Bases, 1)
	}
}

func TestHelpOfBuildTellsOfTheSettings(t *testing.T) {
	r := runIn(t, t.TempDir(), "build", "--help")
	require.Equal(t, exitDone, r.code, r.err)
	flat := strings.Join(strings.Fields(r.out), " ")
	for _, says := range []string{"draft for looking, fine for printing (default \"fine\")", "common practice, without a source",
		"held to 0.05 to 0.4 mm", "held to 0.005 to 0.05 mm", "The cell is 0.3 mm and the tolerance a fortieth of it", "--setting draft"} {
		require.Contains(t, flat, says)
	}
}
