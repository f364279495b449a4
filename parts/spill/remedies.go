package spill

import (
	"math"
	"slices"

	"socle/parts"
)

// Remedies of a spill.
func (p *Spill) Remedies(s *parts.Site, t parts.Trouble) []parts.Remedy {
	z := p.settled(s)
	if !z.lies || !(t.Thin() || t.Hanging() || t.Trapped() || t.Of("narrow-gap", "shallow-relief", "uneven-risers", "stand", "rough-stand")) {
		return nil
	}
	r := parts.RemediesOf(p)
	if p.Under != "filled" && (t.Thin() || t.Hanging() || t.Trapped()) {
		r.To("under", "filled under the fragments", "filled")
	}
	if slices.ContainsFunc(z.stuff, func(x stuff) bool { return x.Form == parts.Stones }) {
		r.Scaled("sherds", "fewer sherds", p.Sherds, 0.5, 0)
	}
	r.Seeds(p.Seed)
	larger := [2]float64{parts.Handy(1.3 * z.law.least), parts.Handy(math.Max(z.law.most, 1.3*z.law.least))}
	r.Together("size", "a larger least size", []parts.Move{r.Move("size", larger)})
	if p.Count != nil {
		r.To("count", "fewer fragments", max(1, *p.Count*7/10), max(1, *p.Count*4/10))
	} else {
		amount := spillAmount
		if p.Amount != nil {
			amount = *p.Amount
		}
		r.Scaled("amount", "fewer fragments", amount, 0.7, 0.4)
	}
	if p.Area == nil && t.Of("uneven-risers", "stand", "rough-stand") {
		r.Scaled("reach", "a smaller reach", z.reach, 0.75, 0.5)
	}
	return r.All
}
