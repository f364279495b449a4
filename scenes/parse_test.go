package scenes

import (
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/require"
)

// requirePlaces checks a tree against its text: the text at the place of every
// scalar reads back as that scalar, and the text at every key as that key. It
// gives the number of places checked.
func requirePlaces(t *testing.T, n *node) int {
	t.Helper()
	checked := 0
	at := func(s span) string {
		require.NotNil(t, s.src)
		require.LessOrEqual(t, s.start, s.end)
		return s.src.text[s.start:s.end]
	}
	switch n.shape {
	case scalar:
		if day, ok := n.scalar.(date); ok {
			require.Equal(t, string(day), at(n.at))
			return 1
		}
		var back map[string]any
		err := toml.Unmarshal([]byte("v = "+at(n.at)), &back)
		require.NoError(t, err, "at %v", n.at.fault("here"))
		require.Equal(t, n.scalar, back["v"])
		return 1
	case list:
		if text := at(n.at); !n.tables {
			require.True(t, strings.HasPrefix(text, "[") && strings.HasSuffix(text, "]"), "list at %q", text)
		}
		for _, item := range n.items {
			checked += requirePlaces(t, item)
		}
	case table:
		for _, word := range n.words {
			field := n.fields[word]
			key := at(field.key)
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

const everyForm = `# every way that TOML has of writing a key
title = "one"
'quoted key' = 1
"esc\u0061ped" = 2
dotted.key.down = 3
dotted . "other" = 4
empty = []
nothing = {}
[plain]
text = 'single'
long = """
two
lines"""
longer = '''
'' two '''
list = [ 1, # comment, with ] and , in it
  2,
	[3, [4, "five ]"], { six = [7, { eight = 8.5 }] }],
  true, 0x1F, 1e3, inf,
]
inline = { a = 1, b.c = 2, d = { e = [ { f = "g" } ] }, "h i" = 'j' }
several = {
  lines = 1, # allowed since TOML 1.1
  more = 2,
}
date = 1979-05-27T07:32:00Z
day = 1979-05-27
[[part]]
x = 1
[part.sub]
y = 2
[[part.item]]
z = 3
[[part.item]]
z = 4
[part.item.deep]
w = 5
[[part]]
x = 6
[a.b.c]
d = 7
[a]
e = 8
`

func TestPlacesOfEveryForm(t *testing.T) {
	for name, text := range map[string]string{"unix": everyForm, "windows": strings.ReplaceAll(everyForm, "\n", "\r\n")} {
		t.Run(name, func(t *testing.T) {
			root, err := parse(newSource("every", text, 0), text, 0)
			require.NoError(t, err)
			require.Equal(t, 79, requirePlaces(t, root))
		})
	}
}

func TestPlacesByName(t *testing.T) {
	root, err := parse(newSource("every", everyForm, 0), everyForm, 0)
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
			n = n.fields[bare]
			require.NotNil(t, n, c.path)
			for i := range strings.SplitSeq(strings.TrimSuffix(indexes, "]"), "][") {
				if i != "" {
					n = n.items[i[0]-'0']
				}
			}
		}
		f := n.at.fault("here")
		require.Equal(t, []int{c.line, c.column, c.length}, []int{f.Line, f.Column, f.Length}, c.path)
	}
}

func TestPlacesOfShippedScenes(t *testing.T) {
	for _, name := range append(Shipped(), "starter") {
		text, err := files.ReadFile(name + ".toml")
		require.NoError(t, err)
		root, err := parse(newSource(name, string(text), 0), string(text), 0)
		require.NoError(t, err, name)
		require.Greater(t, requirePlaces(t, root), 8, name)
	}
}
