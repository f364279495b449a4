package syntax

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Fault is something wrong in a scene, with the place it is written at.
type Fault struct {
	File    string `json:"file"`
	Line    int    `json:"line"`              // from 1; of the --set texts, which one
	Column  int    `json:"column"`            // in characters, from 1
	Length  int    `json:"length"`            // in characters, at least 1
	Source  string `json:"source"`            // the line, cut down where it is very long
	Text    string `json:"text"`              // what is wrong
	Allowed string `json:"allowed,omitempty"` // what would be right
	Nearest string `json:"nearest,omitempty"` // the nearest valid word

	caret int // where in Source the fault starts, in characters
	order int // the order of its source
}

// Error is the fault in its pointed form, ending without a newline:
//
//	quay.toml:14:1: unknown key "thicknes" in paving "apron"
//	   14 | thicknes = 1.0
//	      | ^^^^^^^^
//	      did you mean "thickness"? allowed: name, level, area, ...
func (f Fault) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d:%d: %s\n", f.File, f.Line, f.Column, Printable(f.Text))
	fmt.Fprintf(&b, "%5d | %s\n", f.Line, Printable(f.Source))
	fmt.Fprintf(&b, "      | %s%s", indentLike(f.Source, f.caret), strings.Repeat("^", f.Length))
	var help []string
	if f.Nearest != "" {
		help = append(help, fmt.Sprintf("did you mean %q?", f.Nearest))
	}
	if f.Allowed != "" {
		help = append(help, "allowed: "+Printable(f.Allowed))
	}
	for _, line := range Wrap(strings.Join(help, " "), 94) {
		b.WriteString("\n      " + line)
	}
	return b.String()
}

// indentLike gives blanks as wide as the first n characters of a line: tabs
// stay tabs.
func indentLike(line string, n int) string {
	var b strings.Builder
	for _, r := range line {
		if n == 0 {
			break
		}
		n--
		if r == '\t' {
			b.WriteByte('\t')
		} else {
			b.WriteByte(' ')
		}
	}
	return b.String()
}

// Printable puts a mark in place of what a terminal might obey.
func Printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r != '\t' && !unicode.IsPrint(r) {
			return '\uFFFD'
		}
		return r
	}, s)
}

// Wrap breaks text at blanks outside quotes into lines of at most width
// characters where it can.
func Wrap(text string, width int) []string {
	var lines []string
	line, length := "", 0
	quoted := false
	for _, word := range strings.FieldsFunc(text, func(r rune) bool {
		if r == '"' {
			quoted = !quoted
		}
		return r == ' ' && !quoted
	}) {
		n := utf8.RuneCountInString(word)
		switch {
		case line == "":
			line, length = word, n
		case length+1+n <= width:
			line, length = line+" "+word, length+1+n
		default:
			lines = append(lines, line)
			line, length = word, n
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// Faults is everything wrong in a scene, in the order of the text.
type Faults struct {
	List []Fault `json:"faults"`
	More int     `json:"more,omitempty"` // how many were found beyond those listed
}

// MaxFaults is the most faults that are listed.
const MaxFaults = 500

// Error is all faults in their pointed form, a blank line between them.
func (fs *Faults) Error() string {
	var b strings.Builder
	for i, f := range fs.List {
		if i > 0 {
			b.WriteString("\n\n")
		}
		b.WriteString(f.Error())
	}
	if fs.More > 0 {
		fmt.Fprintf(&b, "\n\nand %d more", fs.More)
	}
	return b.String()
}

// Summary counts the faults: "3 faults in quay.toml".
func (fs *Faults) Summary() string {
	n := len(fs.List) + fs.More
	files := []string{}
	for _, f := range fs.List {
		if !slices.Contains(files, f.File) {
			files = append(files, f.File)
		}
	}
	word := "faults"
	if n == 1 {
		word = "fault"
	}
	return fmt.Sprintf("%d %s in %s", n, word, strings.Join(files, " and "))
}

// At says whether a fault starts where a span does.
func (f *Faults) At(at Span) bool {
	place := at.Fault("")
	return slices.ContainsFunc(f.List, func(o Fault) bool {
		return o.order == place.order && o.Line == place.Line && o.Column == place.Column
	})
}

// Full says that one more fault would only be counted. Whoever makes many asks before
// it works one out: in a long line that takes as long as the line.
func (fs *Faults) Full() bool { return len(fs.List) >= MaxFaults }

// Add records a fault unless the same one is there.
func (fs *Faults) Add(f Fault) {
	if fs.Full() {
		fs.More++
		return
	}
	if !slices.Contains(fs.List, f) {
		fs.List = append(fs.List, f)
	}
}

// Err gives the faults in the order of the text, or nil when there are none.
func (fs *Faults) Err() error {
	if len(fs.List) == 0 {
		return nil
	}
	slices.SortStableFunc(fs.List, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.order, b.order), cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column), cmp.Compare(a.Text, b.Text))
	})
	return fs
}
