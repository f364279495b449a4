package words

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Plain is a text as it may go to a terminal, whoever wrote it: control characters but
// for ends of lines and tabs, those that turn the direction of writing, and what is no
// text at all stand as escapes.
func Plain(text string) string {
	return escaped(text, func(r rune) bool { return r == '\n' || r == '\t' })
}

// PlainLine is shown for what stands within a line.
func PlainLine(text string) string { return escaped(text, func(rune) bool { return false }) }

func escaped(text string, but func(rune) bool) string {
	var to strings.Builder
	for rest := text; rest != ""; {
		r, n := utf8.DecodeRuneInString(rest)
		if r == utf8.RuneError && n == 1 || unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) && !but(r) {
			quoted := strconv.QuoteToASCII(rest[:n])
			to.WriteString(quoted[1 : len(quoted)-1])
		} else {
			to.WriteString(rest[:n])
		}
		rest = rest[n:]
	}
	return to.String()
}
