package report

// The cautions that go with every set. Sources: RadTech, Proper Handling of
// UV-Curable 3D Printing Resins; NIOSH, Buildings 2022, 12(8), 1222 (air);
// bureau guides (trapped resin); general workshop guidance, from memory (dust, fumes);
// EN 71-1 and trade notices (magnets).
const (
	CautionResin   = "Uncured resin irritates skin and eyes and may sensitise for good: nitrile gloves, eye protection, fresh air."
	CautionFumes   = "Melting filament gives off fumes and fine particles: print where the air is changed. Nozzle and plate burn."
	CautionDust    = "Sand wet, and wear a particle mask: the dust harms the lungs."
	CautionHollow  = "Resin trapped in a hollow leaks or cracks it later: keep the vents open, rinse and cure the inside too."
	CautionMagnets = "Small magnets are dangerous when swallowed: glue them in, and keep them and the bases from children."
	CautionDefer   = "The maker's data sheets, your local rules and people who know the trade come before anything said here. These are not toys."
)

// cautionsFor gives those that matter for a set.
func cautionsFor(extrudes, hollow, magnets bool) (lines []string) {
	if extrudes {
		lines = append(lines, CautionFumes)
	} else {
		lines = append(lines, CautionResin)
	}
	lines = append(lines, CautionDust)
	if hollow && !extrudes {
		lines = append(lines, CautionHollow)
	}
	if magnets {
		lines = append(lines, CautionMagnets)
	}
	return append(lines, CautionDefer)
}
