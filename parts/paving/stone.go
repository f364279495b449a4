package paving

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
	"socle/sdf"
)

// stone is one laid stone: upright sides on an outline in the plan, a top that
// may lean, swell and be rough, arrises rounded between them, and chips struck
// off. Its foot is flat and meant to lie in a bed. Scene coordinates.
//
//	        ___crown___            B = 0 on the top
//	arris ( -------.--- ) arris    A = 0 on the sides
//	      |             |
//	------|.............|------    bed
//	      |____foot_____|
//
// With A and B the distances from the sides and the top, the solid is the
// rounded corner min(max(A, B), ...) of radius arris, scaled so that no slope
// exceeds one. Exact where the top is flat and the outline is; else a lower bound.
type stone struct {
	plan  planar.Shape // the sides drawn in by arris: 0 where A = -arris
	arris float64      // mm

	level float64 // height of the top over the middle, before roughness, mm
	most  float64 // greatest height of the top, mm
	foot  float64 // height of the underside, mm
	mid   r2.Vec
	lean  r2.Vec  // fall of the top per mm, along x and y
	crown float64 // how far the top falls from the middle to a corner, mm
	long  r2.Vec  // axis of the stone, unit; with half, the frame of the crown
	half  r2.Vec  // half of length and width, mm
	rough *grain  // nil: none
	chips []chip

	scale  float64 // 1 over the greatest slope of the unscaled field
	bounds r3.Box
}

// grain is roughness of the top and raggedness of the sides from one noise: it
// only takes away.
type grain struct {
	noise *sdf.Noise
	top   float64 // most that it takes off the top, mm
	sides float64 // most that it takes off the sides, mm
}

// chip is a ball struck out of a stone, its surface roughened by a noise.
type chip struct {
	c     r3.Vec
	r     float64
	noise *sdf.Noise
	rough float64 // amplitude of the noise, mm
	scale float64 // 1 over the greatest slope of the unscaled distance
}

func newChip(c r3.Vec, r float64, noise *sdf.Noise, rough float64) chip {
	return chip{c: c, r: r, noise: noise, rough: rough, scale: 1 / (1 + rough*noise.Slope())}
}

// stoneShape says what a stone is like.
type stoneShape struct {
	outline []r2.Vec     // convex, anticlockwise; nil where plan is given
	plan    planar.Shape // any region, where it is not convex
	box     r2.Box       // holds the plan
	level   float64      // of the highest point of the top
	foot    float64
	arris   float64
	lean    r2.Vec // slope of the top; the highest corner is at the level
	crown   float64
	long    r2.Vec
	half    r2.Vec
	rough   *grain
	chips   []chip
}

// newStone builds a stone whose highest point is at the level: a lean lowers it
// by as much as it would raise a corner.
func newStone(s stoneShape) *stone {
	st := &stone{
		arris: s.arris, level: s.level, most: s.level, foot: s.foot, lean: s.lean, crown: s.crown,
		long: s.long, half: s.half, rough: s.rough, chips: s.chips,
		mid: r2.Scale(0.5, r2.Add(s.box.Min, s.box.Max)),
	}
	if s.outline != nil {
		st.arris = math.Min(st.arris, 0.45*planar.Inradius(s.outline))
		st.mid = planar.Centroid(s.outline)
		if inner := planar.InsetConvex(s.outline, st.arris); inner != nil && st.arris > 0 {
			st.plan = planar.NewConvex(inner)
		} else {
			st.arris = 0
			st.plan = planar.NewConvex(s.outline)
		}
	} else {
		st.plan = &planar.Inset{F: s.plan, D: st.arris}
	}
	reach := s.outline
	if reach == nil {
		reach = planar.Corners(s.box)
	}
	rise := 0.0
	for _, p := range reach {
		rise = math.Max(rise, -planar.Dot2(s.lean, r2.Sub(p, st.mid)))
	}
	st.level -= rise

	// The Jacobian of (A, B) by (plan, height) is at most [[a, 0], [b, 1]]: its
	// greater singular value bounds the slope of any rounded corner of the two.
	a, b := 1.0, planar.Norm2(s.lean)
	if s.crown > 0 {
		b += math.Sqrt2 * s.crown / math.Min(s.half.X, s.half.Y)
	}
	if s.rough != nil {
		a += s.rough.sides / (1 + spared) * s.rough.noise.Slope()
		b += s.rough.top / (1 + spared) * s.rough.noise.Slope()
	}
	st.scale = 2 / (math.Sqrt((a+1)*(a+1)+b*b) + math.Sqrt((a-1)*(a-1)+b*b))
	st.bounds = r3.Box{Min: sdf.V(s.box.Min.X, s.box.Min.Y, s.foot), Max: sdf.V(s.box.Max.X, s.box.Max.Y, st.most)}
	return st
}

