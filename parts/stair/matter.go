package stair

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
)

// Breaks gives the steps of the flight, as stones of a riser and a going.
func (st *Stair) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	if p.Deep <= 0 || st.To.Height <= st.From.Height || st.Foot == nil && st.Head == nil {
		return nil
	}
	l := st.settled(s)
	if l.fault != nil {
		return nil
	}
	area := p.Cover(func(q r2.Vec) bool { _, on := st.Standing(s, q); return on })
	if area == 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Blocks, Volume: area * (l.Riser + p.Deep) / 2, Unit: sdf.V(2*l.Going, l.Going, l.Riser)}}
}
