package inspect

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// FootFit is the underside of a solid as it came out.
type FootFit struct {
	Standing float64 `json:"standing_mm2"` // what stands on the plate, mm2
	Share    float64 `json:"share"`        // of the area of its convex outline that stands, 0 .. 1
	Off      float64 `json:"off"`          // the most that what should stand on it is off it, mm; 0 for a flat foot
	// Places are how many of the outline were measured; Left those that were left
	// out, where a vent, a notch or a bite opens the edge.
	Places  int     `json:"places"`
	Left    int     `json:"left_out"`
	Chamfer float64 `json:"chamfer"` // height of the chamfer where it is lowest, mm; 0 without one
	Inset   float64 `json:"inset"`   // how far it goes in there, mm
}

const (
	// footPlay is how far off the plate still counts as on it, mm: a few steps of
	// a float32. By up to meshPlay it is measured but is no finding.
	footPlay = 1e-5
	// footLift is how far off the plate what faces down is still part of the
	// foot, mm: higher up it is a hollow, or an overhang.
	footLift = 0.2
	// footFacing is the least that a triangle faces down by, of 1, to be part of
	// the foot: 26 degrees off level. A chamfer is 45 degrees off.
	footFacing = 0.9
	// footSliver is the least area of an uneven foot, mm2. Less is the mesh's own,
	// as where two chamfers meet at a corner or a vent opens and the cells are
	// coarse, and a base stands and holds without it.
	footSliver = 1.0
	// footStep is how far apart the outline is measured, mm, and footNotch how
	// deep it may be cut into and still be its edge, mm.
	footStep, footNotch = 1.0, 1.5
	// footPlaces is the most places, about, and mostChamfer the highest chamfer to
	// hold them against, mm.
	footPlaces, mostChamfer = 2000, 10.0
	// footCorner is how near to a corner of the outline it is not measured, mm:
	// there the chamfers of both sides meet.
	footCorner = 1.0
)

// Foot measures the underside and the chamfer round it. The plate is at z = 0.
//
// What faces down within 26 degrees of level and lies more than 0 and less than
// 0.2 mm above the plate should stand on it: where it is off by more than 0.02 it
// is an UnevenFoot, told once by the most that it is off, but for less than 1 mm2 of
// it in all; and so is a solid whose lowest vertex is not on the plate.
//
// The chamfer is measured about every mm along the convex outline of the foot,
// by level lines square to it: it ends where the solid is widest (within 0.02
// mm), and its height is right to 0.02 mm where its slope is straight. Where a
// line at the plate goes in by more than 1.5 mm there is no edge but a vent or a
// pocket, and the place is left out. It gives a FootEdge, at the worst place,
// where the height is less than that wanted, mm, by more than 0.02: the outline of
// the first layers swells by 0.1 to 0.4, and a chamfer as high as they are takes
// it up (references.md sections 7 and 10: common practice, no source).
func (x *Index) Foot(ctx context.Context, chamfer float64) (FootFit, []Finding, error) {
	if !(chamfer >= 0 && chamfer <= mostChamfer) {
		return FootFit{}, nil, fmt.Errorf("a chamfer of %g mm: it must be 0 to %g", chamfer, mostChamfer)
	}
	fit, found := x.underside()
	edge, err := x.edge(ctx, &fit, chamfer)
	if err != nil {
		return FootFit{}, nil, err
	}
	return fit, append(found, edge...), nil
}

