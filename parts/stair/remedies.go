package stair

import "socle/parts"

// Remedies of a stair.
func (st *Stair) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	l := st.settled(s)
	r := parts.RemediesOf(st)
	open := st.Side == "open"
	solid := func() {
		if open {
			r.Set("side", "", "solid")
		}
	}
	flanked := st.Flanks != "none"
	switch {
	case t.Thin() || t.Trapped():
		r.Scaled("wear", "less wear", st.Wear, 0.5, 0)
		if flanked {
			r.Scaled("cheek", "thicker flanks", l.Cheek, 1.15, 1.3, 1.6)
		}
		if open {
			r.Scaled("waist", "a thicker waist", l.waist, 1.2, 1.5)
		}
		solid()
		if st.Wear > 0 {
			r.Seeds(st.Seed)
		}
	case t.Hanging():
		r.Scaled("nosing", "a smaller nosing", st.Nosing, 0.5, 0)
		solid()
	case t.Of("narrow-gap"):
		solid()
	case t.Of("shallow-relief", "stair"):
		var values []any
		for _, by := range []int{-1, 1, -2, 2} {
			if n := l.Risers + by; n > 0 {
				values = append(values, n)
			}
		}
		r.To("risers", "one riser more or less", values...)
		r.Words("to", "other levels, or another profile")
	case t.Of("rough-stand", "stand"):
		r.Scaled("going", "a longer going", l.Going, 1.15, 1.3)
	case t.Of("uneven-risers"):
		r.Scaled("wear", "less wear", st.Wear, 0.5, 0)
		r.Words("to", "from and to at finished levels, the same as the paving's")
	}
	return r.All
}
