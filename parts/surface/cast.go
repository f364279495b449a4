package surface

import (
	"math"

	"socle/parts"
	"socle/sdf/relief"
)

// Upright is the texture of a whole wall by a word, in a frame with x along the wall and y
// up it: of "concrete", cast between boards, "render", some of which has come off the
// bricks, and of a piece else. It takes off no more than most, mm.
func Upright(s *parts.Site, word string, seed uint64, wear, most float64) relief.Relief {
	d := math.Min(Grain(s)*1.2, most/2)
	high := math.Max(s.OnPrint(150), 4.5*s.Print.Gap) // of a board
	switch word {
	case Concrete:
		boards := relief.NewPanels(seed, math.Max(s.OnPrint(3500), 6*high), high, s.Print.Gap, 0.9*d, 0.7*d, 0)
		return relief.Sum(boards, pits(seed+1, s, 0.9*d, 0.12+0.15*wear))
	case Render:
		course, brick := math.Max(s.OnPrint(75), 3*s.Print.Gap), math.Max(s.OnPrint(225), 8*s.Print.Gap)
		bricks := relief.Sum(relief.Even(0.8*d), relief.NewPanels(seed, brick, course, 1.1*s.Print.Gap, d, 0.3*d, 0))
		fallen := relief.NewFacets(seed+1, math.Max(4*course, s.OnPrint(700)), 16*d, 1-0.5*wear)
		return relief.Deepest(
			relief.NewFacets(seed+2, 2*coarse(s), 0.8*d, 0.35),
			relief.Shallowest(bricks, fallen))
	}
	return Piece{Seed: seed, Depth: d, Most: most}.Face(s, word)
}

// Kerb is the texture of kerbs and nosings in lengths: a joint between each and the next,
// and faces that are not quite flat. It takes off no more than most, mm.
func Kerb(s *parts.Site, seed uint64, long, most float64) relief.Relief {
	joint := math.Min(s.Print.Relief, most) / 2
	return relief.Sum(
		relief.NewPanels(seed, long, long, s.Print.Gap, joint, 0, 0),
		relief.NewFacets(seed+1, fine(s), math.Min(Grain(s), most/2), 0.4))
}
