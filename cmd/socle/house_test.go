package main

import (
	"fmt"
	"go/scanner"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
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
	{"sdf/mesh", "sdf sdf/workers sdf/quadric"},

	{"out/plainfile", ""},
	{"out/store", "out/plainfile"},
	{"out", "out/plainfile"},
	{"out/inspect/*", "sdf/workers sdf/polygon"},
	{"out/inspect", "out/inspect/* sdf/workers sdf/polygon"},
	{"out/decimate", "sdf/quadric"},
	{"out/picture", "sdf/workers"},
	{"out/plan", "sdf/polygon"},
	{"out/page", "out/decimate out/picture"},

	{"parts/outline", "sdf/polygon"},
	{"parts", "parts/outline sdf sdf/workers sdf/polygon"},
	{"parts/base", "parts parts/outline sdf sdf/workers sdf/polygon"},
	{"parts/place", "parts parts/base parts/outline sdf sdf/workers sdf/polygon"},
	{"parts/*", "parts parts/outline sdf sdf/workers sdf/polygon"}, // a family each
	{"parts/all", "parts parts/base parts/*"},

	{"scenes/revision", "out/plainfile"},
	{"scenes", "parts parts/all parts/base parts/place"},
	{"scenes/theme", "scenes parts parts/all parts/base parts/place sdf/polygon"},

	{"cmd/set/...", "above"},
	{"cmd/socle", "above"},
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

// mostColumns is the longest that a line of Go may be, a tab as four columns. Texts in
// quotes are not counted, nor are the tags of structs: they are not broken well.
const mostColumns = 160

// goFiles are the Go files of the repository, by their paths from here.
func goFiles(t *testing.T) (files []string) {
	require.NoError(t, filepath.WalkDir(filepath.Join("..", ".."), func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && slices.Contains([]string{".git", "node_modules", "build", "bin"}, d.Name()):
			return filepath.SkipDir
		case filepath.Ext(path) == ".go":
			files = append(files, path)
		}
		return nil
	}))
	return files
}

func TestLinesAreNotTooLong(t *testing.T) {
	files := goFiles(t)
	require.Greater(t, len(files), 100)
	for _, path := range files {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, at := range tooLong(text) {
			t.Errorf("%s:%d: more than %d columns without its texts", path, at, mostColumns)
		}
	}
	for text, want := range map[string][]int{
		"package a\n\n// " + strings.Repeat("x", 156) + "x\n":                    nil,
		"package a\n\n// " + strings.Repeat("x", 156) + "xx\n":                   {3},
		"package a\n\nvar a = \"" + strings.Repeat("x", 200) + "\"\n":            nil,
		"package a\n\nvar a = `\n" + strings.Repeat("x", 200) + "\n` + a[0:1]\n": nil,
		"package a\n\nfunc b() {\n" + strings.Repeat("\t", 39) + "b(1)\n}\n":     nil,
		"package a\n\nfunc b() {\n" + strings.Repeat("\t", 40) + "b(1)\n}\n":     {4},
	} {
		require.Equal(t, want, tooLong([]byte(text)), fmt.Sprintf("%q", text))
	}
}

// tooLong lists the lines of a Go file that are too long.
func tooLong(text []byte) (lines []int) {
	set := token.NewFileSet()
	file := set.AddFile("", -1, len(text))
	var s scanner.Scanner
	s.Init(file, text, nil, 0)
	quoted := map[int]int{} // columns, by line
	for {
		at, kind, literal := s.Scan()
		if kind == token.EOF {
			break
		}
		if kind == token.STRING {
			for i, part := range strings.Split(literal, "\n") {
				quoted[file.Line(at)+i] += columns(part)
			}
		}
	}
	for i, line := range strings.Split(string(text), "\n") {
		if columns(line)-quoted[i+1] > mostColumns {
			lines = append(lines, i+1)
		}
	}
	return lines
}

// columns is how wide a text is, a tab as four columns.
func columns(text string) int {
	return len([]rune(text)) + 3*strings.Count(text, "\t")
}
