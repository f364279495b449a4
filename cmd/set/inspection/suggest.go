package inspection

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/parts"
	"socle/parts/assembly"
)

// Suggest says of each finding of a piece, or of the scene where p is nil, which keys
// may clear it.
func Suggest(s *set.Set, p *assembly.Piece, all []finding.Finding) {
	for i := range all {
		f := &all[i]
		f.Key, f.Change = "", ""
		if f.Settled {
			continue
		}
		remedies, label := RemediesFor(s, p, f), f.Part
		if part := s.Site.Called(f.Part); part != nil {
			label = part.Label()
		}
		f.Change = hint(f.Check, label, remedies)
		for _, r := range remedies {
			if r.Part == label && r.Key != "" {
				f.Key = r.Key
				break
			}
		}
	}
}

// RemediesFor lists what may clear a finding.
func RemediesFor(s *set.Set, p *assembly.Piece, f *finding.Finding) []parts.Remedy {
	var at *r3.Vec
	if f.At != nil {
		v := finding.Vec(*f.At)
		at = &v
	}
	return s.Place.Remedies(f.Check, s.Site.Called(f.Part), p, at)
}
