package parts

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestReferencesAreFound: wherever the Go code of the repository cites references.md, in
// a comment or a text, it names sections, and each is a heading of that page.
func TestReferencesAreFound(t *testing.T) {
	page, err := os.ReadFile("references.md")
	require.NoError(t, err)
	headings := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^## (\d+)\. \S`).FindAllStringSubmatch(string(page), -1) {
		require.False(t, headings[m[1]], "section %s is there twice", m[1])
		headings[m[1]] = true
	}

	const name = "references" + ".md"
	cited := 0
	err = filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || d.Name() == "build" || d.Name() == ".git") {
			return filepath.SkipDir
		}
		if d.IsDir() || filepath.Ext(path) != ".go" || d.Name() == "references_test.go" {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil || !strings.Contains(string(text), name) {
			return err
		}
		for place, words := range wordsOf(t, path, text) {
			for _, after := range strings.Split(words, name)[1:] {
				sections, ok := citedSections(after)
				require.True(t, ok, "%s: %q names no section", place, name+after)
				for _, s := range sections {
					require.True(t, headings[s], "%s cites section %s of %s, which is not there", place, s, name)
					cited++
				}
			}
		}
		return nil
	})
	require.NoError(t, err)
	require.Positive(t, cited)
}

// citedSections reads the sections that follow the name of the page: " section 1",
// ", sections 5, 7 and 11".
func citedSections(after string) (sections []string, ok bool) {
	m := regexp.MustCompile(`^,? sections? (\d+(?:(?:, | and |, and )\d+)*)`).FindStringSubmatch(after)
	if m == nil {
		return nil, false
	}
	return regexp.MustCompile(`\d+`).FindAllString(m[1], -1), true
}

// wordsOf gives the comments and the string literals of a Go file by their places, with
// each run of spaces and line ends as one space.
func wordsOf(t *testing.T, path string, text []byte) map[string]string {
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, path, text, parser.ParseComments|parser.SkipObjectResolution)
	require.NoError(t, err)
	words := map[string]string{}
	add := func(at token.Pos, s string) {
		words[files.Position(at).String()] = strings.Join(strings.Fields(s), " ")
	}
	for _, c := range file.Comments {
		add(c.Pos(), c.Text())
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			add(lit.Pos(), lit.Value)
		}
		return true
	})
	return words
}

func TestCitedSections(t *testing.T) {
	for after, want := range map[string][]string{
		" section 1, in full size": {"1"}, ", section 9)": {"9"}, " sections 5 and 9 give": {"5", "9"},
		", sections 5, 7 and 11.": {"5", "7", "11"}, "'s rows of layers": nil, ", the rows": nil, "": nil, " section": nil,
	} {
		got, ok := citedSections(after)
		require.Equal(t, want, got, after)
		require.Equal(t, want != nil, ok, after)
	}
}
