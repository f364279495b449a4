package column

import (
	"fmt"
	"math"

	"socle/parts"
)

// sizes are a column's as drawn, mm.
type sizes struct {
	foot, head    float64 // diameters of the shaft
	base, capital float64 // heights, 0 for none
	flutes        int
	fluteDepth    float64
	notes         parts.Notes
}

// settled are the column's sizes, worked out once for its site.
func (c *Column) settled(s *parts.Site) *sizes {
	return parts.Settled(s, c, func() *sizes { return c.settle(s) })
}

// Notes say what is drawn otherwise than the scene gives it.
func (c *Column) Notes(s *parts.Site) []parts.Note { return c.settled(s).notes.List }

// settle works out what the printer can hold, with one note for the shaft where it
// is thickened and one for its ends where they are lowered.
func (c *Column) settle(s *parts.Site) *sizes {
	z := &sizes{
		foot: max(c.Diameter, s.Print.Pin), head: max(c.Diameter*c.Taper, s.Print.Pin),
		notes: parts.Notes{Part: c.Name},
	}
	if head := c.Diameter * c.Taper; z.head > head {
		z.notes.Add("diameter", "%s on the print is drawn at %s, the least pin",
			shaftSize(c.Diameter, head), shaftSize(z.foot, z.head))
	}
	z.base, z.capital = c.ends(s, z.foot)
	if both := z.base + z.capital; both > mostEnds*c.Height {
		k := mostEnds * c.Height / both
		z.base, z.capital = k*z.base, k*z.capital
		z.notes.Add("height", "base and capital of %.2f mm that print would leave no shaft in %.2f mm: they are drawn %.2f mm high", both, c.Height, k*both)
	}
	z.flutes, z.fluteDepth = c.fluting(s, z)
	return z
}

// shaftSize says how thick a shaft is: at both ends where it tapers.
func shaftSize(foot, head float64) string {
	if math.Abs(foot-head) < 0.005 {
		return fmt.Sprintf("%.2f mm", foot)
	}
	return fmt.Sprintf("%.2f mm tapering to %.2f mm", foot, head)
}

// ends gives the heights of the base and the capital of a shaft as drawn, mm:
// half a diameter, at least so tall that the mouldings print.
func (c *Column) ends(s *parts.Site, diameter float64) (base, capital float64) {
	if c.Base != "none" {
		base = max(diameter/2, 2*s.Print.Relief)
	}
	if c.Capital != "none" {
		capital = max(diameter/2, 1.5*s.Print.Wall) // its abacus stands out on its own
	}
	return base, capital
}

// fluting gives the number and the depth of the flutes that print: each at
// least as wide as the gap that stays open, with an arris of half that between.
func (c *Column) fluting(s *parts.Site, z *sizes) (n int, depth float64) {
	if c.Flutes == 0 {
		return 0, 0
	}
	least := 1.5 * s.Print.Gap
	n = min(c.Flutes, int(math.Pi*z.head/least))
	if n < 6 {
		z.notes.Add("flutes", "left out: a shaft of %.2f mm has no room for flutes that print", z.foot)
		return 0, 0
	}
	if n < c.Flutes {
		z.notes.Add("flutes", "%d flutes are drawn in place of %d, so that each is at least %.2f mm wide", n, c.Flutes, s.Print.Gap)
	}
	return n, min(z.foot*0.08, max(s.Print.Relief/2, math.Pi*z.foot/float64(n)*0.3))
}
