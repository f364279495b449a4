package planar

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Bank is a hollow with sloping sides, or a mound with sloping sides: the points
// between two heights where the plan distance to an outline, plus or minus the
// run of the slope from the height of that outline, is negative. Is a lower
// bound; its sides and flats have slope one.
type Bank struct {
	Shape    Shape
	Box      r2.Box  // of the outline
	At       float64 // height of the outline, mm
	Lo, Hi   float64 // mm
	Sin, Cos float64 // of the slope; cos is negative for a hollow, which widens upward
	only     bankFace
}

// bankFace is the only face that a pruned bank has left.
type bankFace int

const (
	bankWhole bankFace = iota
	bankSide
)

// SinCos is exact at the right angle.
func SinCos(degrees float64) (sin, cos float64) {
	if degrees == 90 {
		return 1, 0
	}
	return math.Sincos(degrees * math.Pi / 180)
}

func (b *Bank) side(p r3.Vec) float64 {
	return float64(b.Sin*b.Shape.At(r2.Vec{X: p.X, Y: p.Y})) + float64(b.Cos*(p.Z-b.At))
}

func (b *Bank) Value(p r3.Vec) float64 {
	if b.only == bankSide {
		return b.side(p)
	}
	return max(b.side(p), max(b.Lo-p.Z, p.Z-b.Hi))
}

func (b *Bank) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := b.Shape.Slope(r2.Vec{X: p.X, Y: p.Y})
	side := float64(b.Sin*d) + float64(b.Cos*(p.Z-b.At))
	if b.only != bankSide {
		switch lo, hi := b.Lo-p.Z, p.Z-b.Hi; {
		case lo > side && lo >= hi:
			return lo, sdf.V(0, 0, -1)
		case hi > side:
			return hi, sdf.V(0, 0, 1)
		}
	}
	return side, sdf.V(b.Sin*g.X, b.Sin*g.Y, b.Cos)
}

// run is how far the side lies outside the outline at most.
func (b *Bank) run() float64 {
	return max(0, max(-b.Cos*(b.Lo-b.At), -b.Cos*(b.Hi-b.At))) / b.Sin
}

func (b *Bank) Bounds() r3.Box {
	if b.only == bankSide {
		return r3.Box{Min: sdf.V(math.Inf(-1), math.Inf(-1), math.Inf(-1)), Max: sdf.V(math.Inf(1), math.Inf(1), math.Inf(1))}
	}
	box := GrownBox(b.Box, b.run())
	return r3.Box{Min: sdf.V(box.Min.X, box.Min.Y, b.Lo), Max: sdf.V(box.Max.X, box.Max.Y, b.Hi)}
}

func (b *Bank) Lipschitz() float64 { return 1 }

// Tightness: past the rim of the wide end, dx out and h up, the side is dx sin
// - h cos and the flat h. The greater is least where they are equal, and is
// there sin(slope/2) of the distance.
func (b *Bank) Tightness() float64 { return math.Sin(math.Atan2(b.Sin, math.Abs(b.Cos)) / 2) }

func (b *Bank) Cost() int { return 1 }

// Prune gives the one face that the ball sees, if it sees only one.
func (b *Bank) Prune(ball sdf.Ball) sdf.Field {
	if b.only == bankSide {
		return b
	}
	apart := 2*ball.R + 1e-9
	side, lo, hi := b.side(ball.C), b.Lo-ball.C.Z, ball.C.Z-b.Hi
	switch {
	case side > max(lo, hi)+apart:
		face := *b
		face.only = bankSide
		return &face
	case lo > max(side, hi)+apart:
		return sdf.HalfSpace(sdf.V(0, 0, -1), -b.Lo)
	case hi > max(side, lo)+apart:
		return sdf.HalfSpace(sdf.V(0, 0, 1), b.Hi)
	}
	return b
}

// Prism is what lies upright over a region of the plan between two heights.
func Prism(shape Shape, box r2.Box, lo, hi float64) sdf.Field {
	return &Bank{Shape: shape, Box: box, At: lo, Lo: lo, Hi: hi, Sin: 1}
}
