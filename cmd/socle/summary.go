package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"socle/parts"
)

// figures are the columns of the tables of bases that are set to the right.
var figures = map[int]bool{2: true, 3: true, 4: true, 5: true, 6: true}

// printTable lists what was built, one base a line.
func (r *report) printTable(w io.Writer) {
	rows := [][]string{{"base", "footprint", "size mm", "volume mm3", "triangles", "cell mm", "time s"}}
	for _, b := range r.Bases {
		rows = append(rows, []string{
			b.Name, b.Footprint, b.Box.size(), strconv.FormatFloat(b.Volume, 'f', 1, 64),
			grouped(b.Triangles), strconv.FormatFloat(r.Cell, 'g', -1, 64), b.took(),
		})
	}
	printColumns(w, "", rows, figures)
}

// took is the time that a base took to mesh.
func (b *baseReport) took() string {
	if b.Seconds == 0 && b.Kept {
		return "kept"
	}
	return strconv.FormatFloat(b.Seconds, 'f', 1, 64)
}

// printEstimates lists what each base takes to print.
func (r *report) printEstimates(w io.Writer) { printColumns(w, "", r.estimates(), figures) }

// estimates are the rows of what each base takes to print, under their head.
func (r *report) estimates() [][]string {
	rows := [][]string{{"base", "footprint", "size mm", "mass g", "layers"}}
	add := func(row int, cell string) { rows[row] = append(rows[row], cell) }
	for _, b := range r.Bases {
		rows = append(rows, []string{b.Name, b.Footprint, b.Box.size(), strconv.FormatFloat(b.Estimate.Mass, 'f', 1, 64), strconv.Itoa(b.Estimate.Layers)})
	}
	add(0, "time")
	for i, b := range r.Bases {
		add(i+1, inHours(b.Estimate.Seconds))
	}
	if r.Printing.Cost != nil {
		add(0, "cost "+r.Printing.Currency)
		for i, b := range r.Bases {
			add(i+1, strconv.FormatFloat(*b.Estimate.Cost, 'f', 2, 64))
		}
	}
	return rows
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

// printFiles says what was written and where; same of the files were there already.
func (r *report) printFiles(w io.Writer, dir string, same int) {
	all := len(r.written())
	if same == all {
		fmt.Fprintf(w, "nothing has changed: %s in %s as before, and nothing was written\n", plural(all, "file is", "files are"), dir)
		return
	}
	if same > 0 {
		defer fmt.Fprintf(w, "of %d files, %s there already, byte for byte, and left alone\n", all, plural(same, "was", "were"))
	}
	var files int
	for _, b := range r.Bases {
		if b.File != "" {
			files++
		}
	}
	if files > 0 {
		fmt.Fprintf(w, "wrote %s to %s\n", plural(files, "STL file", "STL files"), dir)
	}
	if r.Set != nil {
		fmt.Fprintf(w, "wrote the set of %d to %s\n", len(r.Bases), r.Set.File)
	}
	for _, set := range r.Sets {
		fmt.Fprintf(w, "wrote plate %d of %d, with %s, to %s\n", set.Plate, len(r.Sets), plural(len(set.Bases), "base", "bases"), set.File)
	}
	for _, name := range r.earlierSets(dir) {
		fmt.Fprintf(w, "%s is there of an earlier build, and is not of this set\n", name)
	}
	if n := len(r.Pictures); n > 0 {
		fmt.Fprintf(w, "wrote %s to %s\n", plural(n, "picture", "pictures"), filepath.Join(dir, "pictures"))
	}
	for _, s := range r.Sheets {
		fmt.Fprintf(w, "wrote a sheet of them to %s\n", s.File)
	}
	if r.Plan != nil {
		fmt.Fprintf(w, "wrote the plan to %s\n", r.Plan.File)
	}
	if r.Page != nil {
		fmt.Fprintf(w, "wrote the report to %s: open it in a browser\n", r.Page.File)
	}
}

// whereAll says where all that was found is told.
func (r *report) whereAll() string {
	if r.Page != nil {
		return "all of it, with pictures, is in the report"
	}
	return "all of it: socle check"
}

// printNotes tells of what the parts decided for the maker.
func (r *report) printNotes(w io.Writer) {
	if len(r.Notes) > 0 {
		fmt.Fprintln(w, "\nnotes:")
	}
	for _, n := range r.Notes {
		fmt.Fprintln(w, "  "+noteLine(n))
	}
}

// noteLine is a note with what it is about.
func noteLine(n parts.Note) string {
	where := n.Part
	if n.Key != "" {
		where = strings.TrimPrefix(where+"."+n.Key, ".")
	}
	if where != "" {
		where += ": "
	}
	return where + n.Text
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
