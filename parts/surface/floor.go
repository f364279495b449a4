package surface

import (
	"math"

	"socle/parts"
	"socle/sdf/relief"
)

// The words for what a deck is made of.
const (
	Stone  = "stone"
	Timber = "timber"
)

// OfMaterial is the usual surface of what a deck is made of.
func OfMaterial(material string) string {
	switch material {
	case Timber:
		return Boards
	case Concrete, Plate:
		return material
	}
	return Tooled
}

// BoardWidth is the width of a floor board on the print, mm: 200 mm full size, no narrower
// than shows between its seams. Common practice, no source.
func BoardWidth(s *parts.Site) float64 {
	return math.Max(s.OnPrint(200), math.Max(s.Print.Wall, 5*s.Print.Gap))
}

// Floor is the texture of a whole floor in one piece, by a word; nil for none. Boards run
// along x.
func Floor(s *parts.Site, word string, seed uint64) relief.Relief {
	d, gap, deep := s.Grain()*1.2, s.Print.Gap, s.Print.Relief
	switch word {
	case Plain:
		return nil
	case Boards: // boards of 200 mm by 4 m, nailed down at their ends
		wide := BoardWidth(s)
		long := math.Max(s.OnPrint(4000), 4*wide)
		boards := relief.NewPanels(seed, long, wide, 1.2*gap, deep, 0.5*d, 0.8*d).Split(0.3)
		nails := relief.NewHeads(boards, true, 2.2*gap, wide/2, 0.4*gap, 0.3*gap, d) // two in each end
		return relief.Sum(relief.Deepest(boards, relief.Inverse(nails)), grain(seed+1, s, d), pits(seed+3, s, d, 0.04))
	case Concrete: // cast between boards in bays of 3 m
		bay := math.Max(s.OnPrint(3000), 20*gap)
		bays := relief.NewPanels(seed, bay, bay, 1.2*gap, 0.7*deep, 0.3*d, 0)
		return relief.Sum(bays, relief.NewFacets(seed+1, 1.1*coarse(s), 1.4*d, 0.3), pits(seed+2, s, d, 0.15))
	case Plate: // plates of 1.5 by 3 m, riveted along their long seams and welded end to end
		bar := math.Max(1.6*gap, s.OnPrint(30))
		n := math.Max(2, math.Round(s.OnPrint(1500)/(3*bar)))
		wide := 3 * bar * n
		raised, row := 1.5*s.Grain(), 1.1*bar // a row of rivets lies so far beside its seam
		seams := relief.NewPanels(seed, 2*wide, wide, gap, deep, 0.4*d, 0)
		edges := relief.NewPanels(seed, 2*wide, wide, 4*row, 2*raised, 0, 0)
		bars := relief.Deepest(
			relief.NewStuds(3*bar, 3*bar, 2.4*bar, 0.8*bar, 0.3*bar, raised, true),
			relief.Shallowest(edges, relief.Even(raised)))
		rivets := relief.NewHeads(seams, false, row, 2.4*bar, 0.4*bar, 0.3*bar, raised)
		weld := relief.NewHeads(seams, true, 0, 1.2*gap, 0.6*gap, 0.5*gap, deep+raised)
		return relief.Shallowest(relief.Sum(seams, relief.Shallowest(bars, rivets)), weld)
	}
	// Flags of 600 by 900 mm.
	wide := math.Max(s.OnPrint(600), 8*gap)
	flags := relief.NewPanels(seed, 1.5*wide, wide, gap*1.3, deep, 0.6*d, 0)
	return relief.Sum(flags, Piece{Seed: seed + 1, Depth: d, Worn: 0.3}.Face(s, word))
}
