package surface

import (
	"math"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/relief"
)

// Upright is the texture of a whole wall by a word, in a frame with x along the wall and y
// up it: of "concrete", cast between boards, "render", some of which has come off the
// bricks, and of a piece else. It takes off no more than most, mm.
func Upright(s *parts.Site, word string, seed uint64, wear, most float64) relief.Relief {
	d := math.Min(s.Grain()*1.2, most/2)
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
			relief.NewFacets(seed+2, 1.2*coarse(s), d, 0.3),
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
		relief.NewFacets(seed+1, fine(s), math.Min(s.Grain(), most/2), 0.4))
}

// Flank is the texture of the sides of a deck by the word for its top: courses of stone,
// boards, seams of plate. In a frame with x along the side and y up. It takes off no more
// than most, mm.
func Flank(s *parts.Site, word string, seed uint64, most float64) relief.Relief {
	gap, deep := s.Print.Gap, math.Min(s.Print.Relief, most/2)
	course := func(long, high float64) relief.Relief {
		h := math.Max(s.OnPrint(high), 4*gap)
		return relief.NewPanels(seed, math.Max(s.OnPrint(long), 2*h), h, gap, deep, 0.25*deep, 0)
	}
	d := math.Min(1.2*s.Grain(), most/2)
	switch word {
	case Plain:
		return nil
	case Concrete:
		return Upright(s, Concrete, seed, 0.3, most)
	case Boards:
		return relief.Sum(course(4000, 200), grain(seed+1, s, d))
	case Plate:
		return course(3000, 1500)
	}
	return relief.Sum(course(700, 300), relief.NewFacets(seed+1, coarse(s), d, 0.25))
}

// AllRound takes a relief from a frame with x along a side and y up to sides of every
// heading of a solid, turned by degrees in the plan: x runs at 45 degrees to two of them.
func AllRound(h relief.Relief, degrees float64) relief.Relief {
	return relief.Place(h, sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.Turn(sdf.V(0, 0, 1), degrees+45)))
}
