package crater

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/relief"
)

// featherEdge is the thinnest that a blanket of ejecta lies before it ends, on the mean,
// mm: about three printed layers.
const featherEdge = 0.15

// ejecta is a raised lip and the blanket of what a scar threw out, lying on
// the work there is: a sheet with clods cut into it. Where the work ends or drops it
// reaches out no further than it is thick. Is a lower bound.
type ejecta struct {
	*sheet
	top     sdf.Field // the sheet with its clods
	on      sdf.Field // the work under it; nil: endless ground at the level
	bearing float64   // how far below the level the work must reach, mm
	sunk    float64   // how far below the level it reaches itself, so that it is joined, mm
	onScale float64
	last    float64 // distance from the middle beyond which nothing of it is left, mm
	box     r3.Box  // about all of it
}

// ejectaReach is the greatest distance from the middle, at most reach, at which
// the thickness is still a least one.
func (e *sheet) ejectaReach(reach, least float64) float64 {
	lo, hi := e.plan.radius, max(reach, e.plan.radius)
	if e.thickness(hi) >= least {
		return hi
	}
	for range 60 {
		if mid := (lo + hi) / 2; e.thickness(mid) >= least {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// tooThin says whether ejecta of a thickness at the lip, mm, does not print at all.
func tooThin(uplift, fall float64) bool { return uplift+fall < featherEdge }

// loose are the clods of what was thrown out or fell back: up to share of their usual
// depth, 0 to 1; nil where that is 0.
func loose(s *parts.Site, seed uint64, share float64) relief.Relief {
	fine := s.Print.Relief / 0.3
	pitch := min(max(s.OnPrint(90), 1.15*fine), 2.4*fine)
	depth := 0.33 * pitch * share
	return relief.Shallowest(relief.NewStones(seed+2, 1.15*pitch, depth, 0.65), relief.NewFacets(seed, 1.1*pitch, depth, 0.1))
}

// mean is the mean depth of a relief over the plan, mm.
func mean(h relief.Relief, pitch float64) float64 {
	const side = 40
	sum := 0.0
	for i := range side {
		for j := range side {
			sum += h.Value(sdf.V(float64(i)*pitch, float64(j)*pitch, 0))
		}
	}
	return sum / (side * side)
}

// scaled is a relief of another depth.
func scaled(h relief.Relief, by float64) relief.Relief { return relief.Faded(h, relief.Even(1-by)) }

// newEjecta lays a sheet whose law, lumps and rays are set onto the work, with clods cut
// into it.
func newEjecta(s *parts.Site, e *sheet, work sdf.Field, clods relief.Relief) *ejecta {
	dip := s.Roughness(e.level)
	if clods != nil {
		e.clods = mean(clods, 0.77)
	}
	e.deep = 0.6 + dip/2
	e.finish()
	law := *e
	law.drift = nil // that is of the top alone
	out := &ejecta{sheet: &law, top: e, on: work, bearing: bearing + dip, sunk: max(1.5, 1.5*(e.uplift+e.fall)) + dip}
	if clods != nil {
		out.top = relief.Carve(e, scaled(clods, e.scale))
	}
	steepest := 2*e.uplift/max(e.flank, 1e-9) + 3*e.fall/e.plan.radius
	out.onScale = 1 / (1 + steepest*e.plan.stretch)
	// Its top is below joints and dips before it is cut off upright.
	high := e.thickness(e.edge) + e.bump + e.clods
	if e.rays != nil {
		high += e.thickness(e.edge) * (e.rays.richest - 1)
	}
	if e.drift != nil {
		high += driftMost * driftDeepest
	}
	out.last = e.edge + (high+e.deep)/endSlope
	b := e.plan.within(out.last)
	out.box = r3.Box{Min: sdf.V(b.Min.X, b.Min.Y, e.level-out.sunk), Max: sdf.V(b.Max.X, b.Max.Y, e.level+e.highest)}
	return out
}

// onAt is where the work is looked at for a point: bearing mm below the level for
// all that lies above. So what counts is what would carry the ejecta, not what
// happens to be near it.
func (e *ejecta) onAt(p r3.Vec) r3.Vec {
	p.Z = min(p.Z, e.level-e.bearing)
	return p
}

const (
	bearing = 0.6 // mm, below the joints of a finish
	// mostOverhang is how far ejecta reaches out over an edge at most, mm.
	mostOverhang = 0.8
)

// cling is how far from the work the ejecta may be.
func (e *ejecta) cling(t float64) float64 { return min(t, mostOverhang) }

// held is the distance to the work that holds it, of a point that lies r from the middle.
func (e *ejecta) held(p r3.Vec, r float64) float64 {
	return (e.on.Value(e.onAt(p)) - e.cling(e.thickness(r))) * e.onScale
}

// nearby is how far from its box, mm, an ejecta is looked at: further off its value is
// the distance to the box, so that the work under it costs nothing there.
const nearby = 2

func (e *ejecta) Value(p r3.Vec) float64 {
	far := sdf.BoxDistance(p, e.box)
	if far >= nearby {
		return far
	}
	d := max(e.top.Value(p), e.level-e.sunk-p.Z)
	r := e.plan.At(planar.OnPlan(p))
	d = max(d, e.side(r))
	if e.on != nil && d < nearby {
		d = max(d, e.held(p, r))
	}
	return e.kept(d, far)
}

// kept holds a value to what is nearby, and to no less than the distance to its box.
func (e *ejecta) kept(d, far float64) float64 {
	if d = min(d, nearby); far > 0 && d < far {
		return far
	}
	return d
}

// side is the upright end, at a distance from the middle.
func (e *ejecta) side(r float64) float64 { return (r - e.last) / e.plan.stretch }

// beyond is the vector to a point outside a box from the nearest of it.
func beyond(p r3.Vec, b r3.Box) r3.Vec {
	off := func(x, lo, hi float64) float64 { return max(0, x-hi) - max(0, lo-x) }
	return sdf.V(off(p.X, b.Min.X, b.Max.X), off(p.Y, b.Min.Y, b.Max.Y), off(p.Z, b.Min.Z, b.Max.Z))
}

func (e *ejecta) Gradient(p r3.Vec) (float64, r3.Vec) {
	far := sdf.BoxDistance(p, e.box)
	if far >= nearby {
		return far, r3.Unit(beyond(p, e.box))
	}
	d, g := e.top.Gradient(p)
	if v := e.level - e.sunk - p.Z; v > d {
		d, g = v, sdf.V(0, 0, -1)
	}
	r, plan := e.plan.Slope(planar.OnPlan(p))
	if v := e.side(r); v > d {
		d, g = v, sdf.V(plan.X/e.plan.stretch, plan.Y/e.plan.stretch, 0)
	}
	if e.on != nil && d < nearby {
		if v := e.held(p, r); v > d {
			d, g = v, e.heldSlope(p, r, plan)
		}
	}
	switch v := e.kept(d, far); {
	case v == d:
		return v, g
	case v == far:
		return v, r3.Unit(beyond(p, e.box))
	default:
		return v, r3.Vec{}
	}
}

// heldSlope is the gradient of held; plan is that of r.
func (e *ejecta) heldSlope(p r3.Vec, r float64, plan r2.Vec) r3.Vec {
	t, k := e.thicknessSlope(r)
	if t > mostOverhang {
		k = 0
	}
	q := e.onAt(p)
	_, slope := e.on.Gradient(q)
	if q.Z < p.Z {
		slope.Z = 0
	}
	return r3.Scale(e.onScale, r3.Sub(slope, sdf.V(k*plan.X, k*plan.Y, 0)))
}

func (e *ejecta) Bounds() r3.Box     { return e.box }
func (e *ejecta) Lipschitz() float64 { return 1 }
func (e *ejecta) Tightness() float64 { return 1 }

func (e *ejecta) Cost() int {
	if e.on == nil {
		return 1 + e.top.Cost()
	}
	return 1 + e.top.Cost() + e.on.Cost()
}

// Prune drops the work below where the ejecta's own faces decide, and all but its top
// where that alone does.
func (e *ejecta) Prune(b sdf.Ball) sdf.Field {
	const slack = 1e-9
	if sdf.BoxDistance(b.C, e.box) >= nearby+b.R+slack {
		if e.on == nil {
			return e
		}
		out := *e
		out.on = nil
		return &out
	}
	r := e.plan.At(planar.OnPlan(b.C))
	top, bottom, side := e.top.Value(b.C), e.level-e.sunk-b.C.Z, e.side(r)
	d := max(top, max(bottom, side))
	on := e.on
	if on != nil {
		if d >= nearby+b.R+slack || e.held(b.C, r) < d-2*b.R-slack {
			on = nil
		} else {
			on = on.Prune(sdf.Ball{C: e.onAt(b.C), R: b.R + slack})
		}
	}
	pruned := e.top.Prune(b)
	if on == nil && max(bottom, side) < top-2*b.R-slack && top < nearby-b.R-slack && isWithin(b, e.box) {
		return pruned
	}
	out := *e
	out.top, out.on = pruned, on
	if plan := e.plan.pruned(b); plan != e.plan {
		near := *e.sheet
		near.plan = plan
		out.sheet = &near
	}
	if out.top == e.top && out.on == e.on && out.sheet == e.sheet {
		return e
	}
	return &out
}

// isWithin says whether a ball lies in a box.
func isWithin(b sdf.Ball, box r3.Box) bool {
	in := func(x, lo, hi float64) bool { return x-b.R > lo && x+b.R < hi }
	return in(b.C.X, box.Min.X, box.Max.X) && in(b.C.Y, box.Min.Y, box.Max.Y) && in(b.C.Z, box.Min.Z, box.Max.Z)
}
