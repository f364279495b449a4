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
	w := float64(s.wander * math.Min(r, s.radius))
	return r + float64(w*s.noise.Value(sdf.V(p.X, p.Y, 0)))
}

func (s *scarPlan) Slope(p r2.Vec) (float64, r2.Vec) {
	r, g := s.middle.Slope(p)
	if s.wander == 0 {
		return r, g
	}
	n, h := s.noise.Gradient(sdf.V(p.X, p.Y, 0))
	w := float64(s.wander * math.Min(r, s.radius))
	along := 1.0
	if r < s.radius {
		along += s.wander * n
	}
	return r + float64(w*n), r2.Vec{X: along*g.X + w*h.X, Y: along*g.Y + w*h.Y}
}

// Within is a box that holds every point whose distance is at most r, for r at
// least the radius.
func (s *scarPlan) Within(r float64) r2.Box { return planar.GrownBox(s.box, r+s.wander*s.radius) }

// scoop is what a scar takes out, up to any height: all that lies above a
// profile over the distance from the middle. The profile is a parabola from
// the floor out to bend, and straight from there on. Is a lower bound.
type scoop struct {
	plan  *scarPlan
	floor float64 // height in the middle, mm
	curve float64 // of the parabola, 1/mm
	bend  float64 // mm from the middle
	slope float64 // of the straight part, a tangent
	scale float64
}

func newScoop(plan *scarPlan, floor, curve, bend, slope float64) *scoop {
	return &scoop{plan: plan, floor: floor, curve: curve, bend: bend, slope: slope,
		scale: 1 / math.Hypot(1, slope*plan.stretch)}
}

// profile is the height of the scar at a distance from its middle.
func (c *scoop) profile(r float64) float64 {
	if r <= c.bend {
		return c.floor + float64(c.curve*r*r)
	}
	return c.floor + float64(c.curve*c.bend*c.bend) + float64(c.slope*(r-c.bend))
}

func (c *scoop) Value(p r3.Vec) float64 {
	return (c.profile(c.plan.At(r2.Vec{X: p.X, Y: p.Y})) - p.Z) * c.scale
}

func (c *scoop) Gradient(p r3.Vec) (float64, r3.Vec) {
	r, g := c.plan.Slope(r2.Vec{X: p.X, Y: p.Y})
	k := c.slope
	if r <= c.bend {
		k = 2 * c.curve * r
	}
	k *= c.scale
	return (c.profile(r) - p.Z) * c.scale, sdf.V(k*g.X, k*g.Y, -c.scale)
}

func (c *scoop) Bounds() r3.Box     { return sdf.HalfSpace(sdf.V(0, 0, -1), -c.floor).Bounds() }
func (c *scoop) Lipschitz() float64 { return 1 }
func (c *scoop) Tightness() float64 { return c.scale }
func (c *scoop) Cost() int          { return 1 }

func (c *scoop) Prune(b sdf.Ball) sdf.Field {
	plan := c.plan.pruned(b)
	if plan == c.plan {
		return c
	}
	out := *c
	out.plan = plan
	return &out
}

// shaft is the way that a blast clears above a scar: upright up to the lip,
// then opening a little, up to the sky. Is a lower bound.
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
	return float64((r-s.plan.radius)*s.cos) - float64(math.Max(0, z-s.lip)*s.sin), r - s.most
}

func (s *shaft) Value(p r3.Vec) float64 {
	cone, pipe := s.values(s.plan.At(r2.Vec{X: p.X, Y: p.Y}), p.Z)
	return math.Max(cone, pipe) / s.plan.stretch
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
	b := s.plan.Within(s.most)
	return r3.Box{Min: sdf.V(b.Min.X, b.Min.Y, math.Inf(-1)), Max: sdf.V(b.Max.X, b.Max.Y, math.Inf(1))}
}

func (s *shaft) Lipschitz() float64 { return 1 }

// Tightness: from the lip outward the noise adds a constant share of the radius
// at most, which the bounds allow for.
func (s *shaft) Tightness() float64 { return 1 / s.plan.stretch }
func (s *shaft) Cost() int          { return 1 }

func (s *shaft) Prune(b sdf.Ball) sdf.Field {
	plan := s.plan.pruned(b)
	if plan == s.plan {
		return s
	}
	out := *s
	out.plan = plan
	return &out
}
