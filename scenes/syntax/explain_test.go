package syntax

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestExplanations: what is not TOML is explained where it goes wrong.
func TestExplanations(t *testing.T) {
	for _, c := range []struct {
		text         string
		line, column int
		words        string
	}{
		{"x = [1, 2", 1, 10, "a list is not closed before this"},
		{"x = [1,\n  2\ny = 3", 3, 1, "a list is not closed before this"},
		{"x = { a = 1, b = 2", 1, 19, "a table in braces is not closed before this"},
		{"x = { a = 1 b = 2 }", 1, 13, "a table in braces is not closed before this"},
		{"x = { a }", 1, 9, "no = between a key and its value"},
		{"x = \"\"\"\ntwo\nlines", 3, 6, "a text in three quotes is not closed"},
		{"x = 'one", 1, 9, "a quote is not closed on its line"},
		{`x = "\u12G4"`, 1, 10, `a backslash in "..." starts an escape`},
		{"x = 1\r\ry = 2", 1, 6, "a control character, which a scene may not have"},
		{"[]", 1, 2, "a header without a name"},
		{"[a b]", 1, 4, "a header is not closed"},
		{"[a] x = 1", 1, 5, "more on the line than a header"},
		{"[[a]\nx = 1", 1, 4, "a header that opens with [[ closes with ]]"},
		{"= 3", 1, 1, "no key before the ="},
		{"gr\u00f6\u00dfe = 3", 1, 3, `no key has a "` + "\u00f6" + `" in it`},
		{"x", 1, 2, "no = between a key and its value"},
		{"x =", 1, 4, "no value behind the ="},
		{"x = [1, , 2]", 1, 9, "this is not a value"},
		{"x = 1.", 1, 5, "this is not a value"},
		{"x = [1, -007]", 1, 9, "a number starts with a zero"},
		{"x = 1__0", 1, 5, "this is not a value"},
		{"x = 0x8000000000000000", 1, 5, "this number is too large"},
		{"x = 1, 2", 1, 6, "a value ends before the comma"},
		{"# one\nx = 1 2", 2, 7, "more on the line than one key and its value"},
		{"x = { a = 1, a = 2 }", 1, 14, `"a" is given twice`},
		{"a.b = 1\n[a]", 2, 2, `"a" is given twice`},
		{"[a.b]\n[a]\nb.c = 1", 3, 1, `"b" is given twice`},
		{"a = [{}]\n[[a]]", 2, 3, `"a" is given twice`},
		{"[[a]]\n[a.b]\n[[a]]\n[a.b]\n[a.b]", 5, 4, `"b" is given twice`},
	} {
		_, err := parse(NewSource("text", c.text, 0), c.text, 0)
		var f syntaxFault
		require.ErrorAs(t, err, &f, c.text)
		require.Equal(t, []any{c.line, c.column, c.words}, []any{f.Line, f.Column, f.Text}, "%s\n%v", c.text, f)
	}
}
