package ground

import "socle/parts"

const (
	// kept is how much of broken ground stays in pieces: the rest is loose. Common practice,
	// no source.
	kept = 0.2
	// stony is how much of those pieces is stone, not earth. Common practice, no source.
	stony = 0.5
)

// Breaks gives stones and clods.
func (g *Ground) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	if p.Deep <= 0 {
		return nil
	}
	plot := parts.Area{Rect: []float64{0, 0, g.Size[0], g.Size[1]}}
	volume := kept * p.Deep * p.Cover(plot.Contains)
	if volume == 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Stones, Volume: stony * volume}, {Form: parts.Clods, Volume: (1 - stony) * volume}}
}
