package paving

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
	"socle/sdf"
)

// stone is a stone of any outline, or a fill of mortar: upright sides, a level top, and
// arrises rounded between them. Its foot is flat and meant to lie in a bed. Scene
// coordinates.
//
//	arris ( ----------- ) arris    B = 0 on the top, A = 0 on the sides
//	      |             |
//	------|.............|------    bed
//	      |____foot_____|
//
// It is the corner of the distances A and B from the sides and the top, rounded to the
// arris. Exact where the outline is; else a lower bound.
type stone struct {
	plan   planar.Shape // the sides drawn in by arris: 0 where A = -arris
	arris  float64      // mm
	level  float64      // height of the top, mm
	foot   float64      // height of the underside, mm
	bounds r3.Box
}

// stoneShape says what a stone is like.
type stoneShape struct {
	outline []r2.Vec     // convex, anticlockwise; nil where plan is given
	plan    planar.Shape // any region, where it is not convex
	box     r2.Box       // holds the plan
	level   float64      // of the top
	foot    float64
	arris   float64
}

func newStone(s stoneShape) *stone {
	st := &stone{arris: s.arris, level: s.level, foot: s.foot}
	if s.outline != nil {
		st.arris = min(st.arris, 0.45*planar.Inradius(s.outline))
		if inner := planar.InsetConvex(s.outline, st.arris); inner != nil && st.arris > 0 {
			st.plan = planar.NewConvex(inner)
		} else {
			st.arris = 0
			st.plan = planar.NewConvex(s.outline)
		}
	} else {
		st.plan = &planar.Inset{F: s.plan, D: st.arris}
	}
	st.bounds = r3.Box{Min: sdf.V(s.box.Min.X, s.box.Min.Y, s.foot), Max: sdf.V(s.box.Max.X, s.box.Max.Y, st.level)}
	return st
}

// corner rounds the corner between two distances: the solid is where both are
// negative, its edge rounded to the radius.
func corner(a, b, radius float64) float64 {
	u, v := a+radius, b+radius
	if u <= 0 || v <= 0 {
		return max(a, b)
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

// greatest is the greater of the body, sides and top with the arris between, and the foot.
func (s *stone) greatest(p r3.Vec, a float64) (d float64, onFoot bool) {
	d = corner(a, p.Z-s.level, s.arris)
	if f := corner(a, s.foot-p.Z, 0); f > d {
		return f, true
	}
	return d, false
}

func (s *stone) Value(p r3.Vec) float64 {
	d, _ := s.greatest(p, s.plan.At(r2.Vec{X: p.X, Y: p.Y})-s.arris)
	return d
}

func (s *stone) Gradient(p r3.Vec) (float64, r3.Vec) {
	a, g := s.plan.Slope(r2.Vec{X: p.X, Y: p.Y})
	a -= s.arris
	d, onFoot := s.greatest(p, a)
	if onFoot {
		wa, wb := cornerSlope(a, s.foot-p.Z, 0)
		return d, sdf.V(wa*g.X, wa*g.Y, -wb)
	}
	wa, wb := cornerSlope(a, p.Z-s.level, s.arris)
	return d, sdf.V(wa*g.X, wa*g.Y, wb)
}

func (s *stone) Bounds() r3.Box     { return s.bounds }
func (s *stone) Lipschitz() float64 { return 1 }
func (s *stone) Tightness() float64 { return 1 }
func (s *stone) Cost() int          { return 1 }

// Prune gives the top alone where the ball sees nothing else.
func (s *stone) Prune(ball sdf.Ball) sdf.Field {
	const slack = 1e-9
	a, b := s.plan.At(r2.Vec{X: ball.C.X, Y: ball.C.Y})-s.arris, ball.C.Z-s.level
	d, _ := s.greatest(ball.C, a)
	reach := ball.R + slack // how far A and B change within the ball
	if a+reach <= -s.arris && b-reach >= a+reach && corner(a, s.foot-ball.C.Z, 0) < d-2*ball.R-slack {
		return sdf.HalfSpace(sdf.V(0, 0, 1), s.level)
	}
	return s
}
