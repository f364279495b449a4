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

// Spot is where a base lies: the middle of its footprint, from the corner of the
// plate, and its turn.
type Spot struct {
	Plate int     // from 0
	X, Y  float64 // mm
	Turn  float64 // counter-clockwise, degrees
	Alone bool    // it has a plate of its own: its sides, rounded up to plateGrid, fit on none with the gap round them
}

// turned gives the sine and the cosine of the turn, exact for quarters.
func (s Spot) turned() (sin, cos float64) {
	switch s.Turn {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	}
	return math.Sincos(s.Turn * math.Pi / 180)
}

// plateGrid is what sides are rounded up to, mm, so that middles are eighths: a reader
// that adds them in float32 rounds nothing.
const plateGrid = 0.25

// Plates lays footprints, by the sides of their boxes, on as many plates of a size as
// they need, gap mm apart and from the plate's sides. One that fits on no plate so has
// one of its own, in its middle, and where it is larger than that from its corner on. They are laid in rows, deepest first, each turned to
// lie lengthwise, in the first row and on the first plate that has room: plain, and
// never better than can be done by hand.
func Plates(boxes [][2]float64, plate [2]float64, gap float64) []Spot {
	width, depth := max(plate[0], plate[1]), min(plate[0], plate[1])
	along := plate[0] >= plate[1] // rows run along x
	type laid struct {
		box         int
		long, short float64
	}
	type row struct {
		plate      int
		x, y, deep float64
	}
	up := func(v float64) float64 { return plateGrid * math.Ceil(v/plateGrid-1e-9) }
	var all []laid
	for i, b := range boxes {
		all = append(all, laid{i, up(max(b[0], b[1])), up(min(b[0], b[1]))})
	}
	slices.SortStableFunc(all, func(a, b laid) int {
		return cmp.Or(cmp.Compare(b.short, a.short), cmp.Compare(b.long, a.long))
	})
	spots := make([]Spot, len(boxes))
	var rows []row
	var used []float64 // of each plate's depth; all of it where it has one that fits on none
	put := func(l laid, plate int, x, y float64) {
		b := boxes[l.box]
		s := Spot{Plate: plate, X: x, Y: y}
		if !along {
			s.X, s.Y = y, x
		}
		if (b[0] >= b[1]) != along && b[0] != b[1] {
			s.Turn = 90
		}
		spots[l.box] = s
	}
	for _, l := range all {
		if l.long+2*gap > width || l.short+2*gap > depth {
			put(l, len(used), max(width, l.long)/2, max(depth, l.short)/2)
			spots[l.box].Alone = true
			used = append(used, depth)
			continue
		}
		r := slices.IndexFunc(rows, func(r row) bool { return r.x+l.long+gap <= width && l.short <= r.deep })
		if r < 0 {
			p := slices.IndexFunc(used, func(y float64) bool { return y+l.short+gap <= depth })
			if p < 0 {
				p = len(used)
				used = append(used, gap)
			}
			r = len(rows)
			rows = append(rows, row{p, gap, used[p], l.short})
			used[p] += l.short + gap
		}
		put(l, rows[r].plate, rows[r].x+l.long/2, rows[r].y+l.short/2)
		rows[r].x += l.long + gap
	}
	return spots
}
