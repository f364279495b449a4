package column

import (
	"math"

	"socle/parts"
	"socle/sdf"
)

const (
	// drumHeight is how tall a drum of a shaft is over its diameter. Common practice, no
	// source.
	drumHeight = 0.8
	// fallen is how much of a column's height at least lies about it once it is struck.
	fallen = 0.3
)

// Breaks gives the drums of the shafts that the patch holds, or that are broken and have
// come down on it.
func (c *Column) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	z := c.settled(s)
	lost, falls := c.Broken, c.Broken*c.Height
	if p.Deep > 0 || lost == 0 {
		lost, falls = math.Max(lost, fallen), z.foot/2
	}
	count := 0
	for _, at := range c.At {
		if p.Distance(at) <= falls {
			count++
		}
	}
	if count == 0 {
		return nil
	}
	d := (z.foot + z.head) / 2
	return []parts.Matter{{Form: parts.Drums, Volume: float64(count) * math.Pi / 4 * d * d * lost * c.Height, Unit: sdf.V(d, d, drumHeight*d)}}
}
