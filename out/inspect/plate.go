package inspect

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/out/inspect/tree"
)

// PlateLimits is what a printer can hold.
type PlateLimits struct {
	Plate   [2]float64 // width and depth, mm; 0 where one is not known, and then not held against
	Tallest float64    // mm; 0 where it is not known
	Lean    float64    // how far a solid leans that is laid tilted, degrees; 0: it lies flat
}

// PlateFit is the room that a solid takes, and how it lies best on the plate.
type PlateFit struct {
	Size [3]float64 // of its box as it lies, not yet turned on the plate, mm
	Lean float64    // how far it leans, degrees
	// Turn is how far it is turned about the upright, counter-clockwise, degrees,
	// 0 .. 180: 0 or 90 where it fits so, else the turn at which it fits or is
	// over by least.
	Turn float64
	Over float64 // by how much it is over the plate, so turned, mm; 0 where it fits
	High float64 // by how much it is too tall, mm; 0 where it fits
}

// leans is in how many directions, evenly, a tilted solid is tried to lean.
const leans = 24

// Fit holds points against what a printer can hold: those of a solid or, for one that
// is not made yet, some that it is sure to have. Its plan counts by its convex hull.
//
// What does not fit as it stands, nor turned by 90 degrees, is tried at every turn, in
// steps of a quarter of a degree and then by golden sections to 1e-6. What is laid
// tilted is tried so in each of 24 directions that it may lean in, and lies in that one
// in which it is over by least.
func Fit(points [][3]float64, l PlateLimits) PlateFit {
	if l.Lean == 0 {
		return l.lying(points)
	}
	var best PlateFit
	sinLean, cosLean := math.Sincos(l.Lean * math.Pi / 180)
	leaning := make([][3]float64, len(points))
	for n := range leans {
		sin, cos := math.Sincos(2 * math.Pi * float64(n) / leans)
		for i, p := range points {
			x, y := p[0]*cos+p[1]*sin, p[1]*cos-p[0]*sin // about y
			leaning[i] = [3]float64{x*cosLean + p[2]*sinLean, y, p[2]*cosLean - x*sinLean}
		}
		f := l.lying(leaning)
		f.Lean = l.Lean
		if n == 0 || max(f.Over, f.High) < max(best.Over, best.High)-1e-9 {
			best = f
		}
		if best.Over == 0 && best.High == 0 {
			break
		}
	}
	return best
}

// lying holds points as they are against what a printer can hold.
func (l PlateLimits) lying(points [][3]float64) (fit PlateFit) {
	lo, hi := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	plan := make([]r2.Vec, len(points))
	for i, p := range points {
		for c := range 3 {
			lo[c], hi[c] = min(lo[c], p[c]), max(hi[c], p[c])
		}
		plan[i] = r2.Vec{X: p[0], Y: p[1]}
	}
	for c := range 3 {
		fit.Size[c] = hi[c] - lo[c]
	}
	if l.Plate[0] > 0 && l.Plate[1] > 0 {
		fit.Turn, fit.Over = bestTurn(hull(outermost(plan)), l.Plate)
	}
	if over := fit.Size[2] - l.Tallest; l.Tallest > 0 && over > 1e-6 {
		fit.High = over
	}
	return fit
}

// OnPlate is Fit for a solid. OverPlate tells by how much it is over, by Measure: in the
// plan at the best turn, or in height.
func OnPlate(vertices [][3]float32, triangles [][3]uint32, l PlateLimits) (PlateFit, []Finding, error) {
	lo, hi, err := tree.ExtentOf(vertices, triangles)
	if err != nil {
		return PlateFit{}, nil, err
	}
	used := make([]bool, len(vertices))
	for _, t := range triangles {
		used[t[0]], used[t[1]], used[t[2]] = true, true, true
	}
	var points [][3]float64
	for i, v := range vertices {
		if used[i] {
			points = append(points, [3]float64{float64(v[0]), float64(v[1]), float64(v[2])})
		}
	}
	fit := Fit(points, l)
	middle := [2]float64{(lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2}
	return fit, fit.Findings(l, [3]float64{middle[0], middle[1], lo[2]}, [3]float64{middle[0], middle[1], hi[2]}), nil
}

// Findings tells of what does not fit, at its foot and at its top.
func (fit *PlateFit) Findings(l PlateLimits, foot, top [3]float64) (found []Finding) {
	if fit.Over > 0 {
		found = append(found, Finding{Kind: OverPlate, At: foot, Size: fit.Size, Value: fit.Over, Limit: min(l.Plate[0], l.Plate[1]), Measure: OfPlan})
	}
	if fit.High > 0 {
		found = append(found, Finding{Kind: OverPlate, At: top, Size: fit.Size, Value: fit.High, Limit: l.Tallest, Measure: OfHeight})
	}
	return found
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
