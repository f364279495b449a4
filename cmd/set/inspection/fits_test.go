package inspection

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/parts"
	"socle/parts/assembly"
	"socle/parts/base"
	"socle/sdf"
	"socle/sdf/mesh"
)

// TestFits holds proven solids against what was asked of them.
func TestFits(t *testing.T) {
	limit := 8.0
	p := assembly.Piece{Base: &base.Base{Top: &limit}, Box: r3.Box{Min: sdf.V(-5, -5, 0), Max: sdf.V(5, 5, 20)}}
	for _, c := range []struct {
		box  r3.Box
		says string
	}{
		{r3.Box{Min: sdf.V(-5, -5, 0), Max: sdf.V(5, 5, 8)}, ""},
		{r3.Box{Min: sdf.V(-5, -5, 0.001), Max: sdf.V(5, 5, 8)}, "foot is at z = 0.001"},
		{r3.Box{Min: sdf.V(-5, -5, -0.001), Max: sdf.V(5, 5, 8)}, "foot is at z = -0.001"},
		{r3.Box{Min: sdf.V(-5, -5, -1.0/4096), Max: sdf.V(5, 5, 8)}, "foot is at z = -0.000244 mm, not at 0"},
		{r3.Box{Min: sdf.V(-5, -5, 0), Max: sdf.V(5, 5, 8+1.0/4096)}, "8.00024 mm tall, and the top asked for is 8 mm"},
		{r3.Box{Min: sdf.V(-5, -5, 0), Max: sdf.V(5, 5, 8.01)}, "8.01 mm tall, and the top asked for is 8 mm"},
		{r3.Box{Min: sdf.V(-5.02, -5, 0), Max: sdf.V(5, 5, 8)}, "0.0200 mm over its footprint in the west"},
		{r3.Box{Min: sdf.V(-5, -5, 0), Max: sdf.V(5, 5.02, 8)}, "in the north"},
	} {
		err := Fits(&p, &mesh.Solid{Proof: mesh.Proof{Box: c.box}})
		if c.says == "" {
			require.NoError(t, err)
		} else {
			require.ErrorContains(t, err, c.says)
		}
	}
}

// TestClearedAtAPlace: of one check there is less, and of none as grave is there more.
func TestClearedAtAPlace(t *testing.T) {
	all := func(severity string, checks ...string) (out []finding.Finding) {
		for _, c := range checks {
			out = append(out, finding.Finding{Severity: severity, Check: c})
		}
		return out
	}
	warn := finding.Rank(parts.SeverityWarn)
	before := all("warn", "thin-wall", "neck")
	require.True(t, ClearedAt(before, all("warn", "neck"), "thin-wall", warn))
	require.True(t, ClearedAt(before, all("note", "thin-wall", "overhang"), "thin-wall", warn))
	require.False(t, ClearedAt(before, before, "thin-wall", warn))
	require.False(t, ClearedAt(before, all("warn", "neck", "neck"), "thin-wall", warn))
	require.False(t, ClearedAt(before, all("stop", "stand"), "thin-wall", warn))
}

// What a crater took beside a stand is a note: the pad keeps what is under it.
func TestDamageBesideAStandIsANote(t *testing.T) {
	s, err := set.Open(t.Context(), nil, "../../socle/testdata/stand-yard.toml", set.Selection{})
	require.NoError(t, err)
	text := s.Read.Text() + "\n[[crater]]\nname = \"hit\"\nat = [25, 37]\ndiameter = 12\nrim = 0\ndepth = 3\n"
	path := filepath.Join(t.TempDir(), "hit.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	s, err = set.Open(t.Context(), nil, path, set.Selection{})
	require.NoError(t, err)
	set, err := s.Cut([]string{"watch"})
	require.NoError(t, err)
	p := &set.Pieces[0]
	i, err := Inspect(t.Context(), set, p, meshOf(t, p, p.Field, 0), meshedTo)
	require.NoError(t, err)
	found := ofCheck(i.Findings, "stand-level")
	require.NotEmpty(t, found)
	for _, f := range found {
		require.Equal(t, parts.SeverityNote, f.Severity, "%+v", f)
	}
}

// What is laid tilted is judged as it leans: an oval of 52 x 30 that leans by 60 degrees
// over a long side takes 52 by little more than 15 mm of the plate, and 26 in height.
func TestTiltedIsJudgedTilted(t *testing.T) {
	_, rider := sceneOf(t, "plates.toml", "rider-1")
	solid := meshOf(t, rider, rider.Field, 0) // how it is laid does not change its shape
	for _, c := range []struct {
		sets []string
		over string // the measure
	}{
		{[]string{"printer.plate=[53, 28]"}, "plan"},
		{[]string{"printer.plate=[53, 28]", "inspect.laid=tilted", "inspect.tilt=60"}, ""},
		{[]string{"printer.plate=[53, 28]", "inspect.laid=tilted", "inspect.tilt=60", "printer.tallest=25"}, "height"},
		{[]string{"printer.plate=[53, 28]", "inspect.laid=tilted", "inspect.tilt=15"}, "plan"},
		{[]string{"printer.plate=[53, 31]", "printer.tallest=10"}, ""},
	} {
		s, p := sceneOf(t, "plates.toml", "rider-1", append(c.sets, "printer.pixel=0.2", "printer.layer=0.2")...)
		early := TooLarge(s, nil)
		require.Empty(t, early)
		early = TooLarge(s, []assembly.Piece{*p})
		i, err := Inspect(t.Context(), s, p, solid, meshedTo)
		require.NoError(t, err)
		late := ofCheck(i.Findings, "plate")
		if c.over == "" {
			require.Empty(t, early, "%v", c.sets)
			require.Empty(t, late, "%v", c.sets)
			continue
		}
		require.Len(t, early, 1, "%v", c.sets)
		require.Len(t, late, 1, "%v", c.sets)
		require.Equal(t, c.over, early[0].Measure, "%v", c.sets)
		require.Equal(t, c.over, late[0].Measure, "%v", c.sets)
	}
}
