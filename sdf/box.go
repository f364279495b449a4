package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// box is an axis-aligned box about the origin, h its half-size without the
// rounding r that is added all round.
type box struct {
	h r3.Vec
	r float64
}

// Box is an axis-aligned box about the origin with the given full size in mm
// and its edges rounded to radius round (0 keeps them sharp; at most half the
// least side). Is exact.
func Box(size r3.Vec, round float64) Field {
	least := min(size.X, min(size.Y, size.Z)) / 2
	r := max(0, min(round, least))
	return &box{h: r3.Sub(r3.Scale(0.5, size), V(r, r, r)), r: r}
}

// BoxBetween is the sharp axis-aligned box from corner lo to corner hi. Is exact.
func BoxBetween(lo, hi r3.Vec) Field {
	return Place(Box(r3.Sub(hi, lo), 0), At(r3.Scale(0.5, r3.Add(lo, hi))))
}

func (b *box) Value(p r3.Vec) float64 {
	qx, qy, qz := math.Abs(p.X)-b.h.X, math.Abs(p.Y)-b.h.Y, math.Abs(p.Z)-b.h.Z
	switch {
	case qx <= 0 && qy <= 0:
		if qz <= 0 {
			return max(qx, max(qy, qz)) - b.r
		}
		return qz - b.r
	case qx <= 0 && qz <= 0:
		return qy - b.r
	case qy <= 0 && qz <= 0:
		return qx - b.r
	}
	qx, qy, qz = max(qx, 0), max(qy, 0), max(qz, 0)
	return math.Sqrt(float64(qx*qx)+float64(qy*qy)+float64(qz*qz)) - b.r
}

func (b *box) Gradient(p r3.Vec) (float64, r3.Vec) {
	q := V(math.Abs(p.X)-b.h.X, math.Abs(p.Y)-b.h.Y, math.Abs(p.Z)-b.h.Z)
	d := b.Value(p)
	if q.X <= 0 && q.Y <= 0 && q.Z <= 0 {
		switch {
		case q.X >= q.Y && q.X >= q.Z:
			return d, V(math.Copysign(1, p.X), 0, 0)
		case q.Y >= q.Z:
			return d, V(0, math.Copysign(1, p.Y), 0)
		}
		return d, V(0, 0, math.Copysign(1, p.Z))
	}
	g := V(max(q.X, 0), max(q.Y, 0), max(q.Z, 0))
	g = unit(g, V(0, 0, 1))
	return d, V(math.Copysign(g.X, p.X), math.Copysign(g.Y, p.Y), math.Copysign(g.Z, p.Z))
}

func (b *box) Bounds() r3.Box {
	half := r3.Add(b.h, V(b.r, b.r, b.r))
	return r3.Box{Min: r3.Scale(-1, half), Max: half}
}

func (b *box) Lipschitz() float64 { return 1 }
func (b *box) Tightness() float64 { return 1 }
func (b *box) Cost() int          { return 1 }

// Prune gives the one face that the ball sees, if it sees only one: then the
// nearest feature at every point of the ball is that face.
func (b *box) Prune(ball Ball) Field {
	c, r := ball.C, ball.R+slack
	q := [3]float64{math.Abs(c.X) - b.h.X, math.Abs(c.Y) - b.h.Y, math.Abs(c.Z) - b.h.Z}
	half := [3]float64{b.h.X, b.h.Y, b.h.Z}
	at := [3]float64{c.X, c.Y, c.Z}
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		// Everywhere in the ball: coordinate i keeps its sign, j and k stay
		// within the face, and i is the greatest of the three.
		if math.Abs(at[i]) > r && q[j] < -r && q[k] < -r &&
			q[i]-r > max(q[j], q[k])+r {
			return &boxFace{axis: i, sign: math.Copysign(1, at[i]), h: half[i], r: b.r}
		}
	}
	return b
}

// boxFace is one face of a box: the half-space sign*p[axis] <= h + r, computed
// by the same operations as the box itself so that the bits agree.
type boxFace struct {
	axis int
	sign float64
	h, r float64
}

func (f *boxFace) along(p r3.Vec) float64 {
	switch f.axis {
	case 0:
		return p.X
	case 1:
		return p.Y
	}
	return p.Z
}

func (f *boxFace) Value(p r3.Vec) float64 { return f.sign*f.along(p) - f.h - f.r }

func (f *boxFace) normal() r3.Vec {
	switch f.axis {
	case 0:
		return V(f.sign, 0, 0)
	case 1:
		return V(0, f.sign, 0)
	}
	return V(0, 0, f.sign)
}

func (f *boxFace) Gradient(p r3.Vec) (float64, r3.Vec)   { return f.Value(p), f.normal() }
func (f *boxFace) Bounds() r3.Box                        { return (&halfSpace{f.normal(), f.h + f.r}).Bounds() }
func (f *boxFace) Lipschitz() float64                    { return 1 }
func (f *boxFace) Tightness() float64                    { return 1 }
func (f *boxFace) Prune(Ball) Field                      { return f }
func (f *boxFace) Cost() int                             { return 1 }
func (f *boxFace) Plane() (n r3.Vec, d float64, ok bool) { return f.normal(), f.h + f.r, true }

// BoxEased is the box between two corners with its edges rounded to a radius, mm.
func BoxEased(lo, hi r3.Vec, radius float64) Field {
	return Place(Box(r3.Sub(hi, lo), radius), At(V((lo.X+hi.X)/2, (lo.Y+hi.Y)/2, (lo.Z+hi.Z)/2)))
}
