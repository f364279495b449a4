package theme

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

const (
	// stanceShare is how wide a figure stands, in its height: legs apart, or in its
	// stride. stanceSide is the most of a base's short side that its stand takes for
	// that. Both are common practice, no source.
	stanceShare, stanceSide = 0.4, 0.5
	// floorPlay is how far a floor beside a stand may lie from it, mm: what is told by
	// the inspection of a built one.
	floorPlay = 0.5
)

// stance is the least diameter of a stand on a base of a short side, mm, where a person
// is so tall on the print.
func stance(side, person float64) float64 {
	return math.Min(math.Min(stanceShare*person, stanceSide*side), parts.LargestFoot)
}

// standFaults says which stands are too small for a figure, and which do not lie on one
// floor.
func standFaults(s *parts.Site) (wrong []string) {
	person := s.OnPrint(1000 * s.Scale.Person)
	for _, b := range parts.AllOf[*parts.Base](s) {
		if b.At == nil {
			continue
		}
		turn := 0.0
		if b.Turn != nil {
			turn = *b.Turn
		}
		for _, st := range b.Stands {
			if least := stance(footOf(b).side(), person); st.Round < least-0.5 {
				wrong = append(wrong, fmt.Sprintf("the stand of base %q is %.1f mm for a figure of %.1f, which wants %.1f", b.Name, st.Round, person, least))
			}
			middle := r2.Add(*b.At, turned(st.At, turn))
			level := math.Inf(1)
			switch floor, ok := s.FloorAt(middle); {
			case st.Level != nil:
				level = st.Level.Height
			case st.Height == nil && ok:
				level = floor
			}
			for _, p := range append(ringOf(middle, st.Round/2), middle) {
				if floor, ok := s.FloorAt(p); !ok || math.Abs(floor-level) > floorPlay {
					wrong = append(wrong, fmt.Sprintf("the stand of base %q lies at %.1f mm, and the floor there at %.1f", b.Name, level, floor))
					break
				}
			}
		}
	}
	return wrong
}
