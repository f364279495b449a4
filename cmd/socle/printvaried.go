package main

import (
	"fmt"
	"io"

	"socle/cmd/set/vary"
)

// printVaried tells a block for each trial.
func printVaried(w io.Writer, r *vary.Report) {
	right := map[int]bool{1: true, 2: true, 3: true, 4: true, 5: true, 6: true, 7: true}
	for i, t := range r.Tried {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintln(w, t.Heading())
		if t.Fault != "" {
			fmt.Fprintf(w, "  not made: %s\n", t.Fault)
			continue
		}
		if r.Laid {
			fmt.Fprintf(w, "  score %s\n", vary.Tenth(t.Score))
		}
		rows := [][]string{{"base", "removed mm3", "touched %", "crumbs", "thinnest mm", "stops", "warnings", "resin ml"}}
		for _, b := range t.Bases {
			if b.Fault == "" {
				rows = append(rows, b.Row(b.Name))
			}
		}
		rows = append(rows, t.Total.Row("the set"))
		printColumns(w, "  ", rows, right)
		for _, b := range t.Bases {
			if b.Fault != "" {
				fmt.Fprintf(w, "  %s is not made: %s\n", b.Name, b.Fault)
			}
		}
	}
}
