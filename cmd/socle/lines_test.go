package main

import (
	"go/scanner"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

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
		require.Equal(t, want, tooLong([]byte(text)), "%q", text)
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
