package main

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/report"
)

// placedBox is an object of a 3MF file as it lies: the box of its vertices after the
// transform of its item.
type placedBox struct {
	name   string
	lo, hi [3]float64
}

// placedIn reads the objects of a 3MF file.
func placedIn(t *testing.T, file string) (all []placedBox) {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	z, err := zip.NewReader(bytes.NewReader(text), int64(len(text)))
	require.NoError(t, err)
	r, err := z.Open("3D/3dmodel.model")
	require.NoError(t, err)
	var model struct {
		Objects []struct {
			Name     string `xml:"name,attr"`
			Vertices []struct {
				X float64 `xml:"x,attr"`
				Y float64 `xml:"y,attr"`
				Z float64 `xml:"z,attr"`
			} `xml:"mesh>vertices>vertex"`
		} `xml:"resources>object"`
		Items []struct {
			Transform string `xml:"transform,attr"`
		} `xml:"build>item"`
	}
	part, err := io.ReadAll(r)
	require.NoError(t, err)
	require.NoError(t, xml.Unmarshal(part, &model))
	require.Len(t, model.Items, len(model.Objects))
	for i, o := range model.Objects {
		var m [12]float64
		for k, f := range strings.Fields(model.Items[i].Transform) {
			m[k], err = strconv.ParseFloat(f, 64)
			require.NoError(t, err)
		}
		p := placedBox{o.Name, [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}}
		for _, v := range o.Vertices {
			for k := range 3 {
				q := v.X*m[k] + v.Y*m[3+k] + v.Z*m[6+k] + m[9+k]
				p.lo[k], p.hi[k] = min(p.lo[k], q), max(p.hi[k], q)
			}
		}
		all = append(all, p)
	}
	return all
}

// A set that takes several plates is a file for each: every base is on one of them, by
// its own vertices within the plate, clear of its sides and of the others by the margin.
// What is gathered is the same, byte for byte.
func TestASetOnSeveralPlates(t *testing.T) {
	dir := testScene(t, "plates.toml")
	how := []string{"plates.toml", "--cell", "1", "--format", "stl,3mf,json"}
	built := runIn(t, dir, append([]string{"build", "--to", "made", "--json"}, how...)...)
	require.Equal(t, exitDone, built.code, built.err)
	var doc report.Report
	strictly(t, built.out, built.err, &doc)
	require.Nil(t, doc.Set)
	require.Len(t, doc.Bases, 11)
	require.Len(t, doc.Sets, len(doc.Printing.Plates))
	require.Greater(t, len(doc.Sets), 2)
	seen := map[string]int{}
	for i, set := range doc.Sets {
		require.Equal(t, "made/plates-plate-"+strconv.Itoa(i+1)+".3mf", set.Path)
		require.Equal(t, doc.Printing.Plates[i], set.Bases)
		requireFile(t, dir, set.File)
		placed := placedIn(t, filepath.Join(dir, set.Path))
		var names []string
		for k, p := range placed {
			names = append(names, p.name)
			seen[p.name]++
			margin := report.BetweenBases
			if p.name == "bar" { // across the plate, with what is left
				require.Len(t, placed, 1)
				require.Less(t, p.hi[0]-p.lo[0], 94.0)
				margin = 0
			}
			require.GreaterOrEqual(t, min(p.lo[0], p.lo[1], 90-p.hi[0], 60-p.hi[1]), margin-1e-3, p.name)
			require.InDelta(t, 0, p.lo[2], 1e-6)
			for _, o := range placed[:k] {
				clear := max(p.lo[0]-o.hi[0], o.lo[0]-p.hi[0], p.lo[1]-o.hi[1], o.lo[1]-p.hi[1])
				require.GreaterOrEqual(t, clear, report.BetweenBases-1e-3, "%s and %s", p.name, o.name)
			}
		}
		require.Equal(t, set.Bases, names)
	}
	for _, b := range doc.Bases {
		require.Equal(t, 1, seen[b.Name], b.Name)
	}
	require.NoFileExists(t, filepath.Join(dir, "made", "plates.3mf"))

	t.Run("reference", func(t *testing.T) {
		cmd := command(t, "node", referenceScript(t))
		cmd.Stdin = strings.NewReader(built.out)
		checked := runCmd(t, cmd, dir)
		require.Zero(t, checked.code, checked.out+checked.err)
		require.Equal(t, 2*len(doc.Bases), strings.Count(checked.out, "ok "), checked.out)
	})
	t.Run("gather", func(t *testing.T) {
		sh, err := exec.LookPath("sh")
		if err != nil {
			t.Skip("there is no POSIX shell")
		}
		listed := runIn(t, dir, append([]string{"jobs", "--command", socle, "--to", "jobs"}, how...)...)
		require.Equal(t, exitDone, listed.code, listed.err)
		r := runCmd(t, command(t, sh, "-c", listed.out), dir)
		require.Equal(t, exitDone, r.code, r.err)
		r = runIn(t, dir, "gather", "jobs", "--to", "gathered")
		require.Equal(t, exitDone, r.code, r.err)
		sameFiles(t, filepath.Join(dir, "made"), filepath.Join(dir, "gathered"))
	})

	// On one plate it is one file of the old name, laid out within the plate.
	one := runIn(t, dir, append([]string{"build", "--to", "one", "--base", "trooper"}, how...)...)
	require.Equal(t, exitDone, one.code, one.err)
	require.Contains(t, filesIn(t, filepath.Join(dir, "one")), "plates.3mf")
	for _, p := range placedIn(t, filepath.Join(dir, "one", "plates.3mf")) {
		require.GreaterOrEqual(t, min(p.lo[0], p.lo[1], 90-p.hi[0], 60-p.hi[1]), report.BetweenBases-1e-3)
	}
	one = runIn(t, dir, append([]string{"build", "--to", "one"}, how...)...)
	require.Contains(t, one.out, "plates.3mf is from an earlier build")
	again := runIn(t, dir, append([]string{"build", "--to", "made"}, how...)...)
	require.NotContains(t, again.out, "earlier build")
	require.Contains(t, again.out, "nothing has changed")
}

