package crater

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
	"socle/sdf"
)

// sheet is the land below the top of what a scar threw out, before clods are cut into it.
// The law of its thickness over the level is
//
//	t(r) = uplift*(1 - (r-R)/flank)^2 + fall*(R/r)^3      for r >= R
//
// where the square ends at the flank. From the lip outward it gathers into rays, whose
// mean over a circle is t; lumps thicken and thin it, and it drifts against what stands
// in its way. The top lies higher than that by what the clods cut out of it on the mean,
// but no higher than twice the thickness: where the sheet is thin it is single
// clods, and the joints of a finish fill before its stones are covered. Beside the rays
// and beyond the edge the top dives below the surface. Is a lower bound.
type sheet struct {
	plan   *scarPlan
	level  float64 // mm
	uplift float64 // raised ground at the lip, mm
	flank  float64 // width of the raised ground, mm
	fall   float64 // thickness of what fell, at the lip, mm
	edge   float64 // distance from the middle at which it ends, mm
	lumps  *sdf.Noise
	lump   float64 // unevenness, as a share of the thickness
	bump   float64 // the most unevenness, mm
	rays   *rays   // nil: the same all round
	gather float64 // how far it is gathered into rays, 0 to 1
	spread float64 // distance from the lip within which it gathers, mm
	clods  float64 // what its clods cut out of it on the mean, mm
	deep   float64 // how far it dives beside rays, mm
	sag    float64 // how far the land that it lies on is below the level, mm
	drift  *drift  // nil: nothing stands in its way

	highest float64 `digest:"-"` // bounds how high it stands over the level, mm
	scale   float64 `digest:"-"`
}

const (
	// thinnest is how many times higher than it is thick a thin sheet stands at most.
	thinnest = 2
	// bareRay is the thickness of the rays, over the mean, below which the ground is bare.
	bareRay = 0.7
	// raggedRay is how far the lumps fray the edges of rays, in the same.
	raggedRay = 0.5
	// endSlope is how steeply the sheet ends.
	endSlope = 0.6
)

// thickness is how high the sheet stands over the level at a distance from the middle,
// by the law alone, mm.
func (e *sheet) thickness(r float64) float64 {
	t, _ := e.thicknessSlope(r)
	return t
}

func (e *sheet) thicknessSlope(r float64) (t, slope float64) {
	if r <= e.plan.radius {
		return e.uplift + e.fall, 0
	}
	q := e.plan.radius / r
	t = e.fall * q * q * q
	slope = -3 * t / r
	if e.uplift > 0 {
		if w := 1 - (r-e.plan.radius)/e.flank; w > 0 {
			t += float64(e.uplift * w * w)
			slope -= 2 * e.uplift * w / e.flank
		}
	}
	return t, slope
}

// gathered is how far the sheet is gathered into rays at a distance, and its slope.
func (e *sheet) gathered(r float64) (m, slope float64) {
	if m = (r - e.plan.radius) / e.spread; m <= 0 {
		return 0, 0
	}
	if m >= 1 {
		return 1, 0
	}
	return m, 1 / e.spread
}

// finish works out the bounds on the slope and on the height of a sheet whose other
// fields are set, ring by ring: the law falls, the gathering rises, and angles are wider
// outward.
func (e *sheet) finish() {
	e.bump = min(e.bump, e.lump*(e.uplift+e.fall))
	const rings = 200
	step := (e.edge + 1 - e.plan.radius) / rings
	steepest := 0.0
	for i := range rings {
		r := e.plan.radius + float64(i)*step
		t, k := e.thicknessSlope(max(r, e.plan.radius*(1+1e-9)))
		k = math.Abs(k) * e.plan.stretch
		m, _ := e.gathered(r + step)
		dive := e.sag / e.spread * e.plan.stretch
		if e.rays != nil && m > 0 {
			m *= e.gather
			gain := e.gather / e.spread * e.plan.stretch
			turn := e.rays.steepest*(1+e.plan.wander)/r + e.rays.along*e.plan.stretch
			rich := 1 + m*max(0, e.rays.richest-1)
			k = k*rich + t*(m*turn+gain*max(1, e.rays.richest-1))
			dive += e.deep * (m*(turn+raggedRay*e.lumps.Slope())/bareRay + gain*(1+raggedRay/bareRay))
			t *= rich
		}
		if e.drift != nil {
			k = k*(1+driftMost) + driftDeepest*e.drift.steepest()
			t += driftMost * min(t, driftDeepest)
		}
		steepest = max(steepest, thinnest*k+dive)
		e.highest = max(e.highest, t)
	}
	e.highest += e.bump + e.clods
	e.scale = 1 / math.Hypot(1, steepest+thinnest*e.bump*e.lumps.Slope()+endSlope*e.plan.stretch)
}

