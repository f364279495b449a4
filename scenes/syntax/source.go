// Package syntax is the text of a scene: its TOML as a tree of values that know their
// places, lengths with their units, and faults that point into the text. It knows of no
// part and no key.
package syntax

import (
	"path/filepath"
	"sort"
	"strings"
	"unicode/utf8"
)

// Source is a text that values come from: the scene file, or the --set texts,
// one a line.
type Source struct {
	Name  string
	Text  string
	Order int   // sources are reported in this order
	Lines []int // offset of the start of each line
}

func NewSource(name, text string, order int) *Source {
	s := &Source{Name: name, Text: text, Order: order, Lines: []int{0}}
	for i := range len(text) {
		if text[i] == '\n' {
			s.Lines = append(s.Lines, i+1)
		}
	}
	return s
}

// NewText is the source of a file's text, without the mark that some editors put
// before it.
func NewText(name string, text []byte, order int) *Source {
	return NewSource(filepath.ToSlash(name), strings.TrimPrefix(string(text), "\uFEFF"), order)
}

// Line gives the number, from 1, of the line that holds a byte offset, where
// the line starts and its text without the line ending.
func (s *Source) Line(offset int) (number, start int, text string) {
	i := sort.SearchInts(s.Lines, offset+1) - 1
	start = s.Lines[i]
	end := len(s.Text)
	if i+1 < len(s.Lines) {
		end = s.Lines[i+1] - 1
	}
	return i + 1, start, strings.TrimSuffix(s.Text[start:end], "\r")
}

// Span is a stretch of a source, in bytes. The zero span is nowhere.
type Span struct {
	Src        *Source
	Start, End int
}

// shown is the most characters of a line that a fault shows; cutMark stands where
// the rest is cut off.
const (
	shown   = 110
	cutMark = "…"
)

// Span is the stretch of a source between two byte offsets.
func (s *Source) Span(start, end int) Span { return Span{s, start, end} }

// Fault makes a fault that points at the span.
func (sp Span) Fault(text string) Fault {
	src := sp.Src
	start := min(max(sp.Start, 0), len(src.Text))
	number, lineStart, line := src.Line(start)
	in := min(start-lineStart, len(line)) // byte offset within the line
	end := min(max(sp.End-lineStart, in), len(line))
	f := Fault{
		File: src.Name, Line: number, order: src.Order,
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

// Written is the text of a span, on one line.
func (sp Span) Written() string {
	if sp.Src == nil {
		return ""
	}
	end := min(max(sp.End, 0), len(sp.Src.Text))
	return strings.Join(strings.Fields(sp.Src.Text[min(max(sp.Start, 0), end):end]), " ")
}
