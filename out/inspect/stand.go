package inspect

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/out/inspect/tree"
	"socle/sdf/workers"
)

// Pad is what a stand was meant to be: a round patch, flat and level, for a
// miniature's foot.
type Pad struct {
	At    r2.Vec  // its middle, mm
	Round float64 // its diameter, mm
	Top   float64 // its height above the foot of the base, mm
	Clear float64 // how high it was to be clear, mm
	Joint float64 // how deep joints and dressing may lie below what bears, mm
	Rim   []RimPlace
}

// PadFit is a pad as it came out, mm.
type PadFit struct {
	Flatness float64 `json:"flatness"` // the highest less the lowest, against the plane of what bears; joints only where they are too deep
	Tilt     float64 `json:"tilt"`     // of that plane, from one side of the pad to the other
	Height   float64 `json:"height"`   // of that plane in the middle of the pad, above the foot
	Clear    float64 `json:"clear"`    // up to the first thing over it, no more than was to be clear
}

const (
	// padPlay is how far a stand may be off flat, level or its height, mm: a
	// layer. Common practice, no source.
	padPlay = 0.05
	// padRelief is what still counts as a bump or a pit of a pad, mm: more stands
	// on it (references.md section 10: relief up to 0.5 in the foot zone).
	padRelief = 0.5
	// padEdge is how far from its edge a pad is not looked at, mm: there it may
	// fall off.
	padEdge = 0.25
	// padPitch is how far apart the lines are that look for a pad, mm, where it is
	// no more than padPitches of these across.
	padPitch   = 0.2
	padPitches = 150
)

