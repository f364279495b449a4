package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/scenes/theme"
)

// theList is what the issue asks a set of the quay for: thirteen bases.
var theList = []string{"--theme", "quay", "--bases", "round32x10,round60x2,oval120x92", "--seed", "4"}

func TestNewLaysOutATheme(t *testing.T) {
	dir := t.TempDir()
	r := runIn(t, dir, append([]string{"new", "quay-set"}, theList...)...)
	require.Equal(t, exitDone, r.code, r.err)
	require.Equal(t, "wrote quay-set.toml\n", r.out)
	require.Regexp(t, `(?m)^13 bases on a ground of \d+ x \d+ mm$`, r.err)
	require.Contains(t, r.err, "socle build quay-set.toml")
	first, err := os.ReadFile(filepath.Join(dir, "quay-set.toml"))
	require.NoError(t, err)

	r = runIn(t, dir, append([]string{"new", "again"}, theList...)...)
	require.Equal(t, exitDone, r.code, r.err)
	again, err := os.ReadFile(filepath.Join(dir, "again.toml"))
	require.NoError(t, err)
	require.Equal(t, string(first), string(again))

	r = runIn(t, dir, append([]string{"new", "again"}, theList...)...)
	require.Equal(t, exitFaulty, r.code)
	require.Contains(t, r.err, "left unchanged")

	r = runIn(t, dir, "plan", "quay-set.toml")
	require.Equal(t, exitDone, r.code, r.err)
}

func TestNewTakesTheThemesOwnListScaleAndTitle(t *testing.T) {
	dir := t.TempDir()
	for _, name := range theme.Names() {
		r := runIn(t, dir, "new", name, "--theme", name, "--scale", "100", "--title", "Under the Hill")
		require.Equal(t, exitDone, r.code, r.err)
		text, err := os.ReadFile(filepath.Join(dir, name+".toml"))
		require.NoError(t, err)
		require.Contains(t, string(text), `title = "Under the Hill"`)
		require.Contains(t, string(text), "ratio = 100 ")
	}
	r := runIn(t, dir, "new", "--help")
	for _, name := range theme.Names() {
		require.Contains(t, r.out, name+strings.Repeat(" ", 8-len(name))+"  "+theme.Doc(name))
	}
	r = runIn(t, dir, "__complete", "new", "x", "--theme", "")
	for _, name := range theme.Names() {
		require.Contains(t, r.out, name+"\n")
	}
}

func TestNewRefusesAFaultyTheme(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		args string
		says string
	}{
		{"--theme qauy", `did you mean "quay"? allowed: quay, foundry`},
		{"--theme quay --from saltmere-quay", "give only one of the two"},
		{"--bases round32x10", "--bases needs --theme; themes:"},
		{"--from saltmere-quay --seed 3", "--seed needs --theme"},
		{"--theme quay --bases rond32x10", `entry 1 of the bases, "rond32x10": no footprint is called "rond"; did you mean "round"?`},
		{"--theme quay --bases round32x10,oval120", `entry 2 of the bases, "oval120": oval needs two sizes in mm`},
		{"--theme quay --bases round5", "a size of 5 mm; allowed: 10 to 300 mm"},
		{"--theme quay --bases round32x61", "allowed: 1 to 60"},
		{"--theme quay --bases round32x40,round25x21", "makes 61 bases in all; allowed: at most 60"},
		{"--theme quay --bases=", "--bases is empty"},
		{"--theme quay --scale 0", "--scale is empty"},
		{"--theme quay --scale 5000", "a scale of 1:5000; allowed for a theme: 20 to 600"},
		{"--theme quay --scale NaN", "allowed for a theme: 20 to 600"},
		{"--theme quay --seed -1", "seed"},
		{"--theme=", "no theme is called"},
	} {
		r := runIn(t, dir, append([]string{"new", "x"}, strings.Fields(c.args)...)...)
		require.Equal(t, exitFaulty, r.code, "%s: %s", c.args, r.err)
		require.Contains(t, r.err, c.says, c.args)
		require.Empty(t, filesIn(t, dir))
	}
}

// TestAThemedSetIsFitToPrint: a small set with steps and their rail passes the
// inspection of a draft without a stop. The whole of theList does too, and takes a
// minute: it is not built here.
func TestAThemedSetIsFitToPrint(t *testing.T) {
	dir := t.TempDir()
	r := runIn(t, dir, "new", "small", "--theme", "quay", "--bases", "round42,round25x2", "--seed", "4")
	require.Equal(t, exitDone, r.code, r.err)
	text, err := os.ReadFile(filepath.Join(dir, "small.toml"))
	require.NoError(t, err)
	require.Contains(t, string(text), "[[stair]]")
	r = runIn(t, dir, "check", "small.toml", "--setting", "draft")
	require.Equal(t, exitDone, r.code, r.err+r.out)
	require.Regexp(t, `inspection: 0 stops, `, r.out)
}
