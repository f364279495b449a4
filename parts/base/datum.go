package base

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
)

// PieceName is what the nth of a base's pieces is called.
func (b *Base) PieceName(n int) string {
	if b.Count <= 1 {
		return b.Name
	}
	return fmt.Sprintf("%s-%d", b.Name, n+1)
}

// Turned is the base's turn, 0 where it was left out.
func (b *Base) Turned() float64 {
	if b.Turn == nil {
		return 0
	}
	return *b.Turn
}

// Datum is the height of the scene that stands at the top of a base's rim, less
// the lift, mm: the level that the base gives; else that of the terrace, the deck
// or the pit that all of its footprint lies in, so that a base up on a platform
// is no taller than its neighbours; else the ground's.
func (b *Base) Datum(s *parts.Site, plan []r2.Vec) float64 {
	if b.Level != nil {
		return b.Level.Height
	}
	land := s.Land()
	if land == nil {
		return 0
	}
	level, found := math.Inf(-1), false
	for _, f := range append(s.Slabs(), land.Raised...) {
		if f.Within(plan) {
			level, found = math.Max(level, f.Level.Height), true
		}
	}
	if found {
		return level
	}
	level = land.Plot.Level.Height
	for _, f := range land.Sunk {
		if f.Within(plan) {
			level = f.Level.Height
		}
	}
	return level
}
