package set

import (
	"fmt"
	"slices"
	"strings"
)

// The formats that a build may write.
const (
	FormatSTL  = "stl"
	Format3MF  = "3mf"
	FormatPNG  = "png"  // the pictures
	FormatSVG  = "svg"  // the plan
	FormatHTML = "html" // the report
	FormatJSON = "json" // the same, for scripts
)

// AllFormats are they, in the order that they are told of.
var AllFormats = []string{FormatSTL, Format3MF, FormatPNG, FormatSVG, FormatHTML, FormatJSON}

// BaseFormats are those with files for each base alone.
var BaseFormats = []string{FormatSTL, FormatPNG}

// Formats is what a build writes.
type Formats []string

func (f Formats) Has(any ...string) bool {
	return slices.ContainsFunc(any, func(format string) bool { return slices.Contains(f, format) })
}

// Solids says whether it writes what is printed.
func (f Formats) Solids() bool { return f.Has(FormatSTL, Format3MF) }

// Report says whether it writes the report, in either form.
func (f Formats) Report() bool { return f.Has(FormatHTML, FormatJSON) }

// HoldStops says whether a stop holds a base back: not from one who is looking at a draft, or
// writes nothing to be printed.
func (f Formats) HoldStops(s *Scene) bool {
	return f.Solids() && !s.Resolution.Coarse(s.Site.Printer)
}

// Check refuses formats that there are not.
func (f Formats) Check() error {
	allowed := strings.Join(AllFormats, ", ")
	if len(f) == 0 {
		return fmt.Errorf("--format is empty: allowed: %s", allowed)
	}
	for _, format := range f {
		if !slices.Contains(AllFormats, format) {
			return fmt.Errorf("--format %q: allowed: %s", format, allowed)
		}
	}
	return nil
}
