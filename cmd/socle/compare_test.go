package main

import (
	"bytes"
	"encoding/json"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/compare"
)

// compareYard is a folder with the test scene, and how to write others beside it: its
// text with more at its end, or with some of it replaced.
func compareYard(t *testing.T) (dir string, write func(name, more string, replace ...string)) {
	dir = testScene(t, "compare-yard.toml")
	text, err := os.ReadFile(filepath.Join(dir, "compare-yard.toml"))
	require.NoError(t, err)
	return dir, func(name, more string, replace ...string) {
		changed := strings.NewReplacer(replace...).Replace(string(text))
		if len(replace) > 0 {
			require.NotEqual(t, string(text), changed)
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(changed+more), 0o644))
	}
}

// comparedIn runs compare and gives its document.
func comparedIn(t *testing.T, dir string, args ...string) (compare.Report, ran) {
	r := runIn(t, dir, append([]string{"compare", "--cell", "0.8", "--json", "--quiet"}, args...)...)
	var doc compare.Report
	if r.code == exitDone || r.code == exitNotProven {
		require.NoError(t, json.Unmarshal([]byte(r.out), &doc), r.err)
	}
	return doc, r
}

// baseOf is a base of a comparison.
func baseOf(t *testing.T, doc compare.Report, name string) compare.Base {
	for _, b := range doc.Bases {
		if b.Name == name {
			return b
		}
	}
	t.Fatalf("no base %q", name)
	return compare.Base{}
}

// TestCompareByClosedForms: what is added and taken away on flat ground is an area by
// a height.
func TestCompareByClosedForms(t *testing.T) {
	t.Parallel()
	dir, write := compareYard(t)
	// The top of the square is 18 a side, by its taper of 1: lifted by 2 it gains
	// 18 x 18 x 2.
	doc, r := comparedIn(t, dir, "compare-yard.toml", "compare-yard.toml@lifted")
	require.Equal(t, exitNotProven, r.code)
	require.False(t, doc.Same)
	require.Equal(t, "lifted", doc.B.Variant)
	square := baseOf(t, doc, "square")
	require.Equal(t, compare.Differs, square.Result)
	require.InEpsilon(t, 18*18*2, *square.Added, 3e-3)
	require.Zero(t, *square.Removed)
	require.InDelta(t, 4, square.A.Box.Max[2], 1e-3)
	require.InDelta(t, 6, square.B.Box.Max[2], 1e-3)
	require.InDelta(t, square.B.Volume-square.A.Volume, *square.Added, 3, "as the solids have it, to the roughness of their cells")
	require.Equal(t, 2, doc.Unmade, "nothing of the others has changed")
	require.Equal(t, compare.Same, baseOf(t, doc, "round").Result)
	require.True(t, baseOf(t, doc, "round").Unmade)
	require.Equal(t, []compare.ChangedKey{{Path: "base.square.lift", Now: "2"}}, doc.Keys)

	// The other way round.
	back, _ := comparedIn(t, dir, "compare-yard.toml@lifted", "compare-yard.toml")
	require.Equal(t, *square.Added, *baseOf(t, back, "square").Removed)
	require.Zero(t, *baseOf(t, back, "square").Added)

	// A terrace of 8 x 6 x 2 and a pit of 5 x 4 x 1.5 with sheer sides.
	write("built.toml", "\n[[ground.raised]]\narea = { rect = [16, 16, 8, 6] }\nlevel = 5\n\n[[ground.sunk]]\narea = { rect = [47, 18, 5, 4] }\nlevel = 1.5\n")
	doc, r = comparedIn(t, dir, "compare-yard.toml", "built.toml")
	require.Equal(t, exitNotProven, r.code)
	require.InEpsilon(t, 8*6*2, *baseOf(t, doc, "square").Added, 2e-2)
	require.Zero(t, *baseOf(t, doc, "square").Removed)
	require.InEpsilon(t, 5*4*1.5, *baseOf(t, doc, "round").Removed, 2e-2)
	require.Zero(t, *baseOf(t, doc, "round").Added)
	require.Equal(t, compare.Same, baseOf(t, doc, "hexagon").Result, "what stands elsewhere is taller now")
}

