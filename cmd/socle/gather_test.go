package main

import (
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/finding"
	"socle/cmd/set/jobs"
	"socle/cmd/set/piece"
	"socle/parts"
	"socle/sdf/mesh"
)

// filesOf are all files below a folder, by their paths.
func filesOf(t *testing.T, dir string) map[string]string {
	files := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		files[name] = string(text)
		return err
	}))
	return files
}

func sameFiles(t *testing.T, want, got string) {
	w, g := filesOf(t, want), filesOf(t, got)
	require.NotEmpty(t, w)
	for name, text := range w {
		require.True(t, g[name] == text, "%s differs or is not there", name)
	}
	require.Len(t, g, len(w))
}

// TestGatherAsBuilt makes the pieces one by one and wants the bytes of a build; then
// every piece that is not the one wanted refused, all in one run.
func TestGatherAsBuilt(t *testing.T) {
	dir := t.TempDir()
	scene := filepath.Join(dir, "it's two yards.toml") // which a shell must not split
	fanned, err := os.ReadFile(filepath.Join("testdata", "fanout.toml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(scene, fanned, 0o666))
	how := []string{"--cell", "1", "--size", "160x160"}
	listed := runIn(t, dir, append([]string{"jobs", filepath.Base(scene), "--variant", "all", "--command", socle, "--to", "jobs"}, how...)...)
	require.Equal(t, exitDone, listed.code, listed.err)
	lines := strings.Split(strings.TrimSpace(listed.out), "\n")
	require.Len(t, lines, 4)
	again := runIn(t, dir, append([]string{"jobs", filepath.Base(scene), "--variant", "all", "--command", socle, "--to", "jobs"}, how...)...)
	require.Equal(t, listed.out, again.out, "the same lines in the same order")

	refuse := func(says ...string) {
		r := runIn(t, dir, "gather", "jobs", "--to", "got")
		require.Equal(t, exitNotProven, r.code, r.err)
		for _, s := range says {
			require.Contains(t, r.err, s)
		}
		require.NoDirExists(t, filepath.Join(dir, "got"))
	}
	refuse("4 pieces are refused", "it is missing", lines[0], lines[1], lines[2], lines[3])

	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("there is no POSIX shell")
	}
	for _, line := range lines {
		r := runCmd(t, command(t, sh, "-c", line), dir)
		require.Equal(t, exitDone, r.code, r.err)
	}
	r := runIn(t, dir, "gather", "jobs", "--to", "got")
	require.Equal(t, exitDone, r.code, r.err)
	for folder, variant := range map[string]string{"it's two yards": "", "it's two yards-high": "high"} {
		r := runIn(t, dir, append([]string{"build", filepath.Base(scene), "--variant", variant, "--to", "want/" + folder}, how...)...)
		require.Equal(t, exitDone, r.code, r.err)
	}
	sameFiles(t, filepath.Join(dir, "want"), filepath.Join(dir, "got"))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "got")))

	file := func(name string) string { return filepath.Join(dir, "jobs", filepath.FromSlash(name)+".piece") }
	kept := filesOf(t, filepath.Join(dir, "jobs"))
	restore := func() {
		for name, text := range kept {
			require.NoError(t, os.WriteFile(filepath.Join(dir, "jobs", name), []byte(text), 0o666))
		}
	}
	put := func(name, text string) { require.NoError(t, os.WriteFile(file(name), []byte(text), 0o666)) }
	text := func(name string) string { return kept[filepath.FromSlash(name)+".piece"] }

	put("as-it-is/a", text("as-it-is/b"))
	put("as-it-is/b", text("as-it-is/a"))
	put("high/a", text("as-it-is/a"))
	put("high/b", text("high/b")[:1000])
	refuse("4 pieces are refused", `it is the piece "b"`, `it is the piece "a"`, "to the scene as it is, not to the variant high", "it is damaged", lines[3])
	restore()

	// Of another setting, and of an edited scene; each made as its command would.
	r = runCmd(t, command(t, sh, "-c", strings.Replace(lines[0], "--cell 1", "--cell 0.9", 1)), dir)
	require.Equal(t, exitDone, r.code, r.err)
	require.NoError(t, os.WriteFile(scene, append(fanned, "# edited\n"...), 0o666))
	r = runCmd(t, command(t, sh, "-c", lines[1]), dir)
	require.Equal(t, exitDone, r.code, r.err)
	refuse("2 pieces are refused", "made with another setting", "another version of the scene")
	restore()

	// A solid that is not the one which was proven, in a file that is whole.
	header, m := pieceIn(t, text("high/a"))
	m.Solid.Triangles[0][0], m.Solid.Triangles[0][1] = m.Solid.Triangles[0][1], m.Solid.Triangles[0][0]
	forged, err := jobs.PackPiece(header, m)
	require.NoError(t, err)
	put("high/a", string(forged))
	refuse("1 piece is refused", "not proven")
	restore()

	// A solid that is proven, and not the scene's.
	header, m = pieceIn(t, text("high/a"))
	for i, v := range m.Solid.Vertices {
		if v[2] > 1 {
			m.Solid.Vertices[i][2] += 2.5
		}
	}
	m.Solid.Proof, err = mesh.Prove(t.Context(), &m.Solid.Mesh)
	require.NoError(t, err)
	forged, err = jobs.PackPiece(header, m)
	require.NoError(t, err)
	put("high/a", string(forged))
	refuse("1 piece is refused", "it is up to 2.50 mm off")
	restore()

	// What a record says of a sound solid: what can be computed of it is.
	header, m = pieceIn(t, text("high/a"))
	at := [3]float64{1, 2, 3}
	m.Inspection.Findings = []finding.Finding{{Severity: parts.SeverityStop, Check: "island", Base: "a", What: "none\x1b[31m", At: &at, Count: 1}}
	m.Inspection.Estimate.Volume *= 2
	m.Inspection.Measured.Raster.Pixel = 7
	m.Solid.Stats.Deviation = 0.5
	forged, err = jobs.PackPiece(header, m)
	require.NoError(t, err)
	put("high/a", string(forged))
	r = runIn(t, dir, "gather", "jobs", "--to", "got")
	require.Equal(t, exitDone, r.code, r.err)
	sameFiles(t, filepath.Join(dir, "want"), filepath.Join(dir, "got"))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "got")))
	restore()

	// Pictures whose names lead elsewhere, and what would turn a terminal about.
	header, m = pieceIn(t, text("high/a"))
	m.Drawn.Shots[0].Name = "../../../../outside"
	forged, err = jobs.PackPiece(header, m)
	require.NoError(t, err)
	put("high/a", string(forged))
	header, m = pieceIn(t, text("high/b"))
	header.Variant = "\x1b]0;x\a\n  to make it: rm -rf /"
	forged, err = jobs.PackPiece(header, m)
	require.NoError(t, err)
	put("high/b", string(forged))
	refuse("2 pieces are refused", `a picture called "../../../../outside"`, `the variant \x1b]0;x\a\n  to make it`)
	restore()

	// A failure that was told elsewhere.
	header, _ = pieceIn(t, text("high/b"))
	forged, err = jobs.PackPiece(header, piece.Result{Err: errors.New("broken \x1b[2J\u202e")})
	require.NoError(t, err)
	put("high/b", string(forged))
	r = runIn(t, dir, "gather", "jobs", "--to", "failed")
	require.Equal(t, exitNotProven, r.code, r.err)
	require.Contains(t, r.err, `broken \x1b[2J\u202e`)
	restore()

	// A list that leads elsewhere, is edited, or is not of all that it is to be of.
	edit := func(renew bool, change func(l *jobs.List)) {
		var l jobs.List
		require.NoError(t, json.Unmarshal([]byte(kept["jobs.json"]), &l))
		change(&l)
		if renew {
			sum, err := l.Sum()
			require.NoError(t, err)
			l.Check = sum
		}
		text, err := json.Marshal(l)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "jobs", jobs.JobListFile), text, 0o666))
	}
	before := filesOf(t, filepath.Dir(dir))
	faulty := func(says string) {
		r := runIn(t, dir, "gather", "jobs", "--to", "got/deep")
		require.Equal(t, exitFaulty, r.code, r.err)
		require.Contains(t, r.err, says)
		require.NotContains(t, r.err, "\x1b")
		require.NoDirExists(t, filepath.Join(dir, "got"))
	}
	for _, name := range []string{"../../OUTSIDE", "a/b", `a\b`, "..", "", "-x", "con", "a\x1b[31m", "a\nb"} {
		edit(true, func(l *jobs.List) { l.Scene = name })
		for piece, text := range kept {
			if strings.HasSuffix(piece, ".piece") {
				header, m := pieceIn(t, text)
				header.Scene = name
				forged, err := jobs.PackPiece(header, m)
				require.NoError(t, err)
				require.NoError(t, os.WriteFile(filepath.Join(dir, "jobs", piece), forged, 0o666))
			}
		}
		faulty("no scene can be called ")
	}
	restore()
	require.Equal(t, before, filesOf(t, filepath.Dir(dir)), "and nothing anywhere")
	edit(false, func(l *jobs.List) { l.Size = "160x161" })
	faulty("it is damaged, or was edited")
	edit(true, func(l *jobs.List) { l.Sets = nil })
	faulty("it lists 0 sets")
	edit(true, func(l *jobs.List) { l.Sets = l.Sets[:1] })
	faulty("lists 1 set of 2")
	edit(true, func(l *jobs.List) { l.All = false })
	faulty("it lists 2 sets")
	edit(true, func(l *jobs.List) { l.Sets[0].Pieces = l.Sets[0].Pieces[:1] })
	faulty(`leaves out the base "b"`)
	edit(true, func(l *jobs.List) { l.Text = "title = \"\x1b[31m\"\n" + l.Text })
	faulty("the scene has errors")
	require.NoError(t, os.Remove(file("high/b")))
	edit(true, func(l *jobs.List) { l.ScenePath = "x\x1b[31m" })
	faulty("cannot be part of a one-line command")
	edit(true, func(l *jobs.List) { l.Program, l.ScenePath = "rm", "-rf /; rm -rf /" })
	refuse("to make it: socle build './-rf /; rm -rf /' --variant high --base b")
	restore()

	// A way out that stands in the folder.
	if os.Symlink(t.TempDir(), filepath.Join(dir, "link")) == nil {
		require.NoError(t, os.MkdirAll(filepath.Join(dir, "got", "it's two yards"), 0o777))
		require.NoError(t, os.Rename(filepath.Join(dir, "link"), filepath.Join(dir, "got", "it's two yards", "pictures")))
		r = runIn(t, dir, "gather", "jobs", "--to", "got")
		require.Equal(t, exitNotWritten, r.code, r.err)
		require.Empty(t, filesIn(t, filepath.Join(dir, "got", "it's two yards", "pictures")))
	}
}

