package main

import (
	"fmt"
	"io"
)

// printPrinting says what the set takes, and what would make it surer.
func printPrinting(w io.Writer, p *printing, bases int) {
	if bases == 0 {
		return
	}
	fmt.Fprintln(w, p.line(bases))
	if words := p.assumed(); words != "" {
		fmt.Fprintln(w, "time: "+words)
	}
	if p.Cost == nil {
		fmt.Fprintln(w, "cost: "+p.costWants())
	}
}

func printCautions(w io.Writer, lines []string) {
	fmt.Fprintln(w, "\nbefore you print:")
	for _, l := range lines {
		fmt.Fprintln(w, "  "+l)
	}
}
