package main

// The cautions that go with every set. Sources: RadTech, Proper Handling of
// UV-Curable 3D Printing Resins; NIOSH, Buildings 2022, 12(8), 1222 (air);
// bureau guides (trapped resin); general workshop guidance, from memory (dust, fumes);
// EN 71-1 and trade notices (magnets).
const (
	cautionResin   = "Uncured resin irritates skin and eyes and may sensitise for good: nitrile gloves, eye protection, fresh air."
	cautionFumes   = "Melting filament gives off fumes and fine particles: print where the air is changed. Nozzle and plate burn."
	cautionDust    = "Sand wet, and wear a particle mask: the dust harms the lungs."
	cautionHollow  = "Resin trapped in a hollow leaks or cracks it later: keep the vents open, rinse and cure the inside too."
	cautionMagnets = "Small magnets are dangerous when swallowed: glue them in, and keep them and the bases from children."
	cautionDefer   = "The maker's data sheets, your local rules and people who know the trade come before anything said here. These are not toys."
)

// cautionsFor gives those that matter for a set.
func cautionsFor(extrudes, hollow, magnets bool) (lines []string) {
	if extrudes {
		lines = append(lines, cautionFumes)
	} else {
		lines = append(lines, cautionResin)
	}
	lines = append(lines, cautionDust)
	if hollow && !extrudes {
		lines = append(lines, cautionHollow)
	}
	if magnets {
		lines = append(lines, cautionMagnets)
	}
	return append(lines, cautionDefer)
}
