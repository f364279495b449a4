package syntax

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// MaxSize is the most bytes of a scene file.
const MaxSize = 4 << 20

// maxSyntax is the most faults of the TOML text that are looked for, and
// mendable the most bytes of a text in which more than the first are.
const (
	maxSyntax = 20
	mendable  = 1 << 18
)

// ParsePartly gives the tree of a text. Where a key and its value are not TOML they
// are left out and the rest is read, so that later faults are found in the same
// run; partial says so. The tree is nil where no sense can be made of the rest.
func ParsePartly(src *Source, faults *Faults) (root *Node, partial bool) {
	if len(src.Text) > MaxSize {
		f := src.Span(0, 0).Fault(fmt.Sprintf("larger than %d MiB: too large to be read", MaxSize>>20))
		faults.Add(f)
		return nil, true
	}
	if at := notText(src.Text); at >= 0 {
		faults.Add(src.Span(at, at+1).Fault("this is not text in UTF-8, as a scene file must be"))
		return nil, true
	}
	text, last := src.Text, 0
	for range maxSyntax {
		root, err := parse(src, text, 0)
		if err == nil {
			return root, partial
		}
		f := FaultOf(err)
		var syntax syntaxFault
		if !errors.As(err, &syntax) {
			faults.Add(f)
			return nil, true
		}
		if last == 0 || f.Line > last+1 {
			faults.Add(f)
		}
		last, partial = f.Line, true
		var ok bool
		if text, ok = blank(src, text, f.Line); !ok || len(text) > mendable {
			return nil, true
		}
	}
	return nil, true
}

// notText gives the offset of the first byte that is no part of a UTF-8 text, or -1.
func notText(text string) int {
	for i, r := range text {
		if r == 0 {
			return i
		}
		if r == utf8.RuneError {
			if _, size := utf8.DecodeRuneInString(text[i:]); size == 1 {
				return i
			}
		}
	}
	return -1
}

// blank gives the text with blanks in place of one line, if that is a key with
// a value.
func blank(src *Source, text string, line int) (string, bool) {
	start := src.Lines[line-1]
	end := len(text)
	if line < len(src.Lines) {
		end = src.Lines[line] - 1
	}
	trimmed := strings.TrimSpace(text[start:end])
	if trimmed == "" || trimmed[0] == '[' || !strings.Contains(trimmed, "=") {
		return text, false
	}
	return text[:start] + strings.Repeat(" ", end-start) + text[end:], true
}
