package paving

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
)

// cell is one stone's place in a bond with half of each joint round it, before
// it is cut to the area. Cells of one bond tile the plane. Coordinates are in
// the frame of the courses: x runs along them.
type cell struct {
	corners []r2.Vec // convex, anticlockwise
	course  int      // with n, the same stone wherever the area ends
	n       int
}

// module is a stone with its joint, mm: long along it, short across.
type module struct{ long, short float64 }

// bond is a way to lay stones.
type bond struct {
	word string
	// stone is the usual full-size stone with its joint, mm; sources are in the
	// doc of the paving's stone key.
	stone [2]float64
	// smallest is the narrowest side of any of its stones against the short side.
	smallest float64
	// fit makes a module that the bond can be laid with out of any module.
	fit func(module) module
	// most is the most cells that lay gives for a box of this size.
	most func(w, d float64, m module) float64
	// lay covers a box with cells; it may reach over the edge.
	lay func(b r2.Box, m module, rng *rand.Rand) []cell
}

// The words a paving's bond may be, in the order of the catalogue.
var bonds = []bond{
	{word: "stack", stone: [2]float64{600, 600}, smallest: 1, fit: asGiven, most: coursedMost, lay: func(b r2.Box, m module, _ *rand.Rand) []cell {
		return coursed(b, m, 0)
	}},
	{word: "running", stone: [2]float64{900, 600}, smallest: 1, fit: asGiven, most: coursedMost, lay: func(b r2.Box, m module, _ *rand.Rand) []cell {
		return coursed(b, m, 0.5)
	}},
	{word: "herringbone", stone: [2]float64{200, 100}, smallest: 1, fit: twoToOne, most: herringboneMost, lay: herringbone},
	{word: "basketweave", stone: [2]float64{200, 100}, smallest: 1, fit: wholeWidths, most: basketweaveMost, lay: basketweave},
	{word: "hexagonal", stone: [2]float64{400, 400}, smallest: 1, fit: equalSides, most: hexagonalMost, lay: hexagonal},
	{word: "random", stone: [2]float64{900, 600}, smallest: 0.5, fit: threeToTwo, most: randomFlagsMost, lay: randomFlags},
}

// bondOf gives the bond of a word; the reader lets no other word through.
func bondOf(word string) *bond {
	for i := range bonds {
		if bonds[i].word == word {
			return &bonds[i]
		}
	}
	return &bonds[0]
}

func asGiven(m module) module { return m }

// twoToOne is what a herringbone locks with: on the module, a stone is twice as
// long as wide (references.md section 4).
func twoToOne(m module) module { return module{2 * m.short, m.short} }

// wholeWidths makes a stone two or three widths long on the module: length =
// 2 widths + 1 joint, or 3 widths + 2 joints (brickwork glossaries).
func wholeWidths(m module) module {
	n := max(2, min(3, math.Round(m.long/m.short)))
	return module{n * m.short, m.short}
}

func equalSides(m module) module { return module{m.long, m.long} }

func threeToTwo(m module) module { return module{1.5 * m.short, m.short} }

func rectCell(x, y, w, d float64, course, n int) cell {
	return cell{
		corners: []r2.Vec{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + d}, {X: x, Y: y + d}},
		course:  course, n: n,
	}
}

// steps is how many whole steps it takes to reach over a length.
func steps(length, step float64) int { return int(math.Ceil(length/step - 1e-9)) }

func coursedMost(w, d float64, m module) float64 {
	return (math.Ceil(w/m.long) + 1) * math.Ceil(d/m.short)
}

// coursed lays equal courses, each the given part of a stone behind the one
// below it, and back: 0 is stack bond, 1/2 running bond.
func coursed(b r2.Box, m module, offset float64) []cell {
	var cells []cell
	for c := range steps(b.Max.Y-b.Min.Y, m.short) {
		from := b.Min.X
		if c%2 == 1 {
			from -= offset * m.long
		}
		for n := range steps(b.Max.X-from, m.long) {
			cells = append(cells, rectCell(from+float64(n)*m.long, b.Min.Y+float64(c)*m.short, m.long, m.short, c, n))
		}
	}
	return cells
}

func herringboneMost(w, d float64, m module) float64 {
	return (math.Ceil(w/m.short) + 2) * (math.Ceil(d/m.short) + 2)
}

// herringbone lays stones at right angles on a grid of widths:
//
//	| |_ _|      at (x, y): (x - y) mod 4 = 0  starts a stone along x
//	|_ _| |                               = 3  starts a stone along y
//	_ _| |_      the other two are their second halves
func herringbone(b r2.Box, m module, _ *rand.Rand) []cell {
	var cells []cell
	w := m.short
	for y := -1; y < steps(b.Max.Y-b.Min.Y, w); y++ {
		for x := -1; x < steps(b.Max.X-b.Min.X, w); x++ {
			px, py := b.Min.X+float64(x)*w, b.Min.Y+float64(y)*w
			switch ((x-y)%4 + 4) % 4 {
			case 0:
				cells = append(cells, rectCell(px, py, 2*w, w, y, x))
			case 3:
				cells = append(cells, rectCell(px, py, w, 2*w, y, x))
			}
		}
	}
	return cells
}

