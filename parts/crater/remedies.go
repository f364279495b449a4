package crater

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// Remedies of a crater: what it breaks off least of all first, then its shape, its
// chances and its place.
func (c *Crater) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	z := c.settled(s)
	r := parts.RemediesOf(c)
	shallower := func() { r.Scaled("depth", "less depth", z.depth, 0.9, 0.8, 0.65) }
	switch {
	case t.Thin() || t.Hanging() || t.Trapped() || t.Of("narrow-gap"):
		cracked, lifted := c.Cracks == nil || *c.Cracks > 0, c.Spall == nil || *c.Spall > 0
		if cracked {
			r.Set("cracks", "", 0)
		}
		if lifted {
			r.Set("spall", "", 0)
		}
		if cracked && lifted {
			r.Together("cracks", "", []parts.Move{r.Move("cracks", 0), r.Move("spall", 0)})
		}
		if cracked && t.Of("narrow-gap") {
			r.Scaled("crack", "wider cracks", z.crack, 1.5, 2)
		}
		r.Scaled("roughness", "less roughness", c.Roughness, 0.5, 0)
		r.Scaled("depth", "a little more or less depth", z.depth, 1.1, 0.9, 1.25, 0.75)
		r.Seeds(c.Seed)
		r.Spare(t, c.Only, c.Spares)
	case t.Of("shallow-relief"):
		r.Scaled("cleft", "deeper cracks", z.cleft, 1.5)
		r.Set("cracks", "", 0)
	case t.Of("uneven-foot", "bow", "skin"):
		shallower()
	case t.Of("uneven-risers", "stand", "rough-stand"):
		r.Spare(t, c.Only, c.Spares)
		shallower()
	default:
		return nil
	}
	r.Shifts("at", "move it a little", c.At, r2.Vec{})
	return r.All
}

// Remedies of a gouge.
func (g *Gouge) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	r := parts.RemediesOf(g)
	switch {
	case t.Thin() || t.Hanging() || t.Trapped() || t.Of("narrow-gap"):
		r.Scaled("roughness", "less roughness", g.Roughness, 0.5, 0)
		r.Scaled("width", "a little wider or narrower", g.Width, 1.1, 0.9, 1.25)
		r.Scaled("depth", "a little more or less depth", g.Depth, 0.9, 1.1, 0.75)
		r.Seeds(g.Seed)
		r.Spare(t, g.Only, g.Spares)
	case t.Of("shallow-relief"):
		r.Scaled("depth", "a deeper gouge", g.Depth, 1.25, 1.6)
	case t.Of("uneven-foot", "bow", "skin"):
		r.Scaled("depth", "less depth", g.Depth, 0.9, 0.8, 0.65)
	case t.Of("uneven-risers", "stand", "rough-stand"):
		r.Spare(t, g.Only, g.Spares)
		r.Scaled("depth", "less depth", g.Depth, 0.8, 0.65)
	default:
		return nil
	}
	r.Words("line", "move it a little")
	return r.All
}
