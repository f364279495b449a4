package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"flag"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/look"
	"socle/cmd/set/output"
	"socle/cmd/set/report"
	"socle/scenes"
)

// coarse is the cell of the tests, which keeps them quick.
const coarse = "1"

// referenceCell is the cell at which the reference check builds the shipped scenes anew,
// where the whole of a set is to be vouched for; "": it reads the frozen sets.
var referenceCell = flag.String("reference.cell", "", "cell of the shipped scenes that the reference check builds, mm")

func TestBuildWritesTheSet(t *testing.T) {
	dir := testScene(t, "court.toml")
	r := runIn(t, dir, "build", "court.toml", "--cell", coarse, "--size", "240x180")
	require.Equal(t, exitDone, r.code, r.err)
	to := filepath.Join(dir, "build", "court", "draft") // coarser than fine
	require.Equal(t, []string{"court-life-size.png", "court-plan.svg", "court-set.png", "court.3mf", "court.html", "court.json",
		"hollow.stl", "pictures", "scout-1.stl", "scout-2.stl", "walker.stl"}, filesIn(t, to))
	require.Equal(t, []string{"hollow", "scout-1", "scout-2", "walker"}, filesIn(t, filepath.Join(to, "pictures")))
	require.Contains(t, filesIn(t, filepath.Join(to, "pictures", "walker")), "three-quarter.png")
	require.NotContains(t, filesIn(t, filepath.Join(to, "pictures", "walker")), "side.png", "a draft draws little")
	require.Contains(t, r.err, "4 bases: meshed, proven and inspected, STL, 3MF, pictures (three-quarter, life-size, findings, set), the plan, the report\nroughly ")
	require.Contains(t, r.err, "This mesh is too coarse for printing: its cells are 1 mm, and those of a fine build are 0.1 mm.")
	require.Less(t, strings.Index(r.err, "roughly "), strings.Index(r.err, "proven (1 of 4)"), "before it begins")
	for _, name := range []string{"court.html", "court.json"} {
		text, err := os.ReadFile(filepath.Join(to, name))
		require.NoError(t, err)
		require.NotContains(t, string(text), "roughly ")
	}
	lines := strings.Split(r.out, "\n")
	require.Regexp(t, `^base +footprint +size mm +volume mm3 +triangles +cell mm +time s$`, lines[0])
	require.Regexp(t, `^hollow +rectangle 30 x 20 +30\.0 x 20\.0 x \d+\.\d +\d+\.\d +[\d,]+ +1 +\d+\.\d$`, lines[1])
	require.Contains(t, r.out, "wrote 4 STL files to "+filepath.Join("build", "court"))
	require.Contains(t, r.err, "Uncured resin")
	require.Contains(t, r.err, "trapped in a hollow")
	require.Contains(t, r.err, "Small magnets")
}

// TestDraftDrawsLittle builds one scene for printing and as a draft.
func TestDraftDrawsLittle(t *testing.T) {
	dir := t.TempDir()
	const scene = `[scale]
ratio = 100
[printer]
pixel = 0.2
layer = 0.2
[ground]
size = [30, 30]
level = 3
[[base]]
name = "b"
round = 10
at = [15, 15]
[[variant]]
name = "high"
set = { "ground.level" = 4 }
`
	require.NoError(t, os.WriteFile(filepath.Join(dir, "s.toml"), []byte(scene), 0o644))
	built := func(to string, args ...string) (ran, []string, []string) {
		r := runIn(t, dir, append([]string{"build", "s.toml", "--size", "200x160", "--to", to}, args...)...)
		require.Equal(t, exitDone, r.code, r.err)
		return r, filesIn(t, filepath.Join(dir, to)), filesIn(t, filepath.Join(dir, to, "pictures", "b"))
	}
	fine, set, pictures := built("fine")
	require.Contains(t, set, "s-variants.png")
	require.Subset(t, pictures, []string{"side.png", "three-quarter.png", "top.png", "underside.png"})
	require.Contains(t, fine.err, "pictures from all sides and near by, 1 variant on a sheet")
	require.Contains(t, fine.err, "b: drawn for variant high (1 of 1)", "the last step shows its progress too")
	require.NotContains(t, fine.err, "too coarse for printing")

	_, set, pictures = built("draft", "--cell", "0.8")
	require.NotContains(t, set, "s-variants.png")
	require.Contains(t, set, "s-set.png")
	require.NotContains(t, pictures, "underside.png")
	require.Contains(t, pictures, "three-quarter.png")

	_, _, pictures = built("asked", "--cell", "0.8", "--view", "underside")
	require.Equal(t, []string{"underside.png"}, pictures, "what is asked for is drawn of a draft too")
}

