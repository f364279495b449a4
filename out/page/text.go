package page

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// printable gives a text without what has no place on a page: what is no UTF-8,
// control characters and those that turn the direction of what follows become the
// replacement character, so that it shows that something was there. Line ends and
// tabs stay.
func printable(s string) string {
	s = strings.ReplaceAll(s, "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return r
		case unicode.IsControl(r), unicode.Is(unicode.Cs, r), turnsText(r), isNoncharacter(r):
			return utf8.RuneError
		}
		return r
	}, s)
}

// turnsText tells of the explicit directional characters of the Unicode
// Bidirectional Algorithm (UAX 9, section 2): one left open would turn the rest of
// a line around.
func turnsText(r rune) bool {
	return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// isNoncharacter tells of the code points that are never a character (The Unicode
// Standard, 23.7), which HTML forbids too.
func isNoncharacter(r rune) bool {
	return r >= 0xfdd0 && r <= 0xfdef || r&0xfffe == 0xfffe
}

// orElse gives the text, made printable, or another where nothing of it would be seen.
func orElse(s, other string) string {
	s = strings.TrimSpace(printable(s))
	if s == "" {
		return other
	}
	return s
}