// crownAt is the part of the crown's fall reached over p, 0 in the middle and
// at most 1, with its derivative.
func (s *stone) crownAt(p r2.Vec) (float64, r2.Vec) {
	d := r2.Sub(p, s.mid)
	across := r2.Vec{X: -s.long.Y, Y: s.long.X}
	u, v := planar.Dot2(d, s.long)/s.half.X, planar.Dot2(d, across)/s.half.Y
	q := (float64(u*u) + float64(v*v)) / 2
	if q >= 1 {
		return 1, r2.Vec{}
	}
	return q, r2.Add(r2.Scale(u/s.half.X, s.long), r2.Scale(v/s.half.Y, across))
}

// spared moves the noise so that a part of every stone, about a third, keeps
// its full height; the share taken off is (v + spared)/(1 + spared) elsewhere.
const spared = 0.25

// roughAt is the share of the grain taken off at p, 0 to 1.
func (s *stone) roughAt(p r2.Vec) float64 {
	if s.rough == nil {
		return 0
	}
	return math.Max(0, s.rough.noise.Value(sdf.V(p.X, p.Y, 0))+spared) / (1 + spared)
}

// roughSlope is roughAt, to the bit, and its derivative.
func (s *stone) roughSlope(p r2.Vec) (float64, r2.Vec) {
	if s.rough == nil {
		return 0, r2.Vec{}
	}
	v, g := s.rough.noise.Gradient(sdf.V(p.X, p.Y, 0))
	if v+spared <= 0 {
		return 0, r2.Vec{}
	}
	return math.Max(0, v+spared) / (1 + spared), r2.Scale(1/(1+spared), r2.Vec{X: g.X, Y: g.Y})
}

// topSlope is the height of the top over p, less the grain's share, with its
// derivative.
func (s *stone) topSlope(p r2.Vec, grain float64, gg r2.Vec) (float64, r2.Vec) {
	top, g := s.level-planar.Dot2(s.lean, r2.Sub(p, s.mid)), r2.Scale(-1, s.lean)
	if top > s.most { // the lean runs on beyond the outline
		top, g = s.most, r2.Vec{}
	}
	if s.crown > 0 {
		q, gq := s.crownAt(p)
		top, g = top-float64(s.crown*q), r2.Sub(g, r2.Scale(s.crown, gq))
	}
	if s.rough != nil {
		top, g = top-float64(s.rough.top*grain), r2.Sub(g, r2.Scale(s.rough.top, gg))
	}
	return top, g
}

// sideAndTop gives A and B at p.
func (s *stone) sideAndTop(p r3.Vec) (a, b float64) {
	xy := r2.Vec{X: p.X, Y: p.Y}
	n := s.roughAt(xy)
	top, _ := s.topSlope(xy, n, r2.Vec{})
	return s.sidesAt(s.plan.At(xy), n), p.Z - top
}

func (s *stone) sidesAt(plan, grain float64) float64 {
	if s.rough == nil {
		return plan - s.arris
	}
	return plan - s.arris + float64(s.rough.sides*grain)
}

// slopes gives A and B at p, to the bit, and their derivatives.
func (s *stone) slopes(p r3.Vec) (a, b float64, ga, gb r3.Vec) {
	xy := r2.Vec{X: p.X, Y: p.Y}
	n, gn := s.roughSlope(xy)
	a, g := s.plan.Slope(xy)
	if s.rough != nil {
		g = r2.Add(g, r2.Scale(s.rough.sides, gn))
	}
	top, gt := s.topSlope(xy, n, gn)
	return s.sidesAt(a, n), p.Z - top, sdf.V(g.X, g.Y, 0), sdf.V(-gt.X, -gt.Y, 1)
}

// corner rounds the corner between two distances: the solid is where both are
// negative, its edge rounded to the radius.
func corner(a, b, radius float64) float64 {
	u, v := a+radius, b+radius
	if u <= 0 || v <= 0 {
		return math.Max(a, b)
	}
	return math.Sqrt(float64(u*u)+float64(v*v)) - radius
}

// cornerSlope gives the shares of a's and b's slope in that of their corner.
func cornerSlope(a, b, radius float64) (wa, wb float64) {
	u, v := a+radius, b+radius
	if u > 0 && v > 0 {
		l := math.Sqrt(float64(u*u) + float64(v*v))
		return u / l, v / l
	}
	if a >= b {
		return 1, 0
	}
	return 0, 1
}

// The surfaces of a stone beside its chips, of which the greatest value wins.
const (
	faceBody = -1 // sides and top with the arris between
	faceFoot = -2
)