func TestBuildCautionsOnlyWhereTheyMatter(t *testing.T) {
	dir := testScene(t, "court.toml")
	r := runIn(t, dir, "build", "court.toml", "--cell", coarse, "--base", "walker", "--format", "stl")
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.err, "Uncured resin")
	require.NotContains(t, r.err, "hollow")
	require.NotContains(t, r.err, "magnets")
}

// document builds a scene with --json and reads the document strictly.
func document(t *testing.T, dir string, args ...string) (report.Report, ran) {
	r := runIn(t, dir, append([]string{"build", "--json", "--format", "stl,3mf"}, args...)...)
	var doc report.Report
	d := json.NewDecoder(strings.NewReader(r.out))
	d.DisallowUnknownFields()
	require.NoError(t, d.Decode(&doc), r.err)
	_, err := d.Token()
	require.ErrorIs(t, err, io.EOF, "one document")
	return doc, r
}

func TestBuildJSON(t *testing.T) {
	dir := testScene(t, "court.toml")
	doc, r := document(t, dir, "court.toml", "--cell", coarse, "--to", "made")
	require.Equal(t, exitDone, r.code, r.err)
	require.Equal(t, "Court of Tests & <Trials>", doc.Title)
	require.Empty(t, doc.Failed)
	require.Len(t, doc.Bases, 4)
	for _, b := range doc.Bases {
		require.True(t, b.Closed && b.Outward, b.Name)
		require.Zero(t, b.Crossings, b.Name)
		require.Equal(t, 1, b.Shells, b.Name)
		require.Zero(t, b.Box.Min[2])
		require.Equal(t, "made/"+b.Name+".stl", b.Path)
		requireFile(t, dir, b.File)
		// Euler's formula: V - E + F = 2 - 2 genus, and 2E = 3F.
		require.Equal(t, 2-2*b.Genus, b.Vertices-b.Triangles/2, b.Name)
	}
	require.Equal(t, "made/court.3mf", doc.Set.Path)
	requireFile(t, dir, *doc.Set)

	// Every key that a script may count on is there, whatever its value.
	var raw struct{ Bases []map[string]any }
	require.NoError(t, json.Unmarshal([]byte(r.out), &raw))
	for _, key := range []string{"name", "file", "triangles", "vertices", "volume_mm3", "bbox", "closed", "outward",
		"crossings", "shells", "genus", "footprint", "crumbs", "sha256"} {
		require.Contains(t, raw.Bases[0], key)
	}
}

func requireFile(t *testing.T, dir string, f output.File) {
	text, err := os.ReadFile(filepath.Join(dir, f.Path))
	require.NoError(t, err)
	require.EqualValues(t, len(text), f.Bytes)
	sum := sha256.Sum256(text)
	require.Equal(t, hex.EncodeToString(sum[:]), f.SHA256)
}

