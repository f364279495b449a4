package main

import (
	"fmt"
	"io"

	"socle/cmd/set/report"
)

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
