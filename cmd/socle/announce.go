package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"
)

// announce tells, before a build begins, what it makes and roughly how long that takes.
// That is counted from the work ahead, by no clock, and is written nowhere else.
func (f *buildFlags) announce(ctx context.Context, w io.Writer, b *Build) error {
	if f.quiet {
		return nil
	}
	seconds, err := b.guess(ctx)
	if err != nil {
		return err
	}
	n := runtime.GOMAXPROCS(0)
	fmt.Fprintf(w, "%s: %s\n", plural(len(b.Set.pieces), "base", "bases"), strings.Join(makes(b), ", "))
	fmt.Fprintf(w, "roughly %s on %s that have nothing else to do; less where something is kept from before\n",
		roughly(seconds/float64(n)), plural(n, "processor", "processors"))
	return nil
}

// makes lists what a build makes.
func makes(b *Build) []string {
	all := []string{"meshed, proven and inspected"}
	for _, f := range []struct{ format, word string }{{formatSTL, "STL"}, {format3MF, "3MF"}} {
		if b.Formats.has(f.format) {
			all = append(all, f.word)
		}
	}
	if b.Formats.has(formatPNG, formatHTML) {
		pictures := "pictures from all sides and near by"
		switch {
		case len(b.Views) > 0:
			pictures = "pictures (" + strings.Join(b.Views, ", ") + ")"
		case b.From != "":
			pictures = "a picture from " + b.From
		}
		all = append(all, pictures)
		if b.drawsVariants() {
			all = append(all, plural(len(b.Set.read.Variants), "variant", "variants")+" on a sheet")
		}
	}
	for _, f := range []struct{ format, word string }{{formatSVG, "the plan"}, {formatHTML, "the report"}} {
		if b.Formats.has(f.format) {
			all = append(all, f.word)
		}
	}
	return all
}

// roughly tells of a time in one figure.
func roughly(seconds float64) string {
	figure := func(v float64) string {
		scale := math.Pow(10, math.Floor(math.Log10(math.Max(v, 1))))
		return fmt.Sprintf("%g", math.Max(1, math.Round(v/scale)*scale))
	}
	switch {
	case seconds < 10:
		return "10 s or less"
	case seconds < 90:
		return figure(seconds) + " s"
	case seconds < 90*60:
		return figure(seconds/60) + " min"
	}
	return figure(seconds/3600) + " h"
}
