package main

import (
	"fmt"
	"io"
)

// printVaried tells a block for each trial.
func printVaried(w io.Writer, r *variedReport) {
	right := map[int]bool{1: true, 2: true, 3: true, 4: true, 5: true, 6: true, 7: true}
	for i, t := range r.Tried {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintln(w, t.heading())
		if t.Fault != "" {
			fmt.Fprintf(w, "  not made: %s\n", t.Fault)
			continue
		}
		if r.laid {
			fmt.Fprintf(w, "  score %s\n", tenth(t.Score))
		}
		rows := [][]string{{"base", "removed mm3", "touched %", "crumbs", "thinnest mm", "stops", "warnings", "resin ml"}}
		for _, b := range t.Bases {
			if b.Fault == "" {
				rows = append(rows, b.row(b.Name))
			}
		}
		rows = append(rows, t.Total.row("the set"))
		printColumns(w, "  ", rows, right)
		for _, b := range t.Bases {
			if b.Fault != "" {
				fmt.Fprintf(w, "  %s is not made: %s\n", b.Name, b.Fault)
			}
		}
	}
}