// What was done about necks where a piece was made is told where it is gathered.
func TestGatherOfMendedNecks(t *testing.T) {
	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("there is no POSIX shell")
	}
	dir := testScene(t, "check-blast.toml")
	how := []string{"--cell", checkCell, "--set", "crater.hit.at=[58, 20]", "--set", "inspect.neck=cut", "--format", "stl,json"}
	r := runIn(t, dir, append([]string{"jobs", "check-blast.toml", "--command", socle, "--to", "jobs"}, how...)...)
	require.Equal(t, exitDone, r.code, r.err)
	r = runCmd(t, command(t, sh, "-c", r.out), dir)
	require.Equal(t, exitDone, r.code, r.err)
	r = runIn(t, dir, "gather", "jobs", "--to", "got")
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, filesOf(t, filepath.Join(dir, "got"))["check-blast.json"], "cut off: ")
	r = runIn(t, dir, append([]string{"build", "check-blast.toml", "--to", "want"}, how...)...)
	require.Equal(t, exitDone, r.code, r.err)
	sameFiles(t, filepath.Join(dir, "want"), filepath.Join(dir, "got"))
}

// pieceIn reads the text of a piece file.
func pieceIn(t *testing.T, text string) (jobs.Header, piece.Result) {
	header, record, err := jobs.UnpackPiece(strings.NewReader(text), int64(len(text)))
	require.NoError(t, err)
	data, err := io.ReadAll(record)
	require.NoError(t, err)
	m, err := piece.DecodeRecord(data)
	require.NoError(t, err)
	return header, m
}

func TestPieceIsOfOneBase(t *testing.T) {
	dir := testScene(t, "court.toml")
	for _, args := range [][]string{{}, {"--base", "walker", "--variant", "all"}, {"--base", "scout"}, {"--base", "walker", "--base", "hollow"}} {
		r := runIn(t, dir, append([]string{"build", "court.toml", "--piece", "x.piece"}, args...)...)
		require.Equal(t, exitFaulty, r.code)
		require.Contains(t, r.err, "--piece builds one base")
		require.NoFileExists(t, filepath.Join(dir, "x.piece"))
	}
}