// height is the top over the level at a place of the plan, and its slope, which is left
// out where it is not wanted.
func (e *sheet) height(p r3.Vec, sloped bool) (float64, r2.Vec) {
	at := r2.Vec{X: p.X, Y: p.Y}
	var r, n float64
	var gr r2.Vec
	var gn r3.Vec
	if sloped {
		r, gr = e.plan.Slope(at)
		n, gn = e.lumps.Gradient(sdf.V(p.X, p.Y, 0))
	} else {
		r, n = e.plan.At(at), e.lumps.Value(sdf.V(p.X, p.Y, 0))
	}
	t, k := e.thicknessSlope(r)
	g := r2.Scale(k, gr)
	m, mk := e.gathered(r)
	dive, gd := 0.0, r2.Vec{}
	if e.rays != nil && m > 0 {
		b, byPlace, byRadius := e.rays.at(at, r)
		gb := r2.Add(byPlace, r2.Scale(byRadius, gr))
		a := 1 + float64(float64(e.gather*m)*(b-1))
		g = r2.Add(r2.Scale(a, g), r2.Scale(t*e.gather, r2.Add(r2.Scale(m, gb), r2.Scale(mk*(b-1), gr))))
		t *= a
		if w := 1 - (b+float64(raggedRay*n))/bareRay; w > 0 {
			c := e.deep * e.gather
			dive = float64(float64(c*m) * w)
			gb = r2.Add(gb, r2.Vec{X: raggedRay * gn.X, Y: raggedRay * gn.Y})
			gd = r2.Add(r2.Scale(c*w*mk, gr), r2.Scale(-c*m/bareRay, gb))
		}
	}
	if e.drift != nil {
		w, gw := e.drift.at(p)
		if t < driftDeepest {
			g = r2.Add(r2.Scale(1+w, g), r2.Scale(t, gw))
			t *= 1 + w
		} else {
			g = r2.Add(g, r2.Scale(driftDeepest, gw))
			t += float64(driftDeepest * w)
		}
	}
	if e.lump*t > e.bump {
		t += float64(e.bump * n)
		g = r2.Add(g, r2.Vec{X: e.bump * gn.X, Y: e.bump * gn.Y})
	} else {
		g = r2.Add(r2.Scale(1+e.lump*n, g), r2.Vec{X: e.lump * t * gn.X, Y: e.lump * t * gn.Y})
		t += float64(float64(e.lump*t) * n)
	}
	h := t + e.clods
	if thin := thinnest * t; thin < h {
		h, g = thin, r2.Scale(thinnest, g)
	}
	h -= dive + float64(e.sag*m)
	g = r2.Sub(g, r2.Add(gd, r2.Scale(e.sag*mk, gr)))
	if over := r - e.edge; over > 0 {
		h -= float64(endSlope * over)
		g = r2.Sub(g, r2.Scale(endSlope, gr))
	}
	return h, g
}

func (e *sheet) Value(p r3.Vec) float64 {
	h, _ := e.height(p, false)
	return (p.Z - e.level - h) * e.scale
}

func (e *sheet) Gradient(p r3.Vec) (float64, r3.Vec) {
	h, g := e.height(p, true)
	return (p.Z - e.level - h) * e.scale, r3.Scale(e.scale, sdf.V(-g.X, -g.Y, 1))
}

