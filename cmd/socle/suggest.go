package main

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
)

// suggest says of each concern of a piece, or of the scene where p is nil, which keys
// may clear it.
func (s *Set) suggest(p *parts.Piece, all []concern) {
	for i := range all {
		c := &all[i]
		c.Key, c.Change = "", ""
		if c.Settled {
			continue
		}
		remedies, label := s.remediesOf(p, c), c.Part
		if part := s.site.Called(c.Part); part != nil {
			label = part.Label()
		}
		c.Change = parts.Hint(c.Check, label, remedies)
		for _, r := range remedies {
			if r.Part == label && r.Key != "" {
				c.Key = r.Key
				break
			}
		}
	}
}

// remediesOf lists what may clear a concern.
func (s *Set) remediesOf(p *parts.Piece, c *concern) []parts.Remedy {
	var at *r3.Vec
	if c.At != nil {
		v := vec(*c.At)
		at = &v
	}
	return s.whole.Remedies(c.Check, s.site.Called(c.Part), p, at)
}
