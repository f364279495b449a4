package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Pose is a rigid placement: turn first, then move. The zero value does nothing.
type Pose struct {
	rows [3]r3.Vec // the rotation matrix by rows
	move r3.Vec
	turn bool // rows hold a rotation
}

// At is the pose that moves the origin to p.
func At(p r3.Vec) Pose { return Pose{move: p} }

// Turn is the rotation by degrees about an axis through the origin, by the
// right-hand rule. A zero axis means +z.
func Turn(axis r3.Vec, degrees float64) Pose {
	u := unit(axis, V(0, 0, 1))
	s, c := sinCosDegrees(degrees)
	t := 1 - c
	return Pose{turn: true, rows: [3]r3.Vec{
		V(t*u.X*u.X+c, t*u.X*u.Y-s*u.Z, t*u.X*u.Z+s*u.Y),
		V(t*u.X*u.Y+s*u.Z, t*u.Y*u.Y+c, t*u.Y*u.Z-s*u.X),
		V(t*u.X*u.Z-s*u.Y, t*u.Y*u.Z+s*u.X, t*u.Z*u.Z+c),
	}}
}

// sinCosDegrees is exact at the quarter turns.
func sinCosDegrees(degrees float64) (sin, cos float64) {
	switch d := math.Mod(degrees, 360); d {
	case 0:
		return 0, 1
	case 90, -270:
		return 1, 0
	case 180, -180:
		return 0, -1
	case 270, -90:
		return -1, 0
	default:
		return math.Sincos(d * math.Pi / 180)
	}
}

// Then gives the pose that applies a first and then b.
func (a Pose) Then(b Pose) Pose {
	out := Pose{move: b.Apply(a.move), turn: a.turn || b.turn}
	if out.turn {
		ar, br := a.matrix(), b.matrix()
		cols := [3]r3.Vec{
			V(ar[0].X, ar[1].X, ar[2].X), V(ar[0].Y, ar[1].Y, ar[2].Y), V(ar[0].Z, ar[1].Z, ar[2].Z),
		}
		for i := range 3 {
			out.rows[i] = V(dot(br[i], cols[0]), dot(br[i], cols[1]), dot(br[i], cols[2]))
		}
	}
	return out
}

func (a Pose) matrix() [3]r3.Vec {
	if a.turn {
		return a.rows
	}
	return [3]r3.Vec{V(1, 0, 0), V(0, 1, 0), V(0, 0, 1)}
}

// Apply takes a point of the part to its place.
func (a Pose) Apply(p r3.Vec) r3.Vec { return r3.Add(a.Rotate(p), a.move) }

// Rotate takes a direction of the part to its place.
func (a Pose) Rotate(v r3.Vec) r3.Vec {
	if !a.turn {
		return v
	}
	return V(dot(a.rows[0], v), dot(a.rows[1], v), dot(a.rows[2], v))
}

// Invert takes a placed point back to the part.
func (a Pose) Invert(p r3.Vec) r3.Vec { return a.invert(p) }

// invert is Invert without a copy of the pose: every evaluation asks it.
func (a *Pose) invert(p r3.Vec) r3.Vec {
	q := r3.Sub(p, a.move)
	if !a.turn {
		return q
	}
	r := &a.rows
	return V(
		float64(r[0].X*q.X)+float64(r[1].X*q.Y)+float64(r[2].X*q.Z),
		float64(r[0].Y*q.X)+float64(r[1].Y*q.Y)+float64(r[2].Y*q.Z),
		float64(r[0].Z*q.X)+float64(r[1].Z*q.Y)+float64(r[2].Z*q.Z),
	)
}

// Inverse is the pose that undoes a.
func (a Pose) Inverse() Pose {
	out := Pose{turn: a.turn}
	if a.turn {
		r := a.rows
		out.rows = [3]r3.Vec{V(r[0].X, r[1].X, r[2].X), V(r[0].Y, r[1].Y, r[2].Y), V(r[0].Z, r[1].Z, r[2].Z)}
	}
	out.move = r3.Scale(-1, out.Rotate(a.move))
	return out
}

type placed struct {
	f      Field
	pose   *Pose   // shared by pruned copies
	bounds *r3.Box `digest:"-"` // nil in those
}

// Place puts a part at a pose. Is exact where the part is.
func Place(f Field, pose Pose) Field {
	bounds := placedBounds(f.Bounds(), pose)
	return &placed{f: f, pose: &pose, bounds: &bounds}
}

func placedBounds(b r3.Box, pose Pose) r3.Box {
	if !pose.turn {
		return r3.Box{Min: r3.Add(b.Min, pose.move), Max: r3.Add(b.Max, pose.move)}
	}
	// Interval arithmetic a row at a time; infinite sides stay infinite, and a
	// zero entry of the matrix ignores them.
	var lo, hi [3]float64
	mv := [3]float64{pose.move.X, pose.move.Y, pose.move.Z}
	for i, row := range pose.rows {
		lo[i], hi[i] = mv[i], mv[i]
		for _, t := range [3][3]float64{{row.X, b.Min.X, b.Max.X}, {row.Y, b.Min.Y, b.Max.Y}, {row.Z, b.Min.Z, b.Max.Z}} {
			if t[0] == 0 {
				continue
			}
			u, v := t[0]*t[1], t[0]*t[2]
			lo[i] += min(u, v)
			hi[i] += max(u, v)
		}
	}
	return boxGrow(r3.Box{Min: V(lo[0], lo[1], lo[2]), Max: V(hi[0], hi[1], hi[2])}, slack)
}

func (f *placed) Value(p r3.Vec) float64 { return f.f.Value(f.pose.invert(p)) }

func (f *placed) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, g := f.f.Gradient(f.pose.invert(p))
	return d, f.pose.Rotate(g)
}

// Bounds go with the tightness of what is placed: those of a pruned copy are its own.
func (f *placed) Bounds() r3.Box {
	if f.bounds != nil {
		return *f.bounds
	}
	return placedBounds(f.f.Bounds(), *f.pose)
}

func (f *placed) Lipschitz() float64 { return f.f.Lipschitz() }

// Tightness: the placed bounds hold the turned box of the part, so a point
// outside them is at least as far from that box.
func (f *placed) Tightness() float64 { return f.f.Tightness() }
func (f *placed) Cost() int          { return f.f.Cost() }

// inside is a ball as what is placed sees it.
func (f *placed) inside(b Ball) Ball { return Ball{C: f.pose.invert(b.C), R: b.R + slack} }

func (f *placed) Prune(b Ball) Field {
	pruned := f.f.Prune(f.inside(b))
	if pruned == f.f {
		return f
	}
	return &placed{f: pruned, pose: f.pose}
}

func (f *placed) Plane() (r3.Vec, float64, bool) {
	pl, ok := f.f.(Planar)
	if !ok {
		return r3.Vec{}, 0, false
	}
	n, d, ok := pl.Plane()
	n = f.pose.Rotate(n)
	return n, d + dot(n, f.pose.move), ok
}

// Flat says whether its surface is one plane.
func (f *placed) Flat() bool { return IsFlat(f.f) }
