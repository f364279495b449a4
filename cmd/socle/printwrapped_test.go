package main

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestPrintWrapped: all words in their order, no line wider than asked but where
// one word is, the first behind its lead and the others indented.
func TestPrintWrapped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOf(rapid.StringMatching(`[a-zäö(,.)]{1,12}`)).Draw(t, "words")
		lead := rapid.SampledFrom([]string{"", "      ", "\nnote  ", "      To change: "}).Draw(t, "lead")
		width := rapid.IntRange(20, 96).Draw(t, "width")
		var text strings.Builder
		printWrapped(&text, lead, strings.Join(words, " "), width)
		require.True(t, strings.HasSuffix(text.String(), "\n"))
		body, ok := strings.CutPrefix(text.String(), lead)
		require.True(t, ok)
		require.Equal(t, words, append([]string{}, strings.Fields(body)...))
		for i, line := range strings.Split(strings.TrimSpace(text.String()), "\n") {
			if i > 0 {
				require.True(t, strings.HasPrefix(line, "        "), "%q", line)
			}
			if len(strings.Fields(line)) > 1 && !strings.Contains(line, "To change") {
				require.LessOrEqual(t, utf8.RuneCountInString(line), width, "%q", line)
			}
		}
	})
}
