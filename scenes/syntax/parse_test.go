package syntax

import (
	_ "embed"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/require"
)

// requirePlaces checks a tree against its text: the text at the place of every
// scalar reads back as that scalar, and the text at every key as that key. It
// gives the number of places checked.
func requirePlaces(t *testing.T, n *Node) int {
	t.Helper()
	checked := 0
	at := func(s Span) string {
		require.NotNil(t, s.Src)
		require.LessOrEqual(t, s.Start, s.End)
		return s.Src.Text[s.Start:s.End]
	}
	switch n.Shape {
	case Scalar:
		if day, ok := n.Scalar.(date); ok {
			require.Equal(t, string(day), at(n.At))
			return 1
		}
		var back map[string]any
		err := toml.Unmarshal([]byte("v = "+at(n.At)), &back)
		require.NoError(t, err, "at %v", n.At.Fault("here"))
		require.Equal(t, n.Scalar, back["v"])
		return 1
	case List:
		if text := at(n.At); !n.Tables {
			require.True(t, strings.HasPrefix(text, "[") && strings.HasSuffix(text, "]"), "list at %q", text)
		}
		for _, item := range n.Items {
			checked += requirePlaces(t, item)
		}
	case Table:
		for _, word := range n.Words {
			field := n.Fields[word]
			key := at(field.Key)
			if key != word {
				var back map[string]any
				err := toml.Unmarshal([]byte(key+" = 1"), &back)
				require.NoError(t, err)
				require.Contains(t, back, word)
			}
			checked += 1 + requirePlaces(t, field)
		}
	}
	return checked
}

//go:embed testdata/every-form.toml
var everyForm string

func TestPlacesOfEveryForm(t *testing.T) {
	for name, text := range map[string]string{"unix": everyForm, "windows": strings.ReplaceAll(everyForm, "\n", "\r\n")} {
		t.Run(name, func(t *testing.T) {
			root, err := parse(NewSource("every", text, 0), text, 0)
			require.NoError(t, err)
			require.Equal(t, 79, requirePlaces(t, root))
		})
	}
}

func TestPlacesByName(t *testing.T) {
	root, err := parse(NewSource("every", everyForm, 0), everyForm, 0)
	require.NoError(t, err)
	for _, c := range []struct {
		path         string
		line, column int
		length       int
	}{
		{"title", 2, 9, 5},
		{"dotted.key.down", 5, 19, 1},
		{"plain.list[1]", 17, 3, 1},
		{"plain.list[2]", 18, 2, 50},
		{"plain.list[2][1][1]", 18, 10, 8},
		{"plain.list[2][2].six[1].eight", 18, 43, 3},
		{"plain.inline.b.c", 21, 25, 1},
		{"plain.inline.d.e[0].f", 21, 46, 3},
		{"plain.several.more", 24, 10, 1},
		{"part[0].sub.y", 31, 5, 1},
		{"part[0].item[1]", 34, 8, 4},
		{"part[0].item[1].deep.w", 37, 5, 1},
		{"part[1].x", 39, 5, 1},
		{"a.b.c.d", 41, 5, 1},
		{"a", 42, 2, 1},
	} {
		n := root
		for word := range strings.SplitSeq(c.path, ".") {
			bare, indexes, _ := strings.Cut(word, "[")
			n = n.Fields[bare]
			require.NotNil(t, n, c.path)
			for i := range strings.SplitSeq(strings.TrimSuffix(indexes, "]"), "][") {
				if i != "" {
					n = n.Items[i[0]-'0']
				}
			}
		}
		f := n.At.Fault("here")
		require.Equal(t, []int{c.line, c.column, c.length}, []int{f.Line, f.Column, f.Length}, c.path)
	}
}

func TestPlacesOfShippedScenes(t *testing.T) {
	files, err := filepath.Glob("../*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		root, err := parse(NewSource(name, string(text), 0), string(text), 0)
		require.NoError(t, err, name)
		require.Greater(t, requirePlaces(t, root), 8, name)
	}
}