// TestCompareBases: a base that only moved is the same solid; one that is missing is not.
func TestCompareBases(t *testing.T) {
	t.Parallel()
	dir, write := compareYard(t)
	write("moved.toml", "", "at = [50, 20]", "at = [53, 16]")
	doc, r := comparedIn(t, dir, "compare-yard.toml", "moved.toml")
	require.Equal(t, exitDone, r.code, r.err)
	require.True(t, doc.Same)
	moved := baseOf(t, doc, "round")
	require.Equal(t, compare.Same, moved.Result)
	require.False(t, moved.Unmade)
	require.InDeltaSlice(t, []float64{3, -4, 0}, moved.Moved.By[:], 1e-9)
	require.Zero(t, moved.Moved.Turn)

	write("fewer.toml", "", "name = \"hexagon\"", "name = \"other\"", "at = [20, 20]", "at = [20, 20]\nturn = 90")
	doc, r = comparedIn(t, dir, "compare-yard.toml", "fewer.toml")
	require.Equal(t, exitNotProven, r.code)
	require.Equal(t, compare.OnlyInA, baseOf(t, doc, "hexagon").Result)
	require.Nil(t, baseOf(t, doc, "hexagon").B)
	other := baseOf(t, doc, "other")
	require.Equal(t, compare.OnlyInB, other.Result)
	require.InEpsilon(t, 20, other.B.Box.Max[1]-other.B.Box.Min[1], 1e-3)
	require.InDelta(t, 90, baseOf(t, doc, "square").Moved.Turn, 1e-9)
	doc, r = comparedIn(t, dir, "compare-yard.toml", "fewer.toml", "--base", "round")
	require.Equal(t, exitDone, r.code, "of the round one nothing has changed")
	require.Len(t, doc.Bases, 1)

	text := runIn(t, dir, "compare", "compare-yard.toml", "fewer.toml", "--cell", "0.8")
	require.Equal(t, exitNotProven, text.code)
	require.Contains(t, text.out, "hexagon  only in A\n")
	require.True(t, strings.HasSuffix(text.out, "\ndiffers: 1 base is only in A, 1 base is only in B, 2 are the same\n"), text.out)
}

// TestCompareGuards: what changes no print ends with 0.
func TestCompareGuards(t *testing.T) {
	t.Parallel()
	dir, write := compareYard(t)
	write("told.toml", "\n# and a word at the end\n", "yard = 3.0", "yard = 3 # mm", "[[base]]\nname = \"square\"", "# the first\n[[base]]\nname = \"square\"")
	for _, b := range []string{"compare-yard.toml", "told.toml"} {
		doc, r := comparedIn(t, dir, "compare-yard.toml", b)
		require.Equal(t, exitDone, r.code, r.err)
		require.True(t, doc.Same)
		require.Equal(t, 3, doc.Unmade, "not even built")
		require.Empty(t, doc.Keys)
	}
	r := runIn(t, dir, "compare", "compare-yard.toml", "told.toml", "--cell", "0.8")
	require.True(t, strings.HasSuffix(r.out, "\nthe same: 3 bases\n"), r.out)
	r = runIn(t, dir, "compare", "compare-yard.toml", "told.toml", "--cell", "0.8", "--quiet")
	require.Equal(t, ran{}, r)
	// Nor does the order of the file.
	text, err := os.ReadFile(filepath.Join(dir, "compare-yard.toml"))
	require.NoError(t, err)
	tables := strings.Split(string(text), "\n[[base]]\n")
	require.Len(t, tables, 4)
	last, variant, _ := strings.Cut(tables[3], "[[variant]]")
	turned := strings.Join([]string{tables[0], last, tables[2], tables[1]}, "\n[[base]]\n") + "\n[[variant]]" + variant
	require.NoError(t, os.WriteFile(filepath.Join(dir, "turned.toml"), []byte(turned), 0o644))
	require.Equal(t, ran{}, runIn(t, dir, "compare", "compare-yard.toml", "turned.toml", "--cell", "0.8", "--quiet"))
	// --set is for both.
	doc, r := comparedIn(t, dir, "compare-yard.toml", "told.toml", "--set", "base.square.height=5", "--base", "square")
	require.Equal(t, exitDone, r.code, r.err)
	require.True(t, doc.Same)
}

