package crater

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// featherEdge is the thinnest that a blanket of ejecta lies before it ends, mm:
// about three printed layers.
const featherEdge = 0.15

// featherDive is how much steeper it falls from there.
const featherDive = 3

// ejecta is a raised lip and the blanket of what a scar threw out, lying on
// the work there is. Its thickness over the level is
//
//	t(r) = uplift*(1 - (r-R)/flank)^2 + fall*(R/r)^3      for r >= R
//
// where the square ends at the flank. Lumps thicken and thin it. Where it is
// thinner than featherEdge it dives below the surface, so that no feather edge is
// left: in patches first, everywhere at its edge. Where the work ends or drops it
// reaches out no further than it is thick. Is a lower bound.
type ejecta struct {
	plan   *scarPlan
	on     sdf.Field // the work under it; nil: endless ground at the level
	level  float64   // mm
	uplift float64   // raised ground at the lip, mm
	flank  float64   // width of the raised ground, mm
	fall   float64   // thickness of what fell, at the lip, mm
	edge   float64   // distance from the middle at which it ends, mm
	least  float64   // its thickness there
	sunk   float64   // how far below the level it reaches, so that it is joined, mm
	lumps  *sdf.Noise
	lump   float64 // unevenness, as a share of the thickness
	bump   float64 // the most unevenness, mm
	ragged float64 // how far in the edge wanders, mm

	topScale, sideScale, onScale float64
}

