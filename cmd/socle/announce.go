package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/cmd/set/words"
)

// announce tells, before a build begins, what it makes and roughly how long that takes.
// That is counted from the work ahead, by no clock, and is written nowhere else.
func (f *buildFlags) announce(ctx context.Context, w io.Writer, b *build.Build) error {
	if f.quiet {
		return nil
	}
	seconds, err := b.ProcessorSeconds(ctx)
	if err != nil {
		return err
	}
	n := runtime.GOMAXPROCS(0)
	fmt.Fprintf(w, "%s: %s\n", words.Count(len(b.Set.Pieces), "base", "bases"), strings.Join(makes(b), ", "))
	fmt.Fprintf(w, "roughly %s on %s that have nothing else to do; less where something is kept from before\n",
		roughly(seconds/float64(n)), words.Count(n, "processor", "processors"))
	return nil
}

// makes lists what a build makes.
func makes(b *build.Build) []string {
	all := []string{"meshed, proven and inspected"}
	for _, f := range []struct{ format, word string }{{set.FormatSTL, "STL"}, {set.Format3MF, "3MF"}} {
		if b.Formats.Has(f.format) {
			all = append(all, f.word)
		}
	}
	if b.Formats.Has(set.FormatPNG, set.FormatHTML) {
		pictures := "pictures from all sides and near by"
		switch {
		case len(b.Views) > 0:
			pictures = "pictures (" + strings.Join(b.Views, ", ") + ")"
		case b.From != "":
			pictures = "a picture from " + b.From
		}
		all = append(all, pictures)
		if b.DrawsVariants() {
			all = append(all, words.Count(len(b.Set.Read.Variants), "variant", "variants")+" on a sheet")
		}
	}
	for _, f := range []struct{ format, word string }{{set.FormatSVG, "the plan"}, {set.FormatHTML, "the report"}} {
		if b.Formats.Has(f.format) {
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
