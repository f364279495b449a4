package crater

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/relief"
)

// gathering is how far what a crater throws out gathers into rays and clods: all the way
// from half its greatest roughness on.
func (c *Crater) gathering() float64 { return min(1, 2*c.Roughness) }

// loose are the clods of the crater; nil for a smooth one.
func (c *Crater) loose(s *parts.Site, purpose string) relief.Relief {
	if c.Roughness == 0 {
		return nil
	}
	return loose(s, s.Rand(c.Name, c.Seed, purpose).Uint64(), c.gathering())
}

// sheet is the rim and the blanket, before they are laid on the work.
func (c *Crater) sheet(s *parts.Site, z *craterSizes) *sheet {
	e := &sheet{
		plan: z.plan, level: z.level, uplift: z.uplift, flank: craterFlank * c.Diameter, fall: z.fall,
		lumps: sdf.NewNoise(s.Rand(c.Name, c.Seed, "blanket").Uint64(), max(0.5*z.radius, 2), 2),
		lump:  min(1.6*c.Roughness, 0.9), bump: 0.25 * c.Roughness * z.rim,
		gather: c.gathering(), spread: 0.5 * z.radius,
	}
	e.edge = e.ejectaReach(c.Blanket*z.radius, featherEdge)
	if c.Roughness > 0 {
		e.rays = newRays(s.Rand(c.Name, c.Seed, "rays"), c.At, z.radius, e.edge)
	}
	if !onFinish(s, c.At, z.level) {
		e.sag = s.Roughness(z.level) / 2
	}
	return e
}

// onFinish says whether a finish is laid at a level at a place of the plan.
func onFinish(s *parts.Site, at r2.Vec, level float64) bool {
	for _, f := range parts.Finishes(s, level) {
		if f.Area.Contains(at) {
			return true
		}
	}
	return false
}

// clods are single ones on what was thrown and beyond it.
func (c *Crater) clods(s *parts.Site, z *craterSizes, e *sheet, work sdf.Field, thrown []sdf.Field) []sdf.Field {
	if c.Roughness == 0 {
		return nil
	}
	on := append([]sdf.Field{sdf.HalfSpace(sdf.V(0, 0, 1), z.level)}, thrown...)
	if work != nil {
		on[0] = work
	}
	law := clodLaw{centre: c.At, radius: 1.12 * z.radius, last: max(clodReach*e.edge, 1.6*z.radius), least: leastClod(s), rays: e.rays}
	cracks := c.cracks(s)
	clear := func(at r2.Vec, size float64) bool { return offCracks(cracks, at, 0.6*size) }
	dip := s.Roughness(z.level)
	return thrownClods(s.Rand(c.Name, c.Seed, "thrown"), law, sdf.Union(on...), z.level-dip-0.8, z.level+e.highest+0.5, clear)
}
