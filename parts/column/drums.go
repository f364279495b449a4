package column

import (
	"math"
	"math/rand/v2"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/relief"
)

// drumHigh is the height of a drum over the shaft's diameter. Common practice, no source.
const drumHigh = 1.3

// drums is the texture of a shaft that stands from a height up, about the axis: joints
// between its drums, and faces that are not quite round. What is left is a pin that
// prints, mm.
func (c *Column) drums(s *parts.Site, z *sizes, seed uint64, from float64) relief.Relief {
	most := min((z.head-s.Print.Pin)/2-z.fluteDepth, s.Print.Relief)
	if c.Surface == surface.Plain || most < 0.8*s.Grain() {
		return nil
	}
	high := max(drumHigh*z.foot, 6*s.Print.Gap)
	joints := relief.NewGrooves(seed, high, s.Print.Gap, min(most, s.Print.Relief), 1, 0).At(from + high)
	face := surface.Piece{Seed: seed + 1, Most: most}.Face(s, c.Surface)
	if z.flutes > 0 { // the arrises between the flutes are chipped alone
		face = relief.NewFacets(seed+1, 1.2, min(most, s.Grain()), 0.4)
	}
	// Along y of the wrapped plane: the height.
	return relief.Round(relief.Deepest(relief.Place(joints, sdf.Turn(sdf.V(0, 0, 1), 90)), face), z.foot/2)
}

// drumSeed is that of the texture of one column.
func drumSeed(base uint64, i int) uint64 {
	return rand.New(rand.NewPCG(base, uint64(i))).Uint64() & math.MaxInt64
}