func (e *sheet) Bounds() r3.Box     { return sdf.HalfSpace(sdf.V(0, 0, 1), e.level+e.highest).Bounds() }
func (e *sheet) Lipschitz() float64 { return 1 }
func (e *sheet) Tightness() float64 { return e.scale }

func (e *sheet) Cost() int {
	if e.drift == nil {
		return 2
	}
	return 2 + e.drift.on.Cost()
}

func (e *sheet) Prune(b sdf.Ball) sdf.Field {
	plan, drift := e.plan.pruned(b), e.drift
	if drift != nil {
		drift = drift.pruned(b)
	}
	if plan == e.plan && drift == e.drift {
		return e
	}
	out := *e
	out.plan, out.drift = plan, drift
	return &out
}

// drift is how much more lies against what stands in the way of a blast, and less behind
// it: the work is looked at a little above the level and a little further out.
type drift struct {
	on     sdf.Field
	centre r2.Vec
	height float64 // at which the work is looked at, mm
	out    float64 // how much further out, mm
	ease   float64 // radius within which the directions fade, mm
}

const (
	driftMost    = 1.2 // how much more lies at the foot, over the thickness
	driftDeepest = 0.5 // mm: no more is counted of the thickness
	driftReach   = 2.2 // mm from what stands there
	driftAbove   = 3.2 // mm over the level
)

// newDrift is the drift about a middle out to reach mm; nil where nothing stands in the way
// there.
func newDrift(on sdf.Field, centre r2.Vec, radius, level, reach float64) *drift {
	d := &drift{on: on, centre: centre, height: level + driftAbove, out: min(1.5, radius/4), ease: radius / 2}
	const step, most = 0.7, 300.0
	n := math.Ceil(min(2*reach/step, most))
	apart := 2 * reach / n
	for i := range int(n) {
		for j := range int(n) {
			p := sdf.V(centre.X-reach+apart*(float64(i)+0.5), centre.Y-reach+apart*(float64(j)+0.5), 0)
			if q, l, _ := d.spot(p); l <= reach && on.Value(q) < driftReach+0.71*apart*d.stretch() {
				return d
			}
		}
	}
	return nil
}

// spot is where the work is looked at for a place, with the length and the vector of its
// direction; stretch bounds how much further apart two of them lie than their places.
func (d *drift) spot(p r3.Vec) (q r3.Vec, l float64, v r2.Vec) {
	v = r2.Sub(planar.OnPlan(p), d.centre)
	l = max(planar.Norm2(v), d.ease)
	return sdf.V(p.X+float64(d.out*v.X)/l, p.Y+float64(d.out*v.Y)/l, d.height), l, v
}

func (d *drift) stretch() float64  { return 1 + d.out/d.ease }
func (d *drift) steepest() float64 { return driftMost / driftReach * d.stretch() }

// at is how much more lies at a place, over the thickness, and its slope.
func (d *drift) at(p r3.Vec) (float64, r2.Vec) {
	q, l, v := d.spot(p)
	f, g := d.on.Gradient(q)
	if f >= driftReach {
		return 0, r2.Vec{}
	}
	if f <= 0 {
		return driftMost, r2.Vec{}
	}
	// Of q with p: 1 + out/l, less what the length takes off along v.
	k := -driftMost / driftReach
	s := d.out / l
	along := 0.0
	if l > d.ease {
		along = s * (g.X*v.X + g.Y*v.Y) / (l * l)
	}
	return driftMost * (1 - f/driftReach), r2.Vec{X: k * (g.X*(1+s) - along*v.X), Y: k * (g.Y*(1+s) - along*v.Y)}
}

// pruned is the drift for a ball, nil where it is none: the same bits everywhere in it.
func (d *drift) pruned(b sdf.Ball) *drift {
	q, _, _ := d.spot(b.C)
	r := d.stretch()*b.R + 1e-9
	if d.on.Value(q)-r >= driftReach {
		return nil
	}
	on := d.on.Prune(sdf.Ball{C: q, R: r})
	if on == d.on {
		return d
	}
	out := *d
	out.on = on
	return &out
}