func TestBuildGivesTheSameBytes(t *testing.T) {
	dir := testScene(t, "court.toml")
	var first map[string]string
	for _, workers := range []string{"1", "8"} {
		cmd := command(t, socle, "build", "court.toml", "--cell", coarse, "--json", "--size", "240x180", "--view", strings.Join(look.Views(), ","))
		cmd.Env = append(os.Environ(), "GOMAXPROCS="+workers)
		r := runCmd(t, cmd, dir)
		require.Equal(t, exitDone, r.code, r.err)
		var doc report.Report
		require.NoError(t, json.Unmarshal([]byte(r.out), &doc))
		sums := map[string]string{doc.Document.Path: doc.Document.SHA256}
		for _, f := range doc.Files() {
			sums[f.Path] = f.SHA256
		}
		require.Greater(t, len(sums), 4+4*4, "solids, the set, its plan, sheet and report, and pictures")
		if first == nil {
			first = sums
		}
		require.Equal(t, first, sums, "GOMAXPROCS=%s", workers)
	}
}

func TestBuildOfSomeBases(t *testing.T) {
	dir := testScene(t, "court.toml")
	r := runIn(t, dir, "build", "court.toml", "--cell", coarse, "--base", "scout", "--base", "walker", "--to", "a", "--size", "240x180")
	require.Equal(t, exitDone, r.code, r.err)
	require.Equal(t, []string{"pictures", "scout-1.stl", "scout-2.stl", "walker.stl"}, filesIn(t, filepath.Join(dir, "a")), "nothing that is about the whole set")
	r = runIn(t, dir, "build", "court.toml", "--cell", coarse, "--base", "scout-2", "--to", "b", "--format", "3mf")
	require.Equal(t, exitDone, r.code, r.err)
	require.Equal(t, []string{"court.3mf"}, filesIn(t, filepath.Join(dir, "b")))
}

func TestBuildSetsAValue(t *testing.T) {
	dir := testScene(t, "court.toml")
	doc, r := document(t, dir, "court.toml", "--cell", coarse, "--base", "walker", "--set", "base.walker.oval=[40, 20]")
	require.Equal(t, exitDone, r.code, r.err)
	require.InDelta(t, 40, doc.Bases[0].Box.Max[0]-doc.Bases[0].Box.Min[0], 0.2)
}

func TestBuildReadsStandardInput(t *testing.T) {
	dir := testScene(t, "court.toml")
	f, err := os.Open(filepath.Join(dir, "court.toml"))
	require.NoError(t, err)
	defer f.Close()
	cmd := command(t, socle, "build", "-", "--cell", coarse, "--quiet", "--format", "3mf", "--base", "walker")
	cmd.Stdin = f
	r := runCmd(t, cmd, dir)
	require.Equal(t, exitDone, r.code, r.err)
	require.Empty(t, r.out+r.err)
	require.FileExists(t, filepath.Join(dir, "build", "scene", "draft", "scene.3mf"))
}

func TestBuildOfAFaultyScene(t *testing.T) {
	dir := testScene(t, "faulty.toml")
	r := runIn(t, dir, "build", "faulty.toml")
	require.Equal(t, exitFaulty, r.code)
	require.Empty(t, r.out)
	require.Contains(t, r.err, "faulty.toml:11:9")
	require.Contains(t, r.err, "faulty.toml:15:1")
	require.Contains(t, r.err, `did you mean "oval"?`)
	require.Equal(t, []string{"faulty.toml"}, filesIn(t, dir))

	r = runIn(t, dir, "build", "faulty.toml", "--json")
	require.Equal(t, exitFaulty, r.code)
	var faults scenes.Faults
	require.NoError(t, json.Unmarshal([]byte(r.out), &faults))
	require.GreaterOrEqual(t, len(faults.List), 2)
	require.Equal(t, []string{"faulty.toml"}, filesIn(t, dir))
}

