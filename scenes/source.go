package scenes

import (
	"path/filepath"
	"sort"
	"strings"
	"unicode/utf8"
)

// source is a text that values come from: the scene file, or the --set texts,
// one a line.
type source struct {
	name  string
	text  string
	order int   // sources are reported in this order
	lines []int // offset of the start of each line
}

func newSource(name, text string, order int) *source {
	s := &source{name: name, text: text, order: order, lines: []int{0}}
	for i := range len(text) {
		if text[i] == '\n' {
			s.lines = append(s.lines, i+1)
		}
	}
	return s
}

// newText is the source of a file's text, without the mark that some editors put
// before it.
func newText(name string, text []byte, order int) *source {
	return newSource(filepath.ToSlash(name), strings.TrimPrefix(string(text), "\uFEFF"), order)
}

// line gives the number, from 1, of the line that holds a byte offset, where
// the line starts and its text without the line ending.
func (s *source) line(offset int) (number, start int, text string) {
	i := sort.SearchInts(s.lines, offset+1) - 1
	start = s.lines[i]
	end := len(s.text)
	if i+1 < len(s.lines) {
		end = s.lines[i+1] - 1
	}
	return i + 1, start, strings.TrimSuffix(s.text[start:end], "\r")
}

// span is a stretch of a source, in bytes. The zero span is nowhere.
type span struct {
	src        *source
	start, end int
}

// shown is the most characters of a line that a fault shows; cutMark stands where
// the rest is cut off.
const (
	shown   = 110
	cutMark = "…"
)

// fault makes a fault that points at the span.
func (sp span) fault(text string) Fault {
	src := sp.src
	start := min(max(sp.start, 0), len(src.text))
	number, lineStart, line := src.line(start)
	in := min(start-lineStart, len(line)) // byte offset within the line
	end := min(max(sp.end-lineStart, in), len(line))
	f := Fault{
		File: src.name, Line: number, order: src.order,
		Column: utf8.RuneCountInString(line[:in]) + 1,
		Length: max(1, utf8.RuneCountInString(line[in:end])),
		Text:   text,
	}
	f.Source, f.caret = window(line, f.Column-1)
	visible := utf8.RuneCountInString(strings.TrimSuffix(f.Source, cutMark))
	f.Length = min(f.Length, max(1, visible-f.caret))
	return f
}

// window cuts a long line down to what surrounds column at, counted in
// characters from 0, and gives the column within the cut.
func window(line string, at int) (cut string, column int) {
	most := utf8.RuneCountInString(line)
	if most <= shown {
		return line, at
	}
	from := max(0, min(at-shown/3, most-shown))
	cut, column = characters(characters(line, from), -shown), at-from
	if from > 0 {
		cut, column = cutMark+cut, column+1
	}
	if from+shown < most {
		cut += cutMark
	}
	return cut, column
}

// characters gives a line from character n on, or where n is negative the first -n.
func characters(line string, n int) string {
	at := 0
	for k := max(n, -n); k > 0 && at < len(line); k-- {
		_, size := utf8.DecodeRuneInString(line[at:])
		at += size
	}
	if n < 0 {
		return line[:at]
	}
	return line[at:]
}

// written is the text of a span, on one line.
func (sp span) written() string {
	if sp.src == nil {
		return ""
	}
	end := min(max(sp.end, 0), len(sp.src.text))
	return strings.Join(strings.Fields(sp.src.text[min(max(sp.start, 0), end):end]), " ")
}
