package paving

import "socle/parts"

// Remedies of a paving.
func (p *Paving) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	z := p.settled(s)
	r := parts.RemediesOf(p)
	switch {
	case t.Thin() || t.Hanging() || t.Trapped() || t.Of("rough-stand", "stand"):
		if t.Hanging() && p.Tilt != nil {
			r.Scaled("tilt", "less tilt", *p.Tilt, 0.5, 0)
		}
		r.Scaled("wear", "less wear", p.Wear, 0.5, 0)
		r.Seeds(p.Seed)
		r.Scaled("recess", "shallower joints", z.recess, 0.8)
	case t.Of("narrow-gap"):
		r.Scaled("joint", "wider joints", z.joint, 1.2, 1.5)
		r.Scaled("wear", "less wear", p.Wear, 0.5, 0)
	case t.Of("shallow-relief"):
		r.Scaled("recess", "deeper joints", z.recess, 1.2, 1.5)
		r.Scaled("wear", "less wear", p.Wear, 0.5, 0)
	case t.Of("unit"):
		r.Words("stone", "a larger stone with a wider joint")
	case t.Of("uneven-risers"):
		r.Words("level", "the level that the stair measures from")
	}
	return r.All
}