func basketweaveMost(w, d float64, m module) float64 {
	return math.Ceil(w/m.long) * math.Ceil(d/m.long) * math.Round(m.long/m.short)
}

// basketweave lays squares of two or three stones, turned by a quarter from
// each square to the next.
func basketweave(b r2.Box, m module, _ *rand.Rand) []cell {
	var cells []cell
	group := int(math.Round(m.long / m.short))
	for y := range steps(b.Max.Y-b.Min.Y, m.long) {
		for x := range steps(b.Max.X-b.Min.X, m.long) {
			px, py := b.Min.X+float64(x)*m.long, b.Min.Y+float64(y)*m.long
			for i := range group {
				if (x+y)%2 == 0 {
					cells = append(cells, rectCell(px, py+float64(i)*m.short, m.long, m.short, y, x*group+i))
				} else {
					cells = append(cells, rectCell(px+float64(i)*m.short, py, m.short, m.long, y, x*group+i))
				}
			}
		}
	}
	return cells
}

func hexagonalMost(w, d float64, m module) float64 {
	return (math.Ceil(w/m.long) + 2) * (math.Ceil(d/(m.long*math.Sqrt(3)/2)) + 2)
}

// hexagonal lays regular hexagons with two sides square to the courses. With a
// across flats and joint j: column pitch a + j, row pitch (a + j) sqrt(3)/2,
// every other row offset by (a + j)/2.
func hexagonal(b r2.Box, m module, _ *rand.Rand) []cell {
	var cells []cell
	pitch := m.long
	row, point := pitch*math.Sqrt(3)/2, pitch/math.Sqrt(3)
	for c := 0; ; c++ {
		y := b.Min.Y + float64(c)*row
		if y-point >= b.Max.Y {
			return cells
		}
		from := b.Min.X
		if c%2 == 1 {
			from -= pitch / 2
		}
		for n := 0; ; n++ {
			x := from + float64(n)*pitch
			if x-pitch/2 >= b.Max.X {
				break
			}
			cells = append(cells, cell{course: c, n: n, corners: []r2.Vec{
				{X: x, Y: y - point}, {X: x + pitch/2, Y: y - point/2}, {X: x + pitch/2, Y: y + point/2},
				{X: x, Y: y + point}, {X: x - pitch/2, Y: y + point/2}, {X: x - pitch/2, Y: y - point/2},
			}})
		}
	}
}

func randomFlagsMost(w, d float64, m module) float64 {
	return math.Ceil(w/(m.short/2)) * math.Ceil(d/(m.short/2))
}

// flagSizes are the flags of random paving in half widths of the largest: of a
// 900 x 600 flag they are 900 x 600, 600 x 600, 600 x 300 and 300 x 300, either
// way round (BS EN 1339 usage: 300 x 300 to 600 x 900). The first that fits
// after a random start is taken, so the order matters: large beside small.
var flagSizes = [...][2]int{{3, 2}, {2, 1}, {2, 3}, {2, 2}, {1, 2}, {3, 2}, {2, 2}, {2, 3}, {1, 1}}

// randomFlags fills a grid of half widths with flags of mixed sizes.
func randomFlags(b r2.Box, m module, rng *rand.Rand) []cell {
	u := m.short / 2
	cols, rows := steps(b.Max.X-b.Min.X, u), steps(b.Max.Y-b.Min.Y, u)
	taken := make([]bool, cols*rows)
	fits := func(x, y, w, d int) bool {
		if x+w > cols || y+d > rows {
			return false
		}
		for j := range d {
			for i := range w {
				if taken[(y+j)*cols+x+i] {
					return false
				}
			}
		}
		return true
	}
	var cells []cell
	for y := range rows {
		for x := range cols {
			if taken[y*cols+x] {
				continue
			}
			start := rng.IntN(len(flagSizes))
			for k := range flagSizes {
				size := flagSizes[(start+k)%len(flagSizes)]
				if !fits(x, y, size[0], size[1]) {
					continue
				}
				for j := range size[1] {
					for i := range size[0] {
						taken[(y+j)*cols+x+i] = true
					}
				}
				cells = append(cells, rectCell(b.Min.X+float64(x)*u, b.Min.Y+float64(y)*u, float64(size[0])*u, float64(size[1])*u, y, x))
				break
			}
		}
	}
	return cells
}
