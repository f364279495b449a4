package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"unicode/utf8"

	"socle/cmd/set/inspection"
	"socle/cmd/set/report"
	"socle/cmd/set/words"
	"socle/parts"
)

// printTable lists what was built, one base a line.
func printTable(w io.Writer, r *report.Report) {
	rows := [][]string{{"base", "footprint", "size mm", "volume mm3", "triangles", "cell mm", "time s"}}
	for _, b := range r.Bases {
		rows = append(rows, []string{
			b.Name, b.Footprint, b.Box.Size(), strconv.FormatFloat(b.Volume, 'f', 1, 64),
			words.Grouped(b.Triangles), strconv.FormatFloat(r.Cell, 'g', -1, 64), b.TimeTaken(),
		})
	}
	printColumns(w, "", rows, report.Figures)
}

// printEstimates lists what each base takes to print.
func printEstimates(w io.Writer, r *report.Report) {
	printColumns(w, "", r.Estimates(), report.Figures)
}

// printFiles says what was written and where; same of the files were there already.
func printFiles(w io.Writer, r *report.Report, dir string, same int) {
	all := len(r.Written())
	if same == all {
		fmt.Fprintf(w, "nothing has changed: %s in %s as before, and nothing was written\n", words.Count(all, "file is", "files are"), dir)
		return
	}
	if same > 0 {
		defer fmt.Fprintf(w, "of %d files, %s unchanged and not rewritten\n", all, words.Count(same, "was", "were"))
	}
	var files int
	for _, b := range r.Bases {
		if b.Path != "" {
			files++
		}
	}
	if files > 0 {
		fmt.Fprintf(w, "wrote %s to %s\n", words.Count(files, "STL file", "STL files"), dir)
	}
	if r.Set != nil {
		fmt.Fprintf(w, "wrote the set of %d to %s\n", len(r.Bases), r.Set.Path)
	}
	for _, set := range r.Sets {
		fmt.Fprintf(w, "wrote plate %d of %d, with %s, to %s\n", set.Plate, len(r.Sets), words.Count(len(set.Bases), "base", "bases"), set.Path)
	}
	for _, name := range r.EarlierSets(dir) {
		fmt.Fprintf(w, "%s is from an earlier build and does not belong to this set\n", name)
	}
	if n := len(r.Pictures); n > 0 {
		fmt.Fprintf(w, "wrote %s to %s\n", words.Count(n, "picture", "pictures"), filepath.Join(dir, "pictures"))
	}
	for _, s := range r.Sheets {
		fmt.Fprintf(w, "wrote a sheet of them to %s\n", s.Path)
	}
	if r.Plan != nil {
		fmt.Fprintf(w, "wrote the plan to %s\n", r.Plan.Path)
	}
	if r.Page != nil {
		fmt.Fprintf(w, "wrote the report to %s: open it in a browser\n", r.Page.Path)
	}
}

// whereAll says where all that was found is told.
func whereAll(r *report.Report) string {
	if r.Page != nil {
		return "the report has all of it, with pictures"
	}
	return "all of it: socle check"
}

// printNotes tells of what the parts decided for the maker.
func printNotes(w io.Writer, r *report.Report) {
	if len(r.Notes) > 0 {
		fmt.Fprintln(w, "\nnotes:")
	}
	for _, n := range r.Notes {
		fmt.Fprintln(w, "  "+report.NoteLine(n))
	}
}

// printFailures says which bases were not written, where they failed and why.
func printFailures(w io.Writer, r *report.Report) {
	for _, f := range r.Failed {
		fmt.Fprintf(w, "socle: %s is not written: %s\n", f.Name, f.Why)
	}
	if len(r.Failed) > 0 {
		fmt.Fprintln(w, "socle: earlier files of these bases and of the set are unchanged")
	}
}

// printPrinting says what the set takes, and what would make it surer.
func printPrinting(w io.Writer, p *report.Printing, bases int) {
	if bases == 0 {
		return
	}
	fmt.Fprintln(w, p.Line(bases))
	if words := p.AssumedInWords(); words != "" {
		fmt.Fprintln(w, "time: "+words)
	}
	if p.Cost == nil {
		fmt.Fprintln(w, "cost: "+p.CostNeeds())
	}
}

func printCautions(w io.Writer, lines []string) {
	fmt.Fprintln(w, "\nbefore you print:")
	for _, l := range lines {
		fmt.Fprintln(w, "  "+l)
	}
}

// printScale prints the sizes of the scene beside life, a part a block.
func printScale(w io.Writer, site *parts.Site, all []inspection.ScaleMeasure) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(w, "\nscale 1:%g; the yardstick of %g m is %.1f mm tall\n", site.Scale.Ratio, site.Scale.Person, site.HeightOnPrint(1000*site.Scale.Person))
	rows := make([][]string, len(all))
	last := ""
	for i, m := range all {
		name := m.Part
		if name == last {
			name = ""
		}
		last = m.Part
		unit := m.UnitSign()
		mark := ""
		if !m.Within {
			mark = "outside " + m.Law
		}
		rows[i] = []string{name, m.What, fmt.Sprintf("%.2f %s", m.Printed, unit), fmt.Sprintf("%.0f %s full size", m.Full, unit), m.Yardstick, mark}
	}
	printColumns(w, "  ", rows, map[int]bool{2: true, 3: true})
}

// printColumns prints rows in columns as wide as their widest cell; right are the
// columns that are set to the right.
func printColumns(w io.Writer, indent string, rows [][]string, right map[int]bool) {
	var widths []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		line := indent
		for i, cell := range row {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i > 0 {
				line += "  "
			}
			if right[i] {
				line += pad + cell
			} else {
				line += cell + pad
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
}
