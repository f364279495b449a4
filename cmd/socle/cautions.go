package main

import (
	"fmt"
	"io"
)

// The cautions that go with every set. Sources: RadTech, Proper Handling of
// UV-Curable 3D Printing Resins; NIOSH, Buildings 2022, 12(8), 1222 (air);
// bureau guides (trapped resin); general workshop guidance, from memory (dust);
// EN 71-1 and trade notices (magnets).
const (
	cautionResin   = "Uncured resin irritates skin and eyes and may sensitise for good: nitrile gloves, eye protection, fresh air."
	cautionDust    = "Sand cured resin wet, and wear a particle mask: the dust harms the lungs."
	cautionHollow  = "Resin trapped in a hollow leaks or cracks it later: keep the vents open, rinse and cure the inside too."
	cautionMagnets = "Small magnets are dangerous when swallowed: glue them in, and keep them and the bases from children."
	cautionDefer   = "The maker's data sheets, your local rules and people who know the trade come before anything said here. These are not toys."
)

// printCautions prints those that matter for a set.
func printCautions(w io.Writer, hollow, magnets bool) {
	lines := []string{cautionResin, cautionDust}
	if hollow {
		lines = append(lines, cautionHollow)
	}
	if magnets {
		lines = append(lines, cautionMagnets)
	}
	fmt.Fprintln(w, "\nbefore you print:")
	for _, l := range append(lines, cautionDefer) {
		fmt.Fprintln(w, "  "+l)
	}
}