// underside measures what stands on the plate, and what should.
func (x *Index) underside() (fit FootFit, found []Finding) {
	lo, hi := x.extent()
	var area, lifted float64 // of what should, and of what is off by more than is the mesh's own
	var worst r3.Vec
	off := func(p r3.Vec, by float64) {
		if by > fit.Off {
			fit.Off, worst = by, p
		}
	}
	box := nowhere()
	for _, i := range x.inBox([3]float64{lo[0], lo[1], math.Inf(-1)}, [3]float64{hi[0], hi[1], footLift}) {
		a, b, c := x.corners(i)
		n := r3.Scale(0.5, r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
		size := r3.Norm(n)
		if -n.Z < footFacing*size || size == 0 {
			continue
		}
		low, high := min(a.Z, b.Z, c.Z), max(a.Z, b.Z, c.Z)
		switch {
		case math.Abs(low) <= footPlay && math.Abs(high) <= footPlay:
			fit.Standing += size
		case low < footLift:
			area += size
			if max(-low, high) > meshPlay {
				lifted += size
			}
			for _, v := range [3]r3.Vec{a, b, c} {
				off(v, min(math.Abs(v.Z), footLift))
				p := [3]float64{v.X, v.Y, v.Z}
				box.add(p, p)
			}
		}
	}
	if lifted < footSliver {
		fit.Off = min(fit.Off, meshPlay)
	}
	if math.Abs(lo[2]) > footPlay && math.Abs(lo[2]) > fit.Off {
		fit.Off, worst = math.Abs(lo[2]), r3.Vec{X: (lo[0] + hi[0]) / 2, Y: (lo[1] + hi[1]) / 2, Z: lo[2]}
	}
	if fit.Off > meshPlay {
		f := Finding{Kind: UnevenFoot, At: [3]float64{worst.X, worst.Y, worst.Z}, Value: fit.Off, Limit: meshPlay}
		if area > 0 {
			for c := range 3 {
				f.Size[c] = box.hi[c] - box.lo[c]
			}
		}
		found = append(found, f)
	}
	return fit, found
}

// edge measures the chamfer.
func (x *Index) edge(ctx context.Context, fit *FootFit, chamfer float64) ([]Finding, error) {
	// The widest place is looked for up to here.
	high := max(1, 2*chamfer)
	outline := planHull(x.vertices, x.triangles, high)
	if area := areaOf(outline); area > 0 {
		fit.Share = fit.Standing / area
	}
	around := 0.0
	for i, p := range outline {
		around += r2.Norm(r2.Sub(outline[(i+1)%len(outline)], p))
	}
	spots := outlineSpots(outline, max(footStep, around/footPlaces), footCorner)
	type measured struct {
		height, inset float64
		ok            bool
	}
	all := make([]measured, len(spots))
	err := workers.ForEach(ctx, len(spots), func(_, i int) error {
		m := &all[i]
		m.height, m.inset, m.ok = x.chamfer(spots[i], high)
		return nil
	})
	if err != nil {
		return nil, err
	}
	worst := -1
	for i, m := range all {
		if !m.ok {
			fit.Left++
			continue
		}
		fit.Places++
		if worst < 0 || m.height < all[worst].height {
			worst = i
		}
	}
	if worst < 0 {
		return nil, nil
	}
	fit.Chamfer, fit.Inset = all[worst].height, all[worst].inset
	if fit.Chamfer >= chamfer-meshPlay {
		return nil, nil
	}
	at := spots[worst].at
	return []Finding{{
		Kind: FootEdge, At: [3]float64{at.X, at.Y, 0}, Size: [3]float64{0, 0, fit.Chamfer},
		Value: fit.Chamfer, Limit: chamfer,
	}}, nil
}

// footSpot is a place on an outline, with the way out of it.
type footSpot struct{ at, out r2.Vec }

// outlineSpots gives the places to measure along the sides of a convex outline:
// at least one on each side that is as long as a step, evenly spread, and none
// nearer to a corner than so much. Where the outline turns by less than 20 degrees
// is no corner.
func outlineSpots(outline []r2.Vec, step, corner float64) []footSpot {
	n := len(outline)
	if n < 3 {
		return nil
	}
	sharp := func(i int) bool {
		a, b, c := outline[(i+n-1)%n], outline[i], outline[(i+1)%n]
		u, v := r2.Sub(b, a), r2.Sub(c, b)
		return math.Atan2(r2.Cross(u, v), r2.Dot(u, v)) > 20*math.Pi/180
	}
	var spots []footSpot
	along := step / 2 // to the next footSpot
	for i, a := range outline {
		b := outline[(i+1)%n]
		length := r2.Norm(r2.Sub(b, a))
		dir := r2.Unit(r2.Sub(b, a))
		from, to := 0.0, length
		if sharp(i) {
			from = corner
		}
		if sharp((i + 1) % n) {
			to = length - corner
		}
		for ; along < length; along += step {
			if along >= from && along <= to {
				spots = append(spots, footSpot{at: r2.Add(a, r2.Scale(along, dir)), out: r2.Vec{X: dir.Y, Y: -dir.X}})
			}
		}
		along -= length
	}
	return spots
}

// chamfer measures at one place how high the solid widens from the plate up, and
// by how much; it is false where there is no edge to measure.
func (x *Index) chamfer(s footSpot, high float64) (height, inset float64, ok bool) {
	const away = 1.0 // mm that the lines start outside
	in := func(z float64) float64 {
		from := r2.Add(s.at, r2.Scale(away, s.out))
		t, _, ok := x.Hit(r3.Vec{X: from.X, Y: from.Y, Z: z}, r3.Vec{X: -s.out.X, Y: -s.out.Y}, away+footNotch)
		if !ok {
			return math.Inf(1)
		}
		return t - away
	}
	const lowest, rise = 2e-3, 0.05
	foot := in(lowest)
	if math.IsInf(foot, 1) {
		return 0, 0, false
	}
	least, widest := foot, lowest
	for z := rise; z <= high; z += rise {
		if i := in(z); i < least {
			least, widest = i, z
		}
	}
	for from, to := max(widest-rise, lowest), min(widest+rise, high); to-from > 1e-3; {
		a, b := (2*from+to)/3, (from+2*to)/3
		if in(a) < in(b) {
			to = b
		} else {
			from = a
		}
		if z := (from + to) / 2; in(z) < least {
			least, widest = in(z), z
		}
	}
	if least > footNotch/2 {
		return 0, 0, false // a bite out of all of it
	}
	if foot-least < 2*meshPlay {
		return 0, max(foot-least, 0), true
	}
	// From the plate up, the first height at which it is as wide as that.
	below, above := lowest, lowest
	for above < widest && in(above) > least+meshPlay {
		below, above = above, min(above+rise, widest)
	}
	for above-below > 1e-4 {
		if middle := (below + above) / 2; in(middle) > least+meshPlay {
			below = middle
		} else {
			above = middle
		}
	}
	// The rest of the way in on the same slope.
	height = lowest + (above-lowest)*(foot-least)/(foot-least-meshPlay)
	return height, foot - least, true
}
