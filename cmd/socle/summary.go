package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// printTable lists what was built, one base a line.
func (r *report) printTable(w io.Writer) {
	rows := [][]string{{"base", "footprint", "size mm", "volume mm3", "triangles", "cell mm", "time s"}}
	for _, b := range r.Bases {
		rows = append(rows, []string{
			b.Name, b.Footprint, b.Box.size(), strconv.FormatFloat(b.Volume, 'f', 1, 64),
			grouped(b.Triangles), strconv.FormatFloat(r.Cell, 'g', -1, 64), strconv.FormatFloat(b.Seconds, 'f', 1, 64),
		})
	}
	const texts = 2 // the first columns are text, the others figures
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		var line strings.Builder
		for i, cell := range row {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i > 0 {
				line.WriteString("  ")
			}
			if i < texts {
				line.WriteString(cell + pad)
			} else {
				line.WriteString(pad + cell)
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line.String(), " "))
	}
}

// size is the three sides of a box: "120.0 x 92.0 x 21.4".
func (b boxReport) size() string {
	var sides [3]string
	for k := range sides {
		sides[k] = strconv.FormatFloat(b.Max[k]-b.Min[k], 'f', 1, 64)
	}
	return strings.Join(sides[:], " x ")
}

// grouped writes a count with a comma between thousands.
func grouped(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

// printFiles says what was written and where.
func (r *report) printFiles(w io.Writer, dir string) {
	var files int
	for _, b := range r.Bases {
		if b.File != "" {
			files++
		}
	}
	if files > 0 {
		fmt.Fprintf(w, "\nwrote %s to %s\n", plural(files, "STL file", "STL files"), dir)
	}
	if r.Set != nil {
		fmt.Fprintf(w, "wrote the set of %d to %s\n", len(r.Bases), r.Set.File)
	}
}

// printNotes tells of what the build decided for the maker: the notes of the
// parts, and the crumbs that were dropped.
func (r *report) printNotes(w io.Writer) {
	if len(r.Notes) > 0 {
		fmt.Fprintln(w, "\nnotes:")
	}
	for _, n := range r.Notes {
		where := n.Part
		if n.Key != "" {
			where = strings.TrimPrefix(where+"."+n.Key, ".")
		}
		if where != "" {
			where += ": "
		}
		fmt.Fprintf(w, "  %s%s\n", where, n.Text)
	}
	const most = 5 // crumbs named for each base; they come largest first
	for _, b := range r.Bases {
		if len(b.Crumbs) == 0 {
			continue
		}
		fmt.Fprintf(w, "\n%s: %s dropped, largest first:\n", b.Name, plural(len(b.Crumbs), "loose crumb", "loose crumbs"))
		for i, c := range b.Crumbs {
			if i == most {
				fmt.Fprintf(w, "  and %d smaller\n", len(b.Crumbs)-most)
				break
			}
			kind := "crumb"
			if c.Volume < 0 {
				kind = "closed void, filled"
			}
			fmt.Fprintf(w, "  %s of %.2f x %.2f x %.2f mm at (%.1f, %.1f, %.1f)\n",
				kind, c.Size[0], c.Size[1], c.Size[2], c.At[0], c.At[1], c.At[2])
		}
	}
}

// printFailures says which bases were not written, where they failed and why.
func (r *report) printFailures(w io.Writer) {
	for _, f := range r.Failed {
		fmt.Fprintf(w, "socle: %s is not written: %s\n", f.Name, f.Why)
	}
	if len(r.Failed) > 0 {
		fmt.Fprintln(w, "socle: earlier files of these, and of the set, are as they were")
	}
}
