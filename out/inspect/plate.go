package inspect

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// PlateFit is a solid's size, and how it lies best on the plate.
type PlateFit struct {
	Size [3]float64 // along x, y and z as it stands, mm
	// Turn is how far it is turned about the upright, counter-clockwise, degrees,
	// 0 .. 180: 0 or 90 where it fits so, else the turn at which it fits or is
	// over by least.
	Turn float64
	Over float64 // by how much it is over the plate, so turned, mm; 0 where it fits
}

// OnPlate holds the size of a solid against a plate of width and depth, and
// against the most height that the printer can print, mm; 0 where one is not
// known, and then not held against.
//
// What does not fit as it stands, nor turned by 90 degrees, is tried at every
// turn, in steps of a quarter of a degree and then by golden sections to 1e-6;
// its plan counts by its convex hull. OverPlate tells by how much it is over, by
// Measure: in the plan at the best turn, or in height.
func OnPlate(vertices [][3]float32, triangles [][3]uint32, plate [2]float64, tallest float64) (PlateFit, []Finding, error) {
	lo, hi, err := extentOf(vertices, triangles)
	if err != nil {
		return PlateFit{}, nil, err
	}
	var fit PlateFit
	var middle [3]float64
	for c := range 3 {
		fit.Size[c], middle[c] = hi[c]-lo[c], (lo[c]+hi[c])/2
	}
	var found []Finding
	if plate[0] > 0 && plate[1] > 0 {
		fit.Turn, fit.Over = bestTurn(planHull(vertices, triangles, math.Inf(1)), plate)
		if fit.Over > 0 {
			found = append(found, Finding{
				Kind: OverPlate, At: [3]float64{middle[0], middle[1], lo[2]}, Size: fit.Size,
				Value: fit.Over, Limit: min(plate[0], plate[1]), Measure: OfPlan,
			})
		}
	}
	if over := fit.Size[2] - tallest; tallest > 0 && over > 1e-6 {
		found = append(found, Finding{
			Kind: OverPlate, At: [3]float64{middle[0], middle[1], hi[2]}, Size: fit.Size,
			Value: over, Limit: tallest, Measure: OfHeight,
		})
	}
	return fit, found, nil
}

// bestTurn gives the turn of a plan, degrees, at which it is over a plate by least.
func bestTurn(plan []r2.Vec, plate [2]float64) (turn, over float64) {
	overAt := func(turn float64) float64 {
		sin, cos := math.Sincos(turn * math.Pi / 180)
		// Turned counter-clockwise, what lay along (cos, -sin) lies along x.
		return max(widthAlong(plan, r2.Vec{X: cos, Y: -sin})-plate[0], widthAlong(plan, r2.Vec{X: sin, Y: cos})-plate[1])
	}
	const rounding = 1e-6
	for _, turn := range []float64{0, 90} {
		if overAt(turn) <= rounding {
			return turn, 0
		}
	}
	const step = 0.25
	over = math.Inf(1)
	for n := range int(180 / step) {
		if o := overAt(float64(n) * step); o < over {
			turn, over = float64(n)*step, o
		}
	}
	const golden = 0.6180339887498949
	from, to := turn-step, turn+step
	for to-from > 1e-6 {
		a, b := to-golden*(to-from), from+golden*(to-from)
		if overAt(a) < overAt(b) {
			to = b
		} else {
			from = a
		}
	}
	if o := overAt((from + to) / 2); o < over {
		turn, over = math.Mod((from+to)/2+180, 180), o
	}
	if over <= rounding {
		over = 0
	}
	return turn, over
}
