package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Every coordinate of a mesh is a whole multiple of one lattice unit of
// 2^-12 mm (a quarter of a micrometre). Multiples below 2^24 units, 4096 mm,
// are exact in float32, so the coordinates that are proven, those that are
// held and those that are written are the same numbers.
const (
	unitsPerMM = 4096
	unit       = 1.0 / unitsPerMM
	// maxUnits bounds every coordinate: half of what float32 holds exactly.
	maxUnits = 1 << 23
)

// ipoint is a point of the lattice, in units.
type ipoint [3]int32

func (p ipoint) vec() r3.Vec {
	return r3.Vec{X: float64(p[0]) * unit, Y: float64(p[1]) * unit, Z: float64(p[2]) * unit}
}

func (p ipoint) float64s() r3.Vec {
	return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}
}

func (p ipoint) float32s() [3]float32 {
	return [3]float32{float32(p[0]) * unit, float32(p[1]) * unit, float32(p[2]) * unit}
}

// latticePoint gives the lattice point of written coordinates; ok is false
// where they are not on the lattice or beyond it.
func latticePoint(v [3]float32) (p ipoint, ok bool) {
	for i, c := range v {
		u := float64(c) * unitsPerMM
		if u != math.Trunc(u) || math.Abs(u) > maxUnits { // NaN fails the first
			return ipoint{}, false
		}
		p[i] = int32(u)
	}
	return p, true
}

// Blocks and cells. A block is blockCells cells a side; within it, places are
// counted in steps, an eighth of a cell, so that cells may be halved three times:
// where a crease escapes its cell, and where sheets or features are too thin for it.
//
//	size in steps:  128    64 .. 16       8      4, 2, 1
//	                block  coarse leaves  cell   refined cells
const (
	blockCells = 16
	cellSteps  = 8
	blockSteps = blockCells * cellSteps
)

// leastStep keeps the finest cells large against the gaps of the contour, units.
const leastStep = 12

// grid places the blocks in space.
type grid struct {
	origin ipoint // the corner of block (0,0,0), units
	step   int32  // units a step
}

// A surface on a grid plane dents, by up to a thousandth of a millimetre, where its
// crossings are kept away from the corners. So the grid is shifted until the box's
// sides and the heights that matter keep clear of the planes of the cells and of
// the refined cells. Heights may be so many that one is near a plane in any case; what
// the solid stands on keeps clear whatever they are.

// phases is how many shifts of less than a step are tried along each axis.
const phases = 64

// clearest gives the shift, in units, at which the planes of pitch step keep
// furthest from all the coordinates (mm), among those that leave the sole clear of the
// corners' gaps; the first among equals.
func clearest(step int32, sole float64, coordinates []float64) int32 {
	best, most := int32(0), -1.0
	for k := range int32(phases) {
		shift := k * step / phases
		if clearance(step, shift, sole) < cornerGap {
			continue
		}
		least := math.Inf(1)
		for _, c := range coordinates {
			least = min(least, clearance(step, shift, c))
		}
		if least > most {
			best, most = shift, least
		}
	}
	return best
}

// clearance is how far, in units, a coordinate (mm) is from the nearest of the planes
// of pitch step.
func clearance(step, shift int32, c float64) float64 {
	u := math.Mod(c*unitsPerMM-float64(shift), float64(step))
	if u < 0 {
		u += float64(step)
	}
	return min(u, float64(step)-u)
}

// newGrid makes a grid of the given cell size about a box, clear of the box's
// sides and of the heights given. Cell sizes are whole steps: the cell used is
// within 0.001 mm of the one asked for.
func newGrid(box r3.Box, cell float64, heights []float64) (g grid, blocks [3]int32) {
	g.step = stepOf(cell)
	edge := float64(g.step * blockSteps)
	lo := [3]float64{box.Min.X, box.Min.Y, box.Min.Z}
	hi := [3]float64{box.Max.X, box.Max.Y, box.Max.Z}
	cellUnits := float64(g.step * cellSteps)
	for i := range 3 {
		clear := []float64{lo[i], hi[i], 0}
		if i == 2 {
			clear = append(clear, heights...)
		}
		shift := float64(clearest(g.step, lo[i], clear))
		// At least one cell of room on every side.
		first := math.Floor((lo[i]*unitsPerMM-shift)/cellUnits) - 1
		g.origin[i] = int32(first*cellUnits + shift)
		span := hi[i]*unitsPerMM + cellUnits - float64(g.origin[i])
		blocks[i] = int32(max(1, math.Ceil(span/edge)))
	}
	return g, blocks
}

// stepOf gives the step for a cell of so many mm, units.
func stepOf(cell float64) int32 {
	return int32(max(leastStep, math.Round(cell*unitsPerMM/cellSteps)))
}

// CellOf is the edge of the cells that are used where so large ones are asked for, mm.
func CellOf(cell float64) float64 { return grid{step: stepOf(cell)}.cell() }

// latticeBox is the part of the lattice within a box.
func latticeBox(b r3.Box) (out ibox) {
	for i, v := range [3]float64{b.Min.X, b.Min.Y, b.Min.Z} {
		out.lo[i] = int32(math.Ceil(v*unitsPerMM - 1e-6))
	}
	for i, v := range [3]float64{b.Max.X, b.Max.Y, b.Max.Z} {
		out.hi[i] = int32(math.Floor(v*unitsPerMM + 1e-6))
	}
	return out
}

// cell is the edge of a cell in mm.
func (g grid) cell() float64 { return float64(g.step*cellSteps) * unit }

// at is the lattice point at steps s of block b.
func (g grid) at(b [3]int32, x, y, z int) ipoint {
	return ipoint{
		g.origin[0] + (b[0]*blockSteps+int32(x))*g.step,
		g.origin[1] + (b[1]*blockSteps+int32(y))*g.step,
		g.origin[2] + (b[2]*blockSteps+int32(z))*g.step,
	}
}
