package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// house is who may import whom, the lowest first: a row may import rows above it, and no
// other package of socle. "parts/*" is any package right below parts that has no row of
// its own, "cmd/set/..." is cmd/set and all below it; "above" is every row above.
var house = []struct{ who, mayImport string }{
	{"sdf/workers", ""},
	{"sdf/polygon", ""},
	{"sdf/quadric", ""},
	{"sdf", "sdf/workers"},
	{"sdf/convex", "sdf"},
	{"sdf/relief", "sdf"},
	{"sdf/sdftest", "sdf"}, // for tests
	{"sdf/mesh", "sdf sdf/workers sdf/quadric"},
	{"sdf/sight", "sdf sdf/workers sdf/quadric"},

	{"out/plainfile", ""},
	{"out/store", "out/plainfile"},
	{"out", "out/plainfile"},
	{"out/inspect/tree", ""},
	{"out/inspect/raster", "out/inspect/tree sdf/workers"},
	{"out/inspect/solids", "out/inspect/tree out/inspect/raster sdf/workers"}, // for tests
	{"out/inspect/chords", "out/inspect/tree sdf/workers"},
	{"out/inspect/hanging", "out/inspect/tree out/inspect/raster sdf/workers"},
	{"out/inspect", "out/inspect/tree out/inspect/raster out/inspect/chords out/inspect/hanging sdf/workers"},
	{"out/decimate", "sdf/quadric"},
	{"out/picture", "sdf/workers"},
	{"out/plan", "sdf/polygon"},
	{"out/page", "out/decimate out/picture"},
	{"out/catalogue", "out/page"},

	{"parts/planar", "sdf sdf/polygon"},
	{"parts", "parts/planar sdf"},
	{"parts/surface", "parts parts/planar sdf sdf/relief"},
	{"parts/base", "parts parts/planar parts/surface sdf sdf/relief"},
	{"parts/assembly", "parts parts/base parts/planar sdf sdf/workers"},
	{"parts/partstest", "parts parts/planar sdf sdf/sdftest"}, // for tests, as those below it
	{"parts/partstest/built", "parts parts/assembly parts/partstest sdf"},
	{"parts/partstest/printed", "sdf sdf/mesh out/inspect out/inspect/raster"},
	{"parts/fracture", "parts parts/planar sdf sdf/convex sdf/workers"},
	{"parts/setout", "parts parts/planar parts/fracture sdf"},
	{"parts/course", "parts parts/planar sdf"},
	{"parts/*", "parts parts/planar parts/surface parts/fracture parts/setout parts/course sdf sdf/convex sdf/relief"}, // a family each
	{"parts/partstest/fixtures", "parts parts/base parts/* parts/partstest"},
	{"parts/partstest/trial", "parts parts/planar sdf"},
	{"parts/all", "parts/base parts/*"},

	{"scenes/revision", "out/plainfile"},
	{"scenes/syntax", ""},
	{"scenes", "scenes/syntax parts parts/all parts/assembly"},
	{"scenes/scenestest", "scenes parts"}, // for tests
	{"scenes/theme", "scenes parts parts/base parts/* parts/planar sdf/polygon"},

	{"cmd/set/words", ""},
	{"cmd/set/cache", "above"},
	{"cmd/set", "above"},
	{"cmd/set/output", "out out/plainfile cmd/set"},
	{"cmd/set/finding", "parts sdf cmd/set/words"},
	{"cmd/set/inspection", "above"},
	{"cmd/set/look", "above"},
	{"cmd/set/piece", "above"},
	{"cmd/set/report", "above"},
	{"cmd/set/advice", "above"},
	{"cmd/set/build", "above"},
	{"cmd/set/*", "above"}, // several sets: compare, vary, jobs
	{"cmd/socle", "above"},
	{"cmd/internal/gotest", ""}, // runs the tests
}

// covers says whether a row is about a package.
func covers(row, pkg string) bool {
	if below, ok := strings.CutSuffix(row, "/..."); ok {
		return pkg == below || strings.HasPrefix(pkg, below+"/")
	}
	if above, ok := strings.CutSuffix(row, "/*"); ok {
		name, ok := strings.CutPrefix(pkg, above+"/")
		return ok && !strings.Contains(name, "/")
	}
	return row == pkg
}

// rowOf gives the row of a package: the one of its own, or else the first about it; -1
// for none.
func rowOf(pkg string) int {
	if i := slices.IndexFunc(house[:], func(r struct{ who, mayImport string }) bool { return r.who == pkg }); i >= 0 {
		return i
	}
	return slices.IndexFunc(house[:], func(r struct{ who, mayImport string }) bool { return covers(r.who, pkg) })
}

// misplaced lists what packages import against the house; imports are those within
// socle, by package.
func misplaced(imports map[string][]string) (faults []string) {
	for pkg, all := range imports {
		i := rowOf(pkg)
		if i < 0 {
			faults = append(faults, pkg+" stands in no row of the house")
			continue
		}
		row := house[i]
		for _, other := range all {
			k := rowOf(other)
			switch {
			case k >= 0 && k < i && (row.mayImport == "above" || slices.Contains(strings.Fields(row.mayImport), house[k].who)):
			case k == i && strings.HasSuffix(row.who, "/..."):
			default:
				faults = append(faults, pkg+" imports "+other)
			}
		}
	}
	slices.Sort(faults)
	return faults
}

// Imports run down the house, never up or across. Tests may import more.
func TestHouseOfPackages(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "socle/...").Output()
	require.NoError(t, err)
	imports := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		pkg := strings.TrimPrefix(words[0], "socle/")
		imports[pkg] = nil
		for _, other := range words[1:] {
			if other, ok := strings.CutPrefix(other, "socle/"); ok {
				imports[pkg] = append(imports[pkg], other)
			}
		}
	}
	require.Greater(t, len(imports), 10)
	require.Empty(t, misplaced(imports))

	for i, row := range house {
		for _, other := range strings.Fields(row.mayImport) {
			above := slices.ContainsFunc(house[:i], func(r struct{ who, mayImport string }) bool { return r.who == other })
			require.True(t, above || other == "above", "%s may import %s, which does not stand above it", row.who, other)
		}
	}
	require.Equal(t, []string{
		"out/page imports parts",
		"parts/stair imports parts/rail",
		"scenes imports cmd/set",
		"util stands in no row of the house",
	}, misplaced(map[string][]string{
		"util": nil, "scenes": {"parts", "cmd/set"}, "out/page": {"parts", "out/picture"},
		"parts/stair": {"parts", "sdf", "parts/rail"}, "parts/all": {"parts/stair"}, "cmd/set/keep": {"cmd/set", "scenes"},
	}))
}