// Pads measures stands, with upright lines no further apart than 0.2 mm, or a
// 150th of a stand's diameter. What stands or hangs over a pad is also found by
// its triangles, however slim it is. The outermost 0.25 mm is left out.
//
// It gives an UnevenStand for each of flatness, tilt and height that is off by
// more than 0.05 mm, a BlockedStand, and a SunkStand or a RaisedStand for each stretch
// of its rim that is one. Which is the stand's number.
//
// It is an error where a place or a height is not finite, or a diameter not more
// than 0 and at most 1000 mm.
func Pads(ctx context.Context, x *tree.Index, pads []Pad) ([]PadFit, []Finding, error) {
	for _, p := range pads {
		sound := p.Round > 0 && p.Round <= 1000 && math.Abs(p.Top) <= 1e6 && p.Clear >= 0
		if !sound || !tree.IsFinite(p.At) || slices.ContainsFunc(p.Rim, func(r RimPlace) bool { return !tree.IsFinite(r.At) }) {
			return nil, nil, fmt.Errorf("a stand of %g mm at %v, %g mm up and clear for %g mm, cannot be measured", p.Round, p.At, p.Top, p.Clear)
		}
	}
	fits := make([]PadFit, len(pads))
	lists := make([][]Finding, len(pads))
	err := workers.ForEach(ctx, len(pads), func(_, i int) error {
		fits[i], lists[i] = fitPad(x, pads[i])
		lists[i] = append(lists[i], rimAbout(x, pads[i])...)
		for n := range lists[i] {
			lists[i][n].Which = i
		}
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	var found []Finding
	for _, list := range lists {
		found = append(found, list...)
	}
	return fits, found, nil
}

// fitPad measures one stand.
func fitPad(x *tree.Index, p Pad) (fit PadFit, found []Finding) {
	fit.Clear = p.Clear
	blocked := [3]float64{p.At.X, p.At.Y, p.Top}
	block := func(at r2.Vec, z float64) {
		if up := max(z-p.Top, 0); up < fit.Clear {
			fit.Clear, blocked = up, [3]float64{at.X, at.Y, max(z, p.Top)}
		}
	}
	radius := max(p.Round/2-padEdge, 0)
	var at []r2.Vec
	var tops []float64
	for _, q := range tree.Spread(p.At, radius, max(padPitch, p.Round/padPitches)) {
		top, covered := 0.0, false // where there is nothing, the plate
		l := x.Levels(q)
		for n := 0; n+1 < len(l); n += 2 { // solid from one level to the next
			if l[n+1].Z <= p.Top+padRelief {
				top = l[n+1].Z
				continue
			}
			block(q, l[n].Z)
			covered = covered || l[n].Z <= p.Top+padRelief // by what stands on it
		}
		if !covered {
			at, tops = append(at, q), append(tops, top)
		}
	}
	if fit.Clear == p.Clear {
		slimOver(x, p, radius, block)
	}
	if fit.Clear < p.Clear-padPlay {
		found = append(found, Finding{Kind: BlockedStand, At: blocked, Value: fit.Clear, Limit: p.Clear})
	}
	if len(at) < 3 {
		return fit, found // all of it is covered
	}

	plane := bearing(p, at, tops)
	low, high := math.Inf(1), math.Inf(-1)
	var worst [3]float64
	for i, q := range at {
		d := r2.Sub(q, p.At)
		off := tops[i] - plane[0] - plane[1]*d.X - plane[2]*d.Y
		if math.Max(off, -off-p.Joint) > max(high, -low-p.Joint) {
			worst = [3]float64{q.X, q.Y, tops[i]}
		}
		low, high = min(low, off), max(high, off)
	}
	low = min(0, low+p.Joint)
	slope := r2.Vec{X: plane[1], Y: plane[2]}
	fit.Flatness, fit.Tilt, fit.Height = high-low, r2.Norm(slope)*p.Round, plane[0]

	middle := [3]float64{p.At.X, p.At.Y, fit.Height}
	size := [3]float64{p.Round, p.Round, 0}
	for _, m := range []struct {
		measure Measure
		off     float64
		at      [3]float64
	}{
		{OfFlatness, fit.Flatness, worst},
		{OfTilt, fit.Tilt, middle},
		{OfHeight, math.Abs(fit.Height - p.Top), middle},
	} {
		if m.off > padPlay+1e-6 {
			found = append(found, Finding{Kind: UnevenStand, At: m.at, Size: size, Value: m.off, Limit: padPlay, Measure: m.measure})
		}
	}
	return fit, found
}

// bearingRounds is how often the plane of what bears is drawn again: each time half of
// what lies off it, or more, is left below.
const bearingRounds = 4

// bearing gives the plane of what a foot rests on: that which fits all of a smooth pad best,
// and the higher half of one with joints, again and again.
func bearing(p Pad, at []r2.Vec, tops []float64) [3]float64 {
	plane := fitPlane(p.At, at, tops)
	if p.Joint == 0 {
		return plane
	}
	at, tops = slices.Clone(at), slices.Clone(tops)
	for range bearingRounds {
		n := 0
		for i, q := range at {
			const even = 0.01 // mm: as good as on it
			if d := r2.Sub(q, p.At); tops[i]-plane[0]-plane[1]*d.X-plane[2]*d.Y >= -even {
				at[n], tops[n] = q, tops[i]
				n++
			}
		}
		if n < leastBearing {
			break
		}
		at, tops = at[:n], tops[:n]
		plane = fitPlane(p.At, at, tops)
	}
	return plane
}

// leastBearing is how many places a plane is drawn through at least, so that a few that
// lie together do not tip it.
const leastBearing = 24

// slimOver finds what lines have missed over a pad: a triangle in the room that
// was to be clear.
func slimOver(x *tree.Index, p Pad, radius float64, block func(at r2.Vec, z float64)) {
	low, high := p.Top+padRelief, p.Top+p.Clear
	if low >= high {
		return
	}
	lo, hi := [3]float64{p.At.X - radius, p.At.Y - radius, low}, [3]float64{p.At.X + radius, p.At.Y + radius, high}
	for _, i := range x.InBox(lo, hi) {
		if part := pointsBetween(x, i, low, high); len(part) == 0 || fromConvex(p.At, part) >= radius {
			continue
		}
		a, b, c := x.Corners(i)
		first := a
		for _, v := range []r3.Vec{b, c} {
			if v.Z < first.Z {
				first = v
			}
		}
		block(r2.Vec{X: first.X, Y: first.Y}, first.Z)
	}
}

// fitPlane gives the plane a + b x + c y, with x and y from the middle, that fits
// heights best by least squares.
func fitPlane(middle r2.Vec, at []r2.Vec, heights []float64) (plane [3]float64) {
	// The sums of the normal equations, well scaled since the points are spread
	// round the middle.
	var m [6]float64 // 1, x, y, xx, xy, yy
	var v [3]float64
	for i, p := range at {
		x, y, z := p.X-middle.X, p.Y-middle.Y, heights[i]
		for n, term := range [6]float64{1, x, y, x * x, x * y, y * y} {
			m[n] += term
		}
		v[0], v[1], v[2] = v[0]+z, v[1]+float64(x*z), v[2]+float64(y*z)
	}
	var solved mat.VecDense
	normal := mat.NewSymDense(3, []float64{m[0], m[1], m[2], m[1], m[3], m[4], m[2], m[4], m[5]})
	if err := solved.SolveVec(normal, mat.NewVecDense(3, v[:])); err != nil {
		return [3]float64{v[0] / m[0], 0, 0} // on one line: no plane of its own
	}
	return [3]float64{solved.AtVec(0), solved.AtVec(1), solved.AtVec(2)}
}
