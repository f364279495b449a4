package main

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"socle/cmd/set/inspection"
	"socle/parts"
)

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