// A base that the printer cannot hold is told before anything is meshed, by every
// command that would go on with it; a fine build and its jobs end there.
func TestTooLargeIsToldBeforeWork(t *testing.T) {
	dir := testScene(t, "plates.toml")
	large := []string{"plates.toml", "--set", "base.crew.hexagon=61"}
	const found = "stop  plate: crew"
	r := runIn(t, dir, append([]string{"plan", "--to", "made"}, large...)...)
	require.Equal(t, exitDone, r.code, r.err)
	require.Contains(t, r.err, found)
	require.Contains(t, r.err, "1.0 mm over in plan")
	for _, verb := range []string{"build", "jobs"} {
		r = runIn(t, dir, append([]string{verb, "--to", "none"}, large...)...)
		require.Equal(t, exitNotProven, r.code, r.err)
		require.Contains(t, r.err, `--set:1:19: hexagon of base "crew": "crew" is 1.0 mm over in plan`)
		require.NotContains(t, r.err, "proven (")
		require.NoDirExists(t, filepath.Join(dir, "none"))
	}
	for _, args := range [][]string{
		{"check", "--cell", "1", "--base", "crew"},
		{"build", "--cell", "1", "--base", "crew", "--to", "draft"},
	} {
		r = runIn(t, dir, append(args, large...)...)
		told, done := strings.Index(r.err, found), strings.Index(r.err, "crew: proven")
		require.True(t, told >= 0 && told < done, r.err)
	}
	r = runIn(t, dir, append([]string{"plan", "--to", "made", "--set", "inspect.severity.plate=note"}, large...)...)
	require.Contains(t, r.err, "note  plate: crew")
	r = runIn(t, dir, "plan", "--to", "made", "plates.toml")
	require.Empty(t, r.err)
}