func TestBuildThatDoesNotFit(t *testing.T) {
	dir := testScene(t, "wall.toml")
	require.NoError(t, os.Mkdir(filepath.Join(dir, "made"), 0o755))
	earlier := filepath.Join(dir, "made", "low.stl")
	require.NoError(t, os.WriteFile(earlier, []byte("earlier"), 0o644))
	r := runIn(t, dir, "build", "wall.toml", "--cell", coarse, "--to", "made")
	require.Equal(t, exitNotProven, r.code, r.err)
	require.Contains(t, r.err, "wall.toml:26:7")
	require.Contains(t, r.err, "does not fit")
	require.Equal(t, []string{"low.stl"}, filesIn(t, filepath.Join(dir, "made")))
	text, err := os.ReadFile(earlier)
	require.NoError(t, err)
	require.Equal(t, "earlier", string(text))

	doc, r := document(t, dir, "wall.toml", "--cell", coarse, "--to", "made", "--set", "base.low.top=10.1")
	require.Equal(t, exitDone, r.code, r.err)
	require.Len(t, doc.Bases, 2)
	require.InDelta(t, 10, doc.Bases[0].Box.Max[2], 0.1)
}

func TestBuildIntoWhatIsNoFolder(t *testing.T) {
	dir := testScene(t, "court.toml")
	r := runIn(t, dir, "build", "court.toml", "--cell", coarse, "--to", "court.toml")
	require.Equal(t, exitNotWritten, r.code, r.err)
	require.Contains(t, r.err, "not a folder")
	require.Equal(t, []string{"court.toml"}, filesIn(t, dir))
}

// TestBuildOnADiskThatIsTooSmall limits the size of a file, which fails a write
// just as a full disk does.
func TestBuildOnADiskThatIsTooSmall(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no way to limit the size of a file")
	}
	dir := testScene(t, "court.toml")
	cmd := command(t, "bash", "-c", `ulimit -f 4; exec "$0" "$@"`, socle, "build", "court.toml", "--cell", coarse, "--format", "stl,3mf,svg,json")
	r := runCmd(t, cmd, dir)
	require.Equal(t, exitNotWritten, r.code, r.err)
	require.Contains(t, r.err, "file too large")
	require.Equal(t, []string{"court.toml"}, filesIn(t, dir))
}

func TestBuildOntoAFullDevice(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("there is no such device here")
	}
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	require.NoError(t, err)
	defer full.Close()
	for _, args := range [][]string{
		{"build", "court.toml", "--cell", coarse, "--base", "walker", "--format", "stl", "--json"},
		{"build", "court.toml", "--cell", coarse, "--base", "walker", "--format", "stl"}, {"schema"},
	} {
		cmd := command(t, socle, args...)
		cmd.Dir = testScene(t, "court.toml")
		cmd.Stdout = full
		var exit *exec.ExitError
		require.ErrorAs(t, cmd.Run(), &exit, args)
		require.NotEqual(t, exitDone, exit.ExitCode(), args)
	}
}

// TestBuildBrokenOff sends Ctrl-C once the first base is done and the second is
// being meshed.
func TestBuildBrokenOff(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be sent an interrupt")
	}
	dir := testScene(t, "court.toml")
	to := filepath.Join(dir, "made")
	require.NoError(t, os.Mkdir(to, 0o755))
	earlier := filepath.Join(to, "hollow.stl")
	require.NoError(t, os.WriteFile(earlier, []byte("earlier"), 0o644))

	cmd := command(t, socle, "build", "court.toml", "--cell", "0.2", "--to", "made", "--size", "240x180")
	cmd.Dir = dir
	messages, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	lines := bufio.NewScanner(messages)
	for lines.Scan() && !strings.Contains(lines.Text(), ": proven") { // after the lines that tell of the cell
	}
	require.Equal(t, "hollow: proven (1 of 4)", lines.Text())
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	last := ""
	for lines.Scan() {
		last = lines.Text()
	}
	var exit *exec.ExitError
	require.ErrorAs(t, cmd.Wait(), &exit)
	require.Equal(t, exitInterrupted, exit.ExitCode())
	picture := filepath.Join("made", "pictures", "hollow", "three-quarter.png")
	require.Equal(t, "socle: stopped; nothing was changed but the first picture, "+picture, last)
	require.Equal(t, []string{"hollow.stl", "pictures"}, filesIn(t, to), "nothing half-written is left")
	drawn, err := os.ReadFile(filepath.Join(dir, picture))
	require.NoError(t, err)
	_, err = png.Decode(bytes.NewReader(drawn))
	require.NoError(t, err)
	text, err := os.ReadFile(earlier)
	require.NoError(t, err)
	require.Equal(t, "earlier", string(text))
}

