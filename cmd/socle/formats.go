package main

import (
	"fmt"
	"slices"
	"strings"
)

// The formats that a build may write.
const (
	formatSTL  = "stl"
	format3MF  = "3mf"
	formatPNG  = "png"  // the pictures
	formatSVG  = "svg"  // the plan
	formatHTML = "html" // the report
	formatJSON = "json" // the same, for scripts
)

// allFormats are they, in the order that they are told of.
var allFormats = []string{formatSTL, format3MF, formatPNG, formatSVG, formatHTML, formatJSON}

// baseFormats are those with files for each base alone.
var baseFormats = []string{formatSTL, formatPNG}

// formats is what a build writes.
type formats []string

func (f formats) has(any ...string) bool {
	return slices.ContainsFunc(any, func(format string) bool { return slices.Contains(f, format) })
}

// solids says whether it writes what is printed.
func (f formats) solids() bool { return f.has(formatSTL, format3MF) }

// report says whether it writes the report, in either form.
func (f formats) report() bool { return f.has(formatHTML, formatJSON) }

// hold says whether a stop holds a base back: not from one who is looking at a draft, or
// writes nothing to be printed.
func (f formats) hold(s *scene) bool {
	return f.solids() && !s.resolution.coarse(s.site.Printer)
}

// check refuses formats that there are not.
func (f formats) check() error {
	allowed := strings.Join(allFormats, ", ")
	if len(f) == 0 {
		return fmt.Errorf("--format is empty: allowed: %s", allowed)
	}
	for _, format := range f {
		if !slices.Contains(allFormats, format) {
			return fmt.Errorf("--format %q: allowed: %s", format, allowed)
		}
	}
	return nil
}
