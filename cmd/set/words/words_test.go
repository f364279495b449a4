package words

import (
	"os/exec"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestPlaced(t *testing.T) {
	require.Equal(t, "(0.0, 0.0, 3.1)", Place([3]float64{-0.04, 0.04, 3.14}))
	require.Equal(t, "(-0.1, -12.5, 0.0)", Place([3]float64{-0.06, -12.5, 0}))
}

// What is shown of a text is the text where that is plain, and else says what it is.
func TestShownIsPlain(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(r, "text")
		got := PlainLine(text)
		require.True(r, utf8.ValidString(got))
		require.False(r, strings.ContainsFunc(got, func(c rune) bool {
			return unicode.In(c, unicode.C, unicode.Zl, unicode.Zp) && !unicode.In(c, unicode.Co, unicode.Cn)
		}))
		if utf8.ValidString(text) && !strings.ContainsFunc(text, func(c rune) bool { return unicode.In(c, unicode.C, unicode.Zl, unicode.Zp) }) {
			require.Equal(r, text, got)
		}
	})
	require.Equal(t, "it's é\n\t\\x1b[31m", Plain("it's é\n\t\x1b[31m"))
}

// A shell gives back the word that was quoted, whatever is in it.
func TestShellReadsQuotedWords(t *testing.T) {
	sh, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("there is no POSIX shell")
	}
	words := []string{"", "plain", "two words", "it's", `a"b`, "$HOME", "`id`", `back\slash`, "*", "~", "-n", "a;b", "a&b", "#x", "é", "stair.x=[1, 2]", "!!"}
	for _, w := range words {
		got, err := exec.CommandContext(t.Context(), sh, "-c", "printf %s "+ShellQuoted("x"+w)+ShellQuoted(w)).Output()
		require.NoError(t, err)
		require.Equal(t, "x"+w+w, string(got))
	}
}