func (s *stone) greatest(p r3.Vec, a, b float64) (d float64, face int) {
	d, face = corner(a, b, s.arris)*s.scale, faceBody
	if f := corner(float64(a*s.scale), s.foot-p.Z, 0); f > d {
		d, face = f, faceFoot
	}
	for i := range s.chips {
		if v := s.chips[i].at(p); v > d {
			d, face = v, i
		}
	}
	return d, face
}

// Value is the greatest of the body, the foot and the chips.
func (s *stone) Value(p r3.Vec) float64 {
	a, b := s.sideAndTop(p)
	d, _ := s.greatest(p, a, b)
	return d
}

func (s *stone) Gradient(p r3.Vec) (float64, r3.Vec) {
	a, b, ga, gb := s.slopes(p)
	d, face := s.greatest(p, a, b)
	switch face {
	case faceBody:
		wa, wb := cornerSlope(a, b, s.arris)
		return d, r3.Scale(s.scale, r3.Add(r3.Scale(wa, ga), r3.Scale(wb, gb)))
	case faceFoot:
		wa, wb := cornerSlope(float64(a*s.scale), s.foot-p.Z, 0)
		return d, r3.Add(r3.Scale(wa*s.scale, ga), sdf.V(0, 0, -wb))
	}
	return d, s.chips[face].slope(p)
}

func (s *stone) Bounds() r3.Box     { return s.bounds }
func (s *stone) Lipschitz() float64 { return 1 }

// Tightness: beyond its bounds the body is at least scale times as far as they
// are, since A and B are there at least the distances to the box's sides and top.
func (s *stone) Tightness() float64 { return s.scale }
func (s *stone) Cost() int          { return 1 + len(s.chips) }

// Prune drops the chips that the ball cannot see, and gives the top alone where
// the ball sees nothing else.
func (s *stone) Prune(ball sdf.Ball) sdf.Field {
	const slack = 1e-9
	a, b := s.sideAndTop(ball.C)
	d, _ := s.greatest(ball.C, a, b)
	var kept []chip
	for _, c := range s.chips {
		if c.at(ball.C) >= d-2*ball.R-slack {
			kept = append(kept, c)
		}
	}
	reach := ball.R/s.scale + slack // how far A and B change within the ball
	if len(kept) == 0 && a+reach <= -s.arris && b-reach >= a+reach &&
		corner(float64(a*s.scale), s.foot-ball.C.Z, 0) < d-2*ball.R-slack {
		return &stoneTop{s}
	}
	if len(kept) == len(s.chips) {
		return s
	}
	fewer := *s
	fewer.chips = kept
	return &fewer
}

// stoneTop is a stone where only its top can be seen: B, scaled.
type stoneTop struct{ s *stone }

func (t *stoneTop) Value(p r3.Vec) float64 {
	xy := r2.Vec{X: p.X, Y: p.Y}
	top, _ := t.s.topSlope(xy, t.s.roughAt(xy), r2.Vec{})
	return (p.Z - top) * t.s.scale
}

func (t *stoneTop) Gradient(p r3.Vec) (float64, r3.Vec) {
	xy := r2.Vec{X: p.X, Y: p.Y}
	n, gn := t.s.roughSlope(xy)
	top, g := t.s.topSlope(xy, n, gn)
	return (p.Z - top) * t.s.scale, r3.Scale(t.s.scale, sdf.V(-g.X, -g.Y, 1))
}

func (t *stoneTop) Bounds() r3.Box {
	return sdf.HalfSpace(sdf.V(0, 0, 1), t.s.most).Bounds()
}
func (t *stoneTop) Lipschitz() float64       { return 1 }
func (t *stoneTop) Tightness() float64       { return t.s.scale }
func (t *stoneTop) Prune(sdf.Ball) sdf.Field { return t }
func (t *stoneTop) Cost() int                { return 1 }

// Plane is the top of a stone that lies true.
func (t *stoneTop) Plane() (n r3.Vec, d float64, ok bool) {
	s := t.s
	return sdf.V(0, 0, 1), s.level, s.scale == 1 && s.crown == 0 && s.rough == nil && s.lean == (r2.Vec{})
}

func (c *chip) at(p r3.Vec) float64 {
	return (c.r + float64(c.rough*c.noise.Value(p)) - norm3(r3.Sub(p, c.c))) * c.scale
}

func (c *chip) slope(p r3.Vec) r3.Vec {
	_, g := c.noise.Gradient(p)
	g = r3.Scale(c.rough, g)
	v := r3.Sub(p, c.c)
	if l := norm3(v); l > 1e-300 {
		g = r3.Sub(g, r3.Scale(1/l, v))
	}
	return r3.Scale(c.scale, g)
}

func norm3(v r3.Vec) float64 {
	return math.Sqrt(float64(v.X*v.X) + float64(v.Y*v.Y) + float64(v.Z*v.Z))
}
