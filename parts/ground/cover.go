package ground

import (
	"math"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// cover is what lies loose on land: the relief of its floor, over the plan, and of the
// slope beside it. Both are nil on plain ground.
type cover struct{ top, side relief.Relief }

func (g *Ground) coverOf(s *parts.Site, of, beside, purpose string) cover {
	rng := s.Rand(g.Name, g.Seed, purpose)
	return cover{surface.Soil(s, of, rng.Uint64()), surface.Bank(s, beside, rng.Uint64())}
}

// dip is the most that it lies below its level, mm.
func (c cover) dip() (d float64) {
	for _, h := range []relief.Relief{c.top, c.side} {
		if h != nil {
			d = math.Max(d, h.Depth())
		}
	}
	return d
}

// below is the land below a level.
func (c cover) below(level float64) sdf.Field {
	return relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), level), c.top)
}

// loose is endless land with its lowest places at 0, nil where it is smooth.
func (c cover) loose() sdf.Field {
	if c.top == nil {
		return nil
	}
	return c.below(c.top.Depth())
}

func orElse(given *string, usual string) string {
	if given != nil {
		return *given
	}
	return usual
}

// dips is how land dips over metres; nil on flat ground.
func (g *Ground) dips(s *parts.Site) relief.Relief {
	if g.Surface != "uneven" {
		return nil
	}
	depth := 2 * s.Print.Relief
	if g.Amplitude != nil {
		depth = *g.Amplitude
	}
	return relief.NewFacets(s.Rand(g.Name, g.Seed, "surface").Uint64(), g.Wavelength/2, depth, 0.1)
}
