package inspection

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/parts"
)

// Suggest says of each concern of a piece, or of the scene where p is nil, which keys
// may clear it.
func Suggest(s *set.Set, p *parts.Piece, all []finding.Finding) {
	for i := range all {
		c := &all[i]
		c.Key, c.Change = "", ""
		if c.Settled {
			continue
		}
		remedies, label := RemediesFor(s, p, c), c.Part
		if part := s.Site.Called(c.Part); part != nil {
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

// RemediesFor lists what may clear a concern.
func RemediesFor(s *set.Set, p *parts.Piece, c *finding.Finding) []parts.Remedy {
	var at *r3.Vec
	if c.At != nil {
		v := finding.Vec(*c.At)
		at = &v
	}
	return s.Place.Remedies(c.Check, s.Site.Called(c.Part), p, at)
}
