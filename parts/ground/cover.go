package ground

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// cover is what lies loose on land: the relief of its floor, over the plan, and of the
// slope beside it. Both are nil on plain ground.
type cover struct{ top, side relief.Relief }

func (g *Ground) coverOf(s *parts.Site, of, purpose string) cover {
	rng := s.Rand(g.Name, g.Seed, purpose)
	return cover{surface.Soil(s, of, rng.Uint64()), surface.Bank(s, of, rng.Uint64())}
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

func orElse(given *string, usual string) string {
	if given != nil {
		return *given
	}
	return usual
}

// dips is how land dips over metres, by a noise over the plan.
type dips struct {
	noise *sdf.Noise
	depth float64 // mm
}

// contrast widens the noise, which is seldom far from its middle, so that the
// land uses all of its depth; what it pushes past the ends is level.
const contrast = 1.8

// dips are nil on flat ground.
func (g *Ground) dips(s *parts.Site) relief.Relief {
	if g.Surface != "uneven" {
		return nil
	}
	depth := 2 * s.Print.Relief
	if g.Amplitude != nil {
		depth = *g.Amplitude
	}
	return &dips{sdf.NewNoise(s.Rand(g.Name, g.Seed, "surface").Uint64(), g.Wavelength, 2), depth}
}

// share is the part of the depth that a noise value takes off.
func share(v float64) float64 {
	return math.Max(0, math.Min(1, (1+float64(contrast*v))/2))
}

func (d *dips) Value(p r3.Vec) float64 {
	return d.depth * share(d.noise.Value(sdf.V(p.X, p.Y, 0)))
}

func (d *dips) Gradient(p r3.Vec) (float64, r3.Vec) {
	v, g := d.noise.Gradient(sdf.V(p.X, p.Y, 0))
	n := share(v)
	k := d.depth * contrast / 2
	if n == 0 || n == 1 {
		k = 0
	}
	return d.depth * n, sdf.V(k*g.X, k*g.Y, 0)
}

func (d *dips) Depth() float64    { return d.depth }
func (d *dips) Steepest() float64 { return contrast / 2 * d.depth * d.noise.Slope() }
func (d *dips) Cost() int         { return 2 }