func TestBrokenOffBeforeItBegins(t *testing.T) {
	dir := testScene(t, "court.toml")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var messages strings.Builder
	code := run(ctx, []string{"build", filepath.Join(dir, "court.toml"), "--to", filepath.Join(dir, "made")},
		streams{in: strings.NewReader(""), out: io.Discard, err: &messages})
	require.Equal(t, exitInterrupted, code, messages.String())
	require.Equal(t, []string{"court.toml"}, filesIn(t, dir))
}

// referenceScript is the path of the independent reader; without its library the test
// is skipped, but not where CI is set.
func referenceScript(t *testing.T) string {
	t.Helper()
	const reference = "../../out/reference"
	if _, err := os.Stat(filepath.Join(reference, "node_modules", "manifold-3d")); err != nil {
		const cure = "the reference library is not installed: run `make reference`"
		if os.Getenv("CI") != "" {
			t.Fatal(cure)
		}
		t.Skip(cure)
	}
	script, err := filepath.Abs(filepath.Join(reference, "check.mjs"))
	require.NoError(t, err)
	return script
}

// TestReferenceReadsTheSet holds every file of fresh builds against an
// independent library: the court of the tests, whose hollow has vents and so a
// genus, a blast whose loose pieces are kept, and every shipped scene, with its variants and
// the themed sets, as TestFrozen builds them.
func TestReferenceReadsTheSet(t *testing.T) {
	script := referenceScript(t)
	read := func(t *testing.T, dir, document string) {
		cmd := command(t, "node", script)
		cmd.Stdin = strings.NewReader(document)
		checked := runCmd(t, cmd, dir)
		t.Log(checked.out)
		require.Zero(t, checked.code, checked.out+checked.err)
		require.Contains(t, checked.out, " 0 wrong")
		var doc report.Report
		require.NoError(t, json.Unmarshal([]byte(document), &doc))
		require.NotEmpty(t, doc.Bases)
		require.Equal(t, 2*len(doc.Bases), strings.Count(checked.out, "ok "), "each base in its STL and in the set")
	}
	build := func(t *testing.T, dir, scene, cell string, sets ...string) {
		args := append([]string{"build", scene, "--json", "--format", "stl,3mf", "--cell", cell}, withSets(sets...)...)
		built := runIn(t, dir, args...)
		require.Equal(t, exitDone, built.code, built.err)
		read(t, dir, built.out)
	}
	t.Run("court", func(t *testing.T) { build(t, testScene(t, "court.toml"), "court.toml", coarse) })
	t.Run("blast", func(t *testing.T) {
		build(t, testScene(t, "check-blast.toml"), "check-blast.toml", coarse, "inspect.crumbs=keep")
	})
	if *referenceCell != "" {
		for _, scene := range scenes.Shipped() {
			t.Run(scene, func(t *testing.T) { build(t, t.TempDir(), scene, *referenceCell) })
		}
		return
	}
	for _, name := range scenes.Shipped() {
		require.True(t, slices.ContainsFunc(frozenSets, func(s frozenSet) bool { return s.name == name }), name)
	}
	for _, s := range frozenSets {
		t.Run(s.name, func(t *testing.T) {
			if testing.Short() && !s.short {
				t.Skip("built without -short")
			}
			t.Parallel()
			dir, err := builtSet(s.name)
			require.NoError(t, err)
			to := filepath.Join(dir, "to")
			document, err := os.ReadFile(filepath.Join(to, s.name+".json"))
			require.NoError(t, err)
			read(t, to, string(document))
		})
	}
}
