package crater

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
	"socle/sdf"
)

// scarPlan is the distance in the plan from the middle of a scar - a point or a
// line - with a lip that wanders: the distance is stretched and squeezed by a
// noise, not at all in the middle and fully from the lip on.
type scarPlan struct {
	middle  planar.Shape
	box     r2.Box  // about the middle
	radius  float64 // from the middle to the lip, mm
	noise   *sdf.Noise
	wander  float64 // the most that the lip wanders, as a share of the radius
	stretch float64 // bound on the slope
}

func newScarPlan(middle planar.Shape, box r2.Box, radius, wander float64, noise *sdf.Noise) *scarPlan {
	return &scarPlan{middle: middle, box: box, radius: radius, noise: noise, wander: wander,
		stretch: 1 + wander*(1+radius*noise.Slope())}
}

// pruned is the plan for a ball: the same bits everywhere in it.
func (s *scarPlan) pruned(b sdf.Ball) *scarPlan {
	line, ok := s.middle.(*track)
	if !ok {
		return s
	}
	near := line.pruned(planar.OnPlan(b.C), b.R)
	if near == line {
		return s
	}
	out := *s
	out.middle = near
	return &out
}

// At is the distance in mm, at least 0.
func (s *scarPlan) At(p r2.Vec) float64 {
	r := s.middle.At(p)
	if s.wander == 0 {
		return r
	}
	w := float64(s.wander * min(r, s.radius))
	return r + float64(w*s.noise.Value(sdf.V(p.X, p.Y, 0)))
}

func (s *scarPlan) Slope(p r2.Vec) (float64, r2.Vec) {
	r, g := s.middle.Slope(p)
	if s.wander == 0 {
		return r, g
	}
	n, h := s.noise.Gradient(sdf.V(p.X, p.Y, 0))
	w := float64(s.wander * min(r, s.radius))
	along := 1.0
	if r < s.radius {
		along += s.wander * n
	}
	return r + float64(w*n), r2.Vec{X: along*g.X + w*h.X, Y: along*g.Y + w*h.Y}
}

// within is a box that holds every point whose distance is at most r, for r at
// least the radius.
func (s *scarPlan) within(r float64) r2.Box { return planar.GrownBox(s.box, r+s.wander*s.radius) }

// planned is a field over a plan; over gives the same field over another plan.
type planned interface {
	sdf.Field
	over(*scarPlan) sdf.Field
}

// prunedTo is a field over a plan, for a ball: the same bits everywhere in it.
func prunedTo(b sdf.Ball, f planned, plan *scarPlan) sdf.Field {
	if near := plan.pruned(b); near != plan {
		return f.over(near)
	}
	return f
}

// profile is the section of a scar over the distance from its middle: a parabola from
// the floor out to bend, and straight from there on.
type profile struct {
	curve float64 // of the parabola, 1/mm
	bend  float64 // mm from the middle
	slope float64 // of the straight part, a tangent
}

// height is the height at a distance r from the middle, mm, with the floor at a height.
func (c profile) height(floor, r float64) float64 {
	if r <= c.bend {
		return floor + float64(c.curve*r*r)
	}
	return floor + float64(c.curve*c.bend*c.bend) + float64(c.slope*(r-c.bend))
}

// radius is the distance from the middle at a height above the floor, mm.
func (c profile) radius(height float64) float64 {
	if at := c.curve * c.bend * c.bend; height > at {
		return c.bend + (height-at)/c.slope
	}
	return math.Sqrt(height / c.curve)
}

// scoop is what a scar takes out, up to any height: all that lies above its profile.
// Is a lower bound.
type scoop struct {
	profile
	plan  *scarPlan
	floor float64 // height in the middle, mm
	scale float64
}

func newScoop(plan *scarPlan, floor float64, section profile) *scoop {
	return &scoop{profile: section, plan: plan, floor: floor, scale: 1 / math.Hypot(1, section.slope*plan.stretch)}
}

func (c *scoop) Value(p r3.Vec) float64 {
	return (c.height(c.floor, c.plan.At(r2.Vec{X: p.X, Y: p.Y})) - p.Z) * c.scale
}

func (c *scoop) Gradient(p r3.Vec) (float64, r3.Vec) {
	r, g := c.plan.Slope(r2.Vec{X: p.X, Y: p.Y})
	k := c.slope
	if r <= c.bend {
		k = 2 * c.curve * r
	}
	k *= c.scale
	return (c.height(c.floor, r) - p.Z) * c.scale, sdf.V(k*g.X, k*g.Y, -c.scale)
}

func (c *scoop) Bounds() r3.Box     { return sdf.HalfSpace(sdf.V(0, 0, -1), -c.floor).Bounds() }
func (c *scoop) Lipschitz() float64 { return 1 }
func (c *scoop) Tightness() float64 { return c.scale }
func (c *scoop) Cost() int          { return 1 }

func (c *scoop) Prune(b sdf.Ball) sdf.Field { return prunedTo(b, c, c.plan) }

func (c scoop) over(plan *scarPlan) sdf.Field {
	c.plan = plan
	return &c
}

// shaft is the room that a blast clears above a scar: upright up to the lip, then
// opening a little, up to the sky. Is a lower bound.
type shaft struct {
	plan     *scarPlan
	lip      float64 // height, mm
	sin, cos float64 // of the opening against the vertical
	most     float64 // distance at which it stops opening, mm
}

func newShaft(plan *scarPlan, lip, opening, most float64) *shaft {
	sin, cos := math.Sincos(opening * math.Pi / 180)
	return &shaft{plan: plan, lip: lip, sin: sin, cos: cos, most: most}
}

func (s *shaft) values(r, z float64) (cone, pipe float64) {
	return float64((r-s.plan.radius)*s.cos) - float64(max(0, z-s.lip)*s.sin), r - s.most
}

func (s *shaft) Value(p r3.Vec) float64 {
	cone, pipe := s.values(s.plan.At(r2.Vec{X: p.X, Y: p.Y}), p.Z)
	return max(cone, pipe) / s.plan.stretch
}

func (s *shaft) Gradient(p r3.Vec) (float64, r3.Vec) {
	r, g := s.plan.Slope(r2.Vec{X: p.X, Y: p.Y})
	cone, pipe := s.values(r, p.Z)
	if pipe > cone {
		return pipe / s.plan.stretch, sdf.V(g.X/s.plan.stretch, g.Y/s.plan.stretch, 0)
	}
	up := 0.0
	if p.Z > s.lip {
		up = -s.sin / s.plan.stretch
	}
	k := s.cos / s.plan.stretch
	return cone / s.plan.stretch, sdf.V(k*g.X, k*g.Y, up)
}

func (s *shaft) Bounds() r3.Box {
	b := s.plan.within(s.most)
	return r3.Box{Min: sdf.V(b.Min.X, b.Min.Y, math.Inf(-1)), Max: sdf.V(b.Max.X, b.Max.Y, math.Inf(1))}
}

func (s *shaft) Lipschitz() float64 { return 1 }

// Tightness: from the lip outward the noise adds a constant share of the radius
// at most, which the bounds allow for.
func (s *shaft) Tightness() float64 { return 1 / s.plan.stretch }
func (s *shaft) Cost() int          { return 1 }

func (s *shaft) Prune(b sdf.Ball) sdf.Field { return prunedTo(b, s, s.plan) }

func (s shaft) over(plan *scarPlan) sdf.Field {
	s.plan = plan
	return &s
}
