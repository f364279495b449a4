package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

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
	refuse("4 pieces are refused", `it is the piece "b"`, `it is the piece "a"`, "of the scene as it is, not of the variant high", "it is damaged", lines[3])
	restore()

	// Of another setting, and of an edited scene; each made as its command would.
	r = runCmd(t, command(t, sh, "-c", strings.Replace(lines[0], "--cell 1", "--cell 0.9", 1)), dir)
	require.Equal(t, exitDone, r.code, r.err)
	require.NoError(t, os.WriteFile(scene, append(fanned, "# edited\n"...), 0o666))
	r = runCmd(t, command(t, sh, "-c", lines[1]), dir)
	require.Equal(t, exitDone, r.code, r.err)
	refuse("2 pieces are refused", "made with another setting", "another text of the scene")
	restore()

	// A solid that is not the one which was proven, in a file that is whole.
	told, m := pieceIn(t, text("high/a"))
	m.solid.Triangles[0][0], m.solid.Triangles[0][1] = m.solid.Triangles[0][1], m.solid.Triangles[0][0]
	forged, err := packPiece(told, m)
	require.NoError(t, err)
	put("high/a", string(forged))
	refuse("1 piece is refused", "not proven")
}

// pieceIn reads the text of a piece file.
func pieceIn(t *testing.T, text string) (pieceTold, meshed) {
	told, record, err := unpackPiece(strings.NewReader(text), int64(len(text)))
	require.NoError(t, err)
	data, err := io.ReadAll(record)
	require.NoError(t, err)
	m, err := decodeRecord(data)
	require.NoError(t, err)
	return told, m
}

// What lies in the place of a piece takes memory only once it is known to be whole.
func TestSizeOfAPieceIsNoReasonToRead(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.piece")
	told := pieceTold{Scene: "court", Piece: "a"}
	whole, err := packPiece(told, meshed{err: errCorruptPiece})
	require.NoError(t, err)
	for _, size := range []int64{256 << 20, 5 << 29} {
		require.NoError(t, os.WriteFile(path, whole, 0o666))
		require.NoError(t, os.Truncate(path, size))
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := readPiece(path, told)
		runtime.ReadMemStats(&after)
		require.ErrorIs(t, err, errCorruptPiece)
		require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(1<<20), "bytes")
	}
}

// What could not be made is told of, with its place, as where it was made.
func TestFailureComesBack(t *testing.T) {
	proof := &mesh.ProofError{At: r3.Vec{X: 1, Y: 2, Z: 3}, Why: "two sheets cross"}
	for _, why := range []error{proof, fmt.Errorf("made: %w", proof), errors.New("it broke down")} {
		told := pieceTold{Scene: "court", Piece: "a"}
		whole, err := packPiece(told, meshed{err: why})
		require.NoError(t, err)
		path := filepath.Join(t.TempDir(), "a.piece")
		require.NoError(t, os.WriteFile(path, whole, 0o666))
		m, err := readPiece(path, told)
		require.NoError(t, err)
		built, gathered := &build{report: &report{}, files: &outputs{}}, &build{report: &report{}, files: &outputs{}}
		built.fail(&parts.Piece{Name: "a"}, why)
		gathered.fail(&parts.Piece{Name: "a"}, m.err)
		require.Equal(t, built.report, gathered.report)
	}
}

func TestPieceIsOfOneBase(t *testing.T) {
	dir := testScene(t, "court.toml")
	for _, args := range [][]string{{}, {"--base", "walker", "--variant", "all"}, {"--base", "scout"}, {"--base", "walker", "--base", "hollow"}} {
		r := runIn(t, dir, append([]string{"build", "court.toml", "--piece", "x.piece"}, args...)...)
		require.Equal(t, exitFaulty, r.code)
		require.Contains(t, r.err, "--piece is of one base")
		require.NoFileExists(t, filepath.Join(dir, "x.piece"))
	}
}

// Any change of a piece file shows.
func TestDamagedPieceIsRefused(t *testing.T) {
	whole, err := packPiece(pieceTold{Piece: "a"}, meshed{err: errCorruptPiece})
	require.NoError(t, err)
	unpack := func(data []byte) error {
		_, _, err := unpackPiece(bytes.NewReader(data), int64(len(data)))
		return err
	}
	require.NoError(t, unpack(whole))
	rapid.Check(t, func(r *rapid.T) {
		bad := bytes.Clone(whole)
		at := rapid.IntRange(0, len(bad)-1).Draw(r, "at")
		bad[at] ^= rapid.ByteRange(1, 255).Draw(r, "bits")
		require.Error(r, unpack(bad))
		require.Error(r, unpack(whole[:at]))
		// whole by its sum, but of any bytes
		any := append([]byte(pieceMagic), rapid.SliceOf(rapid.Byte()).Draw(r, "any")...)
		sum := sha256.Sum256(any)
		_ = unpack(append(any, sum[:]...)) // no panic
	})
}

// A shell gives back the word that was quoted, whatever is in it.
func TestShellReadsQuotedWords(t *testing.T) {
	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("there is no POSIX shell")
	}
	words := []string{"", "plain", "two words", "it's", `a"b`, "$HOME", "`id`", `back\slash`, "*", "~", "-n", "a;b", "a&b", "#x", "é", "stair.x=[1, 2]", "!!"}
	for _, w := range words {
		got, err := command(t, sh, "-c", "printf %s "+shellQuoted("x"+w)+shellQuoted(w)).Output()
		require.NoError(t, err)
		require.Equal(t, "x"+w+w, string(got))
	}
}
