package rail

import "socle/parts"

// Remedies of a rail.
func (r *Rail) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	z := r.settled(s)
	m := parts.RemediesOf(r)
	stouter := func() {
		m.Scaled("handrail", "a thicker handrail", z.handrail, 1.15, 1.3)
		m.Scaled("post", "thicker posts", z.post, 1.15, 1.3)
		if z.infill == "balusters" || z.infill == "rails" {
			m.Scaled("baluster", "thicker balusters", z.baluster, 1.15, 1.3)
		}
	}
	closer := func() { m.Scaled("spacing", "closer posts", z.bay, 0.8, 0.6) }
	panel := func() {
		if z.infill != "panel" {
			m.To("infill", `infill = "panel", which holds the handrail all along`, "panel")
		}
	}
	switch {
	case t.Thin():
		stouter()
		m.Scaled("inset", "another inset", r.Inset, 1.5, 2, 0.5)
		closer()
		panel()
	case t.Hanging():
		closer()
		panel()
	case t.Of("narrow-gap", "opening"):
		if z.infill == "balusters" {
			by := []float64{1.3, 1.6}
			if t.Of("opening") {
				by = []float64{0.5, 0.3}
			}
			m.Scaled("gap", map[bool]string{true: "a narrower gap", false: "a wider gap"}[t.Of("opening")], r.Gap, by...)
		}
		panel()
	case t.Of("rail"):
		const usual = 1100 // mm full size, as the key's default
		m.To("height", "the usual 1.1 m", parts.Handy(s.HeightOnPrint(usual)))
	case t.Of("uneven-risers", "stand", "rough-stand"):
		m.Scaled("inset", "another inset", r.Inset, 0.5, 0)
	}
	return m.All
}
