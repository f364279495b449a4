package out

import (
	"cmp"
	"math"
	"slices"
)

// plateGap is what is left free between two bases on the plate, in mm:
// common practice, no source.
const plateGap = 5

// plateShape is how much wider than a square the plate is filled, to make up
// for what the ends of the rows leave free.
const plateShape = 1.15

// extent is the box of one mesh, mm.
type extent struct{ lo, hi [3]float64 }

func (e extent) side(k int) float64 { return e.hi[k] - e.lo[k] }

// layOut gives for each box the move, in mm, that lays it on the plate: side by
// side in rows, the deepest first, at least plateGap apart, all in the positive
// octant and standing on z = 0. Moves in x and y are whole millimetres, so that
// a reader which adds them in float32 rounds as little as can be.
func layOut(boxes []extent) [][3]float64 {
	order := make([]int, len(boxes))
	var area, width float64
	for i, b := range boxes {
		order[i] = i
		area += (b.side(0) + plateGap) * (b.side(1) + plateGap)
		width = max(width, b.side(0))
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(boxes[b].side(1), boxes[a].side(1))
	})
	width = max(width, plateShape*math.Sqrt(area))

	moves := make([][3]float64, len(boxes))
	var x, y, next float64 // the free corner of the row, and where the next row starts
	for _, i := range order {
		b := boxes[i]
		if x > 0 && x+b.side(0) > width {
			x, y = 0, next
		}
		move := [3]float64{math.Ceil(x - b.lo[0]), math.Ceil(y - b.lo[1]), -b.lo[2]}
		moves[i] = move
		x = b.hi[0] + move[0] + plateGap
		next = max(next, b.hi[1]+move[1]+plateGap)
	}
	return moves
}
