package crater

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/relief"
)

// What lies in a bowl: slumps of its walls, a share of its depth high, and blocks that
// rolled back, the largest at the foot of the wall. Common practice, no source.
const (
	slumpWide   = 0.42 // from slump to slump, over the radius
	slumpHigh   = 0.3  // over the depth, at the greatest roughness
	footAt      = 0.6  // where the wall's foot is, over the radius
	footWide    = 0.4  // how far the large blocks lie from it, over the radius
	fallenBlock = 0.15 // from block to block, over the radius
)

// bedded is a bowl or a groove whose floor is loose ground: what lies on it is left in
// the cut, so that no place is deeper than the profile.
func bedded(c *scoop, lies relief.Relief) sdf.Field {
	if lies == nil {
		return c
	}
	return relief.Carve(c, scaled(lies, c.scale))
}

// floor is all above the floor of the bowl.
func (c *Crater) floor(s *parts.Site, z *craterSizes) sdf.Field {
	bowl := newScoop(z.plan, z.crest()-z.depth, z.bowl)
	clods := c.loose(s, "floor")
	if clods == nil {
		return bowl
	}
	rng := s.Rand(c.Name, c.Seed, "slump")
	fine := s.Print.Relief / 0.3
	slump := relief.NewFacets(rng.Uint64(), slumpWide*z.radius, slumpHigh*c.Roughness*z.depth, 0.2)
	pitch := min(max(fallenBlock*z.radius, 1.5*fine), 4*fine)
	high := min(0.42*pitch*c.gathering(), z.depth/4)
	blocks := relief.Inverse(relief.NewStones(rng.Uint64(), pitch, high, 0.4))
	foot := &ringed{c.At, footAt * z.radius, footWide * z.radius}
	return bedded(bowl, relief.Sum(slump, relief.Deepest(relief.Inverse(clods), relief.Faded(blocks, foot))))
}

// ringed is 0 at a distance from a middle and 1 beyond width mm from that.
type ringed struct {
	centre    r2.Vec
	at, width float64 // mm
}

func (g *ringed) Value(p r3.Vec) float64 {
	d := math.Abs(planar.Norm2(r2.Sub(planar.OnPlan(p), g.centre)) - g.at)
	return min(1, d/g.width)
}

func (g *ringed) Gradient(p r3.Vec) (float64, r3.Vec) {
	v := r2.Sub(planar.OnPlan(p), g.centre)
	l := planar.Norm2(v)
	d := math.Abs(l - g.at)
	if d >= g.width || l < 1e-300 {
		return min(1, d/g.width), r3.Vec{}
	}
	k := math.Copysign(1/(g.width*l), l-g.at)
	return min(1, d/g.width), sdf.V(k*v.X, k*v.Y, 0)
}

func (g *ringed) Depth() float64    { return 1 }
func (g *ringed) Steepest() float64 { return 1 / g.width }
func (g *ringed) Cost() int         { return 1 }

func (g *ringed) Prune(sdf.Ball) relief.Relief { return g }