// ejectaReach is the greatest distance from the middle, at most reach, at which
// the thickness is still a least one.
func (e *ejecta) ejectaReach(reach, least float64) float64 {
	lo, hi := e.plan.radius, math.Max(reach, e.plan.radius)
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

// finish works out the edge and the scales of an ejecta whose other fields are set and
// that is not too thin.
func (e *ejecta) finish(reach float64) {
	e.edge = e.ejectaReach(reach, featherEdge)
	e.least = e.thickness(e.edge)
	e.ragged = math.Min(e.ragged, (e.edge-e.plan.radius)/2)
	steepest := 3 * e.fall / e.plan.radius
	if e.uplift > 0 {
		steepest += 2 * e.uplift / e.flank
	}
	steepest *= (1 + e.lump) * e.plan.stretch
	e.bump = math.Min(e.bump, e.lump*(e.uplift+e.fall))
	e.topScale = 1 / math.Hypot(1, featherDive*(steepest+e.bump*e.lumps.Slope()))
	e.sideScale = 1 / math.Hypot(1, e.plan.stretch+e.ragged/2*e.lumps.Slope())
	e.onScale = 1 / (1 + steepest)
}

// thickness is how high the ejecta stands over the level at a distance from the
// middle, without lumps, mm.
func (e *ejecta) thickness(r float64) float64 {
	t, _ := e.thicknessSlope(r)
	return t
}

func (e *ejecta) thicknessSlope(r float64) (t, slope float64) {
	if r <= e.plan.radius {
		return e.uplift + e.fall, 0
	}
	q := e.plan.radius / r
	t = e.fall * q * q * q
	slope = -3 * t / r
	if e.uplift > 0 {
		if w := 1 - (r-e.plan.radius)/e.flank; w > 0 {
			t += e.uplift * w * w
			slope -= 2 * e.uplift * w / e.flank
		}
	}
	return t, slope
}

// onAt is where the work is looked at for a point: bearing mm below the level for
// all that lies above. So what counts is what would carry the ejecta, not what
// happens to be near it.
func (e *ejecta) onAt(p r3.Vec) r3.Vec {
	p.Z = math.Min(p.Z, e.level-bearing)
	return p
}

const (
	bearing = 0.6 // mm, below the joints of a finish
	// mostOverhang is how far ejecta reaches out over an edge at most, mm.
	mostOverhang = 0.8
)

// cling is how far from the work the ejecta may be.
func (e *ejecta) cling(t float64) float64 { return math.Min(t, mostOverhang) }

// height is the thickness with its lumps, less the dive where it is thin, and
// its slopes over t and over the noise.
func (e *ejecta) height(t, n float64) (h, byThickness, byNoise float64) {
	h, byThickness, byNoise = t+float64(float64(e.lump*t)*n), 1+e.lump*n, e.lump*t
	if e.lump*t > e.bump {
		h, byThickness, byNoise = t+float64(e.bump*n), 1, e.bump
	}
	if h < featherEdge {
		h -= (featherDive - 1) * (featherEdge - h)
		byThickness, byNoise = featherDive*byThickness, featherDive*byNoise
	}
	return h, byThickness, byNoise
}

// ejectaFace is what decides the value at a point.
type ejectaFace int

const (
	ejectaTop ejectaFace = iota
	ejectaSide
	ejectaBottom
	ejectaOn
)

// shell gives the greatest of all but the distance to the work below.
func (e *ejecta) shell(r, t, n, z float64) (float64, ejectaFace) {
	h, _, _ := e.height(t, n)
	d, face := (z-e.level-h)*e.topScale, ejectaTop
	if v := (r - e.edge + float64(e.ragged*(1+n)/2) + (z - e.level - e.least)) * e.sideScale; v > d {
		d, face = v, ejectaSide
	}
	if v := e.level - e.sunk - z; v > d {
		d, face = v, ejectaBottom
	}
	return d, face
}

func (e *ejecta) Value(p r3.Vec) float64 {
	r := e.plan.At(r2.Vec{X: p.X, Y: p.Y})
	t := e.thickness(r)
	d, _ := e.shell(r, t, e.lumps.Value(sdf.V(p.X, p.Y, 0)), p.Z)
	if e.on == nil {
		return d
	}
	return math.Max(d, (e.on.Value(e.onAt(p))-e.cling(t))*e.onScale)
}

func (e *ejecta) Gradient(p r3.Vec) (float64, r3.Vec) {
	r, g := e.plan.Slope(r2.Vec{X: p.X, Y: p.Y})
	t, k := e.thicknessSlope(r)
	n, h := e.lumps.Gradient(sdf.V(p.X, p.Y, 0))
	d, face := e.shell(r, t, n, p.Z)
	if e.on != nil {
		q := e.onAt(p)
		v, slope := e.on.Gradient(q)
		if v = (v - e.cling(t)) * e.onScale; v > d {
			if q.Z < p.Z {
				slope.Z = 0
			}
			if t > mostOverhang {
				k = 0
			}
			k *= e.onScale
			return v, r3.Sub(r3.Scale(e.onScale, slope), sdf.V(k*g.X, k*g.Y, 0))
		}
	}
	switch face {
	case ejectaSide:
		w := e.ragged / 2
		return d, r3.Scale(e.sideScale, sdf.V(g.X+w*h.X, g.Y+w*h.Y, 1))
	case ejectaBottom:
		return d, sdf.V(0, 0, -1)
	}
	_, byThickness, w := e.height(t, n)
	k *= byThickness
	return d, r3.Scale(e.topScale, sdf.V(-k*g.X-w*h.X, -k*g.Y-w*h.Y, 1))
}

// Bounds: the side is furthest out at the bottom.
func (e *ejecta) Bounds() r3.Box {
	b := e.plan.within(e.edge + e.least + e.sunk)
	return r3.Box{Min: sdf.V(b.Min.X, b.Min.Y, e.level-e.sunk),
		Max: sdf.V(b.Max.X, b.Max.Y, e.level+e.uplift+e.fall+e.bump)}
}

func (e *ejecta) Lipschitz() float64 { return 1 }

// Tightness: t above the box and s beside it, the value is at least the greater
// of t*topScale and s*sideScale, so 1/sqrt 2 of their length; t below it, at least the
// greater of t and (s-t)*sideScale, which is least, at 0.53 s*sideScale for the
// distance, where they are equal.
func (e *ejecta) Tightness() float64 { return math.Min(e.topScale, e.sideScale) / 2 }

func (e *ejecta) Cost() int {
	if e.on == nil {
		return 1
	}
	return 1 + e.on.Cost()
}

// Prune drops the work below where the ejecta's own faces decide.
func (e *ejecta) Prune(b sdf.Ball) sdf.Field {
	if plan := e.plan.pruned(b); plan != e.plan {
		out := *e
		out.plan = plan
		e = &out
	}
	if e.on == nil {
		return e
	}
	c := b.C
	r := e.plan.At(r2.Vec{X: c.X, Y: c.Y})
	t := e.thickness(r)
	d, _ := e.shell(r, t, e.lumps.Value(sdf.V(c.X, c.Y, 0)), c.Z)
	out := *e
	if (e.on.Value(e.onAt(c))-e.cling(t))*e.onScale < d-2*b.R-1e-9 {
		out.on = nil
		return &out
	}
	if out.on = e.on.Prune(sdf.Ball{C: e.onAt(c), R: b.R + 1e-9}); out.on != e.on {
		return &out
	}
	return e
}