// TestCompareRevisions reads a scene as it was in git.
func TestCompareRevisions(t *testing.T) {
	t.Parallel()
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("there is no git here")
	}
	root, write := compareYard(t)
	git := func(args ...string) {
		cmd := command(t, "git", append([]string{"-C", root, "-c", "user.name=A Tester", "-c", "user.email=tester@example.invalid", "-c", "commit.gpgsign=false"}, args...)...)
		text, err := cmd.CombinedOutput()
		require.NoError(t, err, string(text))
	}
	git("init", "-q")
	git("add", ".")
	git("commit", "-qm", "as it was")
	git("tag", "first")
	write("compare-yard.toml", "", "square = 20", "square = 22")
	git("commit", "-qam", "a wider one")
	write("compare-yard.toml", "", "square = 20", "square = 24")

	doc, r := comparedIn(t, root, "compare-yard.toml@first", "compare-yard.toml")
	require.Equal(t, exitNotProven, r.code, r.err)
	require.Equal(t, "first", doc.A.Revision)
	require.Len(t, doc.A.Commit, 40)
	require.Equal(t, []compare.ChangedKey{{Path: "base.square.square", Was: "20", Now: "24"}}, doc.Keys)
	require.InDelta(t, 24, baseOf(t, doc, "square").B.Box.Max[0]-baseOf(t, doc, "square").B.Box.Min[0], 1e-2)
	// From another folder, and a variant of a revision; HEAD has 22.
	doc, r = comparedIn(t, t.TempDir(), filepath.Join(root, "compare-yard.toml@HEAD@lifted"), filepath.Join(root, "compare-yard.toml@HEAD"), "--base", "square")
	require.Equal(t, exitNotProven, r.code, r.err)
	require.InEpsilon(t, 20*20*2, *baseOf(t, doc, "square").Removed, 5e-3)
	doc, r = comparedIn(t, root, "compare-yard.toml@HEAD~1", "compare-yard.toml@first")
	require.Equal(t, exitDone, r.code, r.err)
	require.Equal(t, doc.A.Commit, doc.B.Commit)

	for arg, says := range map[string]string{
		"compare-yard.toml@HED":         `no variant "HED"; it has: lifted; and as a revision: git knows no revision "HED" of it`,
		"compare-yard.toml@--help":      "git knows no revision",
		"compare-yard.toml@first@liftd": `no variant "liftd"; did you mean "lifted"?`,
		"other.toml@first":              "revision first: there is no other.toml in it",
		"saltmere-quay@first":           "a shipped scene has no revisions",
	} {
		r := runIn(t, root, "compare", arg, "compare-yard.toml", "--cell", "0.8")
		require.Equal(t, exitFaulty, r.code, "%s: %s", arg, r.err)
		require.Contains(t, r.err, says, arg)
	}
	// A scene that is at fault now can still be read as it was; its variants cannot.
	write("compare-yard.toml", "\n[[base]]\n")
	require.Equal(t, exitDone, runIn(t, root, "compare", "compare-yard.toml@HEAD", "compare-yard.toml@HEAD", "--cell", "0.8").code)
	require.Equal(t, exitFaulty, runIn(t, root, "compare", "compare-yard.toml@lifted", "compare-yard.toml@HEAD", "--cell", "0.8").code)
	// No program is needed for it.
	cmd := command(t, socle, "compare", "compare-yard.toml@HEAD", "compare-yard.toml@first", "--cell", "0.8")
	cmd.Env = []string{"PATH=" + t.TempDir(), "SOCLE_CACHE=off"}
	write("compare-yard.toml", "")
	alone := runCmd(t, cmd, root)
	require.Equal(t, exitNotProven, alone.code, alone.err)
	require.Contains(t, alone.out, "base.square.square")
}

func TestCompareFaultyCommands(t *testing.T) {
	t.Parallel()
	dir, write := compareYard(t)
	write("low.toml", "", "square = 20", "square = 20\ntop = 4\n", `"base.square.lift" = 2`, `"base.round.lift" = 2`)
	write("bare.toml", "", "[[variant]]\nname = \"lifted\"\nset = { \"base.square.lift\" = 2 }\n", "")
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{nil, exitFaulty, "compare needs two scenes"},
		{[]string{"compare-yard.toml"}, exitFaulty, "compare needs two scenes"},
		{[]string{"-", "-"}, exitFaulty, "only one of the two"},
		{[]string{"compare-yard.toml", "none.toml"}, exitFaulty, "there is no file none.toml"},
		{[]string{"compare-yard.toml", "compare-yard.toml@lift"}, exitFaulty, `no variant "lift"; did you mean "lifted"?`},
		{[]string{"compare-yard.toml", "bare.toml@lifted"}, exitFaulty, `no variant "lifted", nor any other`},
		{[]string{"compare-yard.toml", "compare-yard.toml", "--base", "nobody"}, exitFaulty, `neither scene has a base "nobody"; they have: hexagon, round, square`},
		{[]string{"compare-yard.toml", "compare-yard.toml", "--cell", "9999"}, exitFaulty, "allowed: 0.0"},
		{[]string{"compare-yard.toml", "compare-yard.toml", "--setting", "rough"}, exitFaulty, "allowed: draft, fine"},
		{[]string{"compare-yard.toml", "compare-yard.toml", "--set", "base.squar.lift=1"}, exitFaulty, "base.square"},
		{[]string{"compare-yard.toml", "compare-yard.toml", "--printer", "none.toml"}, exitFaulty, "--printer"},
	} {
		r := runIn(t, dir, append([]string{"compare"}, c.args...)...)
		require.Equal(t, c.code, r.code, "%v: %s", c.args, r.err)
		require.Contains(t, r.err, c.says, c.args)
		require.Empty(t, r.out)
	}
	r := runIn(t, dir, "compare", "--help")
	require.Contains(t, r.out, "\nExamples:\n")
	require.Contains(t, r.out, "ends with 0 where every base is the same solid")
}

