package parts

import (
	"math"
	"socle/sdf"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// bank is a hollow with sloping sides, or a mound with sloping sides: the points
// between two heights where the plan distance to an outline, plus or minus the
// run of the slope from the height of that outline, is negative. Is a lower
// bound; its sides and flats have slope one.
type bank struct {
	shape    planShape
	box      r2.Box  // of the outline
	at       float64 // height of the outline, mm
	lo, hi   float64 // mm
	sin, cos float64 // of the slope; cos is negative for a hollow, which widens upward
	only     bankFace
}

// bankFace is the only face that a pruned bank has left.
type bankFace int

const (
	bankWhole bankFace = iota
	bankSide
)

// sinCos is exact at the right angle.
func sinCos(degrees float64) (sin, cos float64) {
	if degrees == 90 {
		return 1, 0
	}
	return math.Sincos(degrees * math.Pi / 180)
}

func (b *bank) side(p r3.Vec) float64 {
	return float64(b.sin*b.shape.at(r2.Vec{X: p.X, Y: p.Y})) + float64(b.cos*(p.Z-b.at))
}

func (b *bank) Value(p r3.Vec) float64 {
	if b.only == bankSide {
		return b.side(p)
	}
	return math.Max(b.side(p), math.Max(b.lo-p.Z, p.Z-b.hi))
}

func (b *bank) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := b.shape.slope(r2.Vec{X: p.X, Y: p.Y})
	side := float64(b.sin*d) + float64(b.cos*(p.Z-b.at))
	if b.only != bankSide {
		switch lo, hi := b.lo-p.Z, p.Z-b.hi; {
		case lo > side && lo >= hi:
			return lo, sdf.V(0, 0, -1)
		case hi > side:
			return hi, sdf.V(0, 0, 1)
		}
	}
	return side, sdf.V(b.sin*g.X, b.sin*g.Y, b.cos)
}

// run is how far the side lies outside the outline at most.
func (b *bank) run() float64 {
	return math.Max(0, math.Max(-b.cos*(b.lo-b.at), -b.cos*(b.hi-b.at))) / b.sin
}

func (b *bank) Bounds() r3.Box {
	if b.only == bankSide {
		return r3.Box{Min: sdf.V(math.Inf(-1), math.Inf(-1), math.Inf(-1)), Max: sdf.V(math.Inf(1), math.Inf(1), math.Inf(1))}
	}
	box := grownBox(b.box, b.run())
	return r3.Box{Min: sdf.V(box.Min.X, box.Min.Y, b.lo), Max: sdf.V(box.Max.X, box.Max.Y, b.hi)}
}

func (b *bank) Lipschitz() float64 { return 1 }

// Tightness: past the rim of the wide end, dx out and h up, the side is dx sin
// - h cos and the flat h. The greater is least where they are equal, and is
// there sin(slope/2) of the distance.
func (b *bank) Tightness() float64 { return math.Sin(math.Atan2(b.sin, math.Abs(b.cos)) / 2) }

func (b *bank) Cost() int { return 1 }

// Prune gives the one face that the ball sees, if it sees only one.
func (b *bank) Prune(ball sdf.Ball) sdf.Field {
	if b.only == bankSide {
		return b
	}
	apart := 2*ball.R + 1e-9
	side, lo, hi := b.side(ball.C), b.lo-ball.C.Z, ball.C.Z-b.hi
	switch {
	case side > math.Max(lo, hi)+apart:
		face := *b
		face.only = bankSide
		return &face
	case lo > math.Max(side, hi)+apart:
		return sdf.HalfSpace(sdf.V(0, 0, -1), -b.lo)
	case hi > math.Max(side, lo)+apart:
		return sdf.HalfSpace(sdf.V(0, 0, 1), b.hi)
	}
	return b
}

// post is what lies upright over a region of the plan between two heights.
func post(shape planShape, box r2.Box, lo, hi float64) sdf.Field {
	return &bank{shape: shape, box: box, at: lo, lo: lo, hi: hi, sin: 1}
}
