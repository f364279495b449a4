package column

import "socle/parts"

// Remedies of columns.
func (c *Column) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(c)
	thicker := func() { r.Scaled("diameter", "thicker columns", c.Diameter, 1.15, 1.3, 1.6) }
	fewer := func() {
		if c.Flutes > 0 {
			r.To("flutes", "fewer flutes, or none", c.Flutes*2/3, 0)
		}
	}
	switch {
	case t.Thin():
		fewer()
		thicker()
		if t.Of("slender-pin") {
			r.Scaled("height", "lower columns", c.Height, 0.85, 0.7)
		}
		r.To("capital", "a plain capital, or none", "plain", "none")
		if c.Broken > 0 {
			r.Seeds(c.Seed)
			r.Scaled("broken", "less broken", c.Broken, 0.5, 0)
		}
	case t.Of("narrow-gap", "shallow-relief"):
		fewer()
	case t.Hanging():
		r.To("capital", "a plain capital, or none", "plain", "none")
		if c.Broken > 0 {
			r.Seeds(c.Seed)
		}
	case t.Of("stand", "rough-stand"):
		r.Words("at", "move the column, or the stand")
	}
	return r.All
}