// TestCompareWritesFiles: the page, the document and the pictures appear together, with
// what came and what went in their tones.
func TestCompareWritesFiles(t *testing.T) {
	t.Parallel()
	dir, write := compareYard(t)
	write("built.toml", "\n[[ground.raised]]\narea = { rect = [16, 16, 8, 6] }\nlevel = 5\n\n[[ground.sunk]]\narea = { rect = [47, 18, 5, 4] }\nlevel = 1.5\n")
	doc, r := comparedIn(t, dir, "compare-yard.toml", "built.toml", "--to", "made/told")
	require.Equal(t, exitNotProven, r.code, r.err)
	require.Equal(t, []string{"compare.html", "compare.json", "round.png", "square.png"}, filesIn(t, filepath.Join(dir, "made", "told")))
	text, err := os.ReadFile(filepath.Join(dir, "made", "told", "compare.json"))
	require.NoError(t, err)
	var filed compare.Report
	require.NoError(t, json.Unmarshal(text, &filed))
	require.Equal(t, "round.png", baseOf(t, filed, "round").Picture.Path)
	require.Equal(t, "made/told/round.png", baseOf(t, doc, "round").Picture.Path)
	html, err := os.ReadFile(filepath.Join(dir, "made", "told", "compare.html"))
	require.NoError(t, err)
	for _, says := range []string{"Yard of Changes", "2 bases differ, 1 is the same.", "compare-yard.toml", "ground.raised", `id="base-1"`} {
		require.Contains(t, string(html), says)
	}
	// Blue is there where the terrace came, pale orange where the pit was dug.
	blue, orange := toneShare(t, filepath.Join(dir, "made", "told", "square.png"))
	require.Greater(t, blue, 0.01)
	require.Less(t, orange, blue/10)
	blue, orange = toneShare(t, filepath.Join(dir, "made", "told", "round.png"))
	require.Greater(t, orange, 0.005) // a pit lies in its own shade
	require.Less(t, blue, orange/10)

	// The same bytes on one processor.
	cmd := command(t, socle, "compare", "--cell", "0.8", "compare-yard.toml", "built.toml", "--to", "again", "--base", "square", "--quiet")
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1")
	require.Equal(t, exitNotProven, runCmd(t, cmd, dir).code)
	one, err := os.ReadFile(filepath.Join(dir, "made", "told", "square.png"))
	require.NoError(t, err)
	other, err := os.ReadFile(filepath.Join(dir, "again", "square.png"))
	require.NoError(t, err)
	require.True(t, bytes.Equal(one, other))
	text, err = os.ReadFile(filepath.Join(dir, "again", "compare.json"))
	require.NoError(t, err)
	filed = compare.Report{}
	require.NoError(t, json.Unmarshal(text, &filed))
	require.Equal(t, *baseOf(t, doc, "square").Added, *baseOf(t, filed, "square").Added)

	// Where it cannot be written, that is said before anything is built.
	require.NoError(t, os.WriteFile(filepath.Join(dir, "taken"), nil, 0o644))
	r = runIn(t, dir, "compare", "compare-yard.toml", "built.toml", "--cell", "0.8", "--to", "taken")
	require.Equal(t, exitNotWritten, r.code)
	require.NotContains(t, r.err, "proven")
}

// toneShare is the share of a picture that is blue, and that is orange.
func toneShare(t *testing.T, path string) (blue, orange float64) {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	img, err := png.Decode(f)
	require.NoError(t, err)
	size := img.Bounds().Size()
	for y := range size.Y {
		for x := range size.X {
			r, g, b, _ := img.At(x, y).RGBA()
			switch {
			case b > 2*r && b > g:
				blue++
			case 10*r > 15*b && 10*r > 11*g:
				orange++
			}
		}
	}
	all := float64(size.X * size.Y)
	return blue / all, orange / all
}
