package out

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// referenceReady says whether the independent reader can be run. It never lets
// the check go by in CI: there a missing reader is a failure.
func referenceReady(t *testing.T) {
	if _, err := os.Stat("reference/node_modules/manifold-3d"); err == nil {
		return
	}
	const cure = "the reference library is not installed: run `make reference`"
	if os.Getenv("CI") != "" {
		t.Fatal(cure)
	}
	t.Skip(cure)
}

// referenceCheck runs the reader over a document of the shape that a build
// prints, from the folder dir.
func referenceCheck(t *testing.T, dir string, doc any) (string, error) {
	text, err := json.Marshal(doc)
	require.NoError(t, err)
	script, err := filepath.Abs("reference/check.mjs")
	require.NoError(t, err)
	cmd := exec.Command("node", script)
	cmd.Dir = dir
	cmd.Stdin = bytes.NewReader(text)
	report, err := cmd.CombinedOutput()
	t.Logf("%s", report)
	return string(report), err
}

type saidBase struct {
	Name      string  `json:"name"`
	File      string  `json:"file"`
	Triangles int     `json:"triangles"`
	Vertices  int     `json:"vertices"`
	Volume    float64 `json:"volume_mm3"`
	Genus     int     `json:"genus"`
}

type saidSet struct {
	Bases []saidBase        `json:"bases"`
	Set   map[string]string `json:"set,omitempty"`
}

func said(name string, s shape) saidBase {
	return saidBase{name, name + ".stl", len(s.triangles), len(s.vertices), s.signedVolume(), s.genus}
}

func writeSTL(t *testing.T, dir, name string, s shape) []byte {
	var b bytes.Buffer
	require.NoError(t, WriteSTL(&b, name, s.vertices, s.triangles))
	require.NoError(t, os.WriteFile(filepath.Join(dir, name+".stl"), b.Bytes(), 0o644))
	return b.Bytes()
}

func TestReferenceReadsWhatIsWritten(t *testing.T) {
	referenceReady(t)
	dir := t.TempDir()
	shapes := []shape{cube([3]float32{-3, -2, 0}, [3]float32{5, 7, 4}), tetrahedron(10), torus(200, 100, 20, 6)}
	names := []string{"cube", "tetrahedron & <co>", "torus"}
	doc := saidSet{Set: map[string]string{"file": "set.3mf"}}
	for i, s := range shapes {
		writeSTL(t, dir, names[i], s)
		doc.Bases = append(doc.Bases, said(names[i], s))
	}
	set := writeSet(t, Meta{Title: "A & B", Application: "test"}, names, shapes)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "set.3mf"), set, 0o644))
	report, err := referenceCheck(t, dir, doc)
	require.NoError(t, err)
	require.Contains(t, report, "6 solids read, 0 wrong")
}

// TestReferenceSeesFaults makes sure that the check can fail.
func TestReferenceSeesFaults(t *testing.T) {
	referenceReady(t)
	ring := torus(40, 24, 20, 6)
	for _, c := range []struct {
		name  string
		spoil func(dir string, s *shape, b *saidBase)
		says  string
	}{
		{"hole", func(dir string, s *shape, b *saidBase) {
			s.triangles = s.triangles[1:]
			writeSTL(t, dir, "ring", *s)
			b.Triangles--
		}, "refused by the library"},
		{"flipped", func(dir string, s *shape, b *saidBase) {
			f := s.triangles[7]
			s.triangles[7] = [3]uint32{f[0], f[2], f[1]}
			writeSTL(t, dir, "ring", *s)
		}, "refused by the library"},
		{"volume", func(_ string, _ *shape, b *saidBase) { b.Volume *= 1 + 1e-5 }, "volume is"},
		{"genus", func(_ string, _ *shape, b *saidBase) { b.Genus = 0 }, "genus is 1, said to be 0"},
		{"triangles", func(_ string, _ *shape, b *saidBase) { b.Triangles++ }, "triangles is"},
		{"two pieces", func(dir string, s *shape, b *saidBase) {
			other := cube([3]float32{100, 0, 0}, [3]float32{101, 1, 1})
			for _, f := range other.triangles {
				n := uint32(len(s.vertices))
				s.triangles = append(s.triangles, [3]uint32{f[0] + n, f[1] + n, f[2] + n})
			}
			s.vertices = append(s.vertices, other.vertices...)
			writeSTL(t, dir, "ring", *s)
			*b = said("ring", *s)
		}, "pieces is 2"},
		{"normal", func(dir string, s *shape, _ *saidBase) {
			file := writeSTL(t, dir, "ring", *s)
			binary.LittleEndian.PutUint32(file[84:], math.Float32bits(2))
			require.NoError(t, os.WriteFile(filepath.Join(dir, "ring.stl"), file, 0o644))
		}, "has the normal"},
		{"cut short", func(dir string, s *shape, _ *saidBase) {
			file := writeSTL(t, dir, "ring", *s)
			require.NoError(t, os.WriteFile(filepath.Join(dir, "ring.stl"), file[:len(file)-1], 0o644))
		}, "bytes for"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			s := ring
			s.triangles = append([][3]uint32(nil), ring.triangles...)
			s.vertices = append([][3]float32(nil), ring.vertices...)
			b := said("ring", ring)
			writeSTL(t, dir, "ring", s)
			c.spoil(dir, &s, &b)
			report, err := referenceCheck(t, dir, saidSet{Bases: []saidBase{b}})
			require.Error(t, err)
			require.Contains(t, report, c.says)
		})
	}
}
