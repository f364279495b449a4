package deck

import (
	"math"

	"socle/parts"
)

// Remedies of a deck.
func (d *Deck) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r, z := parts.RemediesOf(d), d.settled(s)
	open := d.On != "solid"
	solid := func() {
		if open {
			r.Set("on", "", "solid")
		}
	}
	plain := func() { r.Set("edge", "", "plain") }
	carriers := func() { r.Scaled("pier", "thicker piers", math.Max(d.Pier, s.Print.Wall), 1.2, 1.5) }
	switch {
	case t.Thin():
		if open {
			r.Scaled("thickness", "a thicker deck", z.thickness, 1.2, 1.5)
			carriers()
		}
		if d.Edge == "kerb" {
			r.Scaled("kerb", "a wider kerb", z.kerb, 1.2, 1.5)
		}
		plain()
		solid()
	case t.Hanging():
		if open {
			r.Scaled("spacing", "closer piers", d.Spacing, 0.75, 0.5)
		}
		if d.Edge == "nosing" {
			r.Scaled("kerb", "a smaller nosing", z.kerb, 0.6)
			plain()
		}
		solid()
	case t.Trapped() || t.Of("suction"):
		if d.On == "walls" {
			r.Set("on", "which leave a way out", "piers")
		}
		solid()
	case t.Of("narrow-gap"):
		if open {
			r.Scaled("inset", "a larger inset", math.Max(d.Inset, s.Print.Gap), 1.5)
		}
		solid()
	case t.Of("rough-stand", "stand"):
		plain()
	case t.Of("uneven-risers"):
		plain()
		r.Words("level", "the level that the stair leads to")
	}
	return r.All
}
