package convex

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Plane bounds a polytope: n.p <= d, n a unit vector.
type Plane struct {
	N r3.Vec
	D float64
}

// dot3 is the dot product with each product rounded, so that every
// architecture computes the same bits.
func dot3(a, b r3.Vec) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

// Polytope is a convex solid with flat faces: the greatest plane wins, and
// outside its box the distance to the box if that is greater, which keeps a tree
// over thousands of them quick. Is exact inside, a lower bound outside.
type Polytope struct {
	Planes []Plane
	Box    r3.Box // exact
}

// New is the solid within all planes; nil where they leave none or do
// not close.
func New(planes []Plane) *Polytope { return Of(planes, Corners(planes)) }

// Of is the solid within all planes whose corners are known; nil where they are too few, or
// it is flat.
func Of(planes []Plane, corners []r3.Vec) *Polytope {
	inf := math.Inf(1)
	box := r3.Box{Min: sdf.V(inf, inf, inf), Max: sdf.V(-inf, -inf, -inf)}
	for _, p := range corners {
		box.Min = sdf.V(min(box.Min.X, p.X), min(box.Min.Y, p.Y), min(box.Min.Z, p.Z))
		box.Max = sdf.V(max(box.Max.X, p.X), max(box.Max.Y, p.Y), max(box.Max.Z, p.Z))
	}
	const flat = 1e-3
	if size := r3.Sub(box.Max, box.Min); len(corners) < 4 || min(size.X, min(size.Y, size.Z)) < flat {
		return nil
	}
	grow := sdf.V(1e-6, 1e-6, 1e-6) // rounding of the corners
	return &Polytope{Planes: planes, Box: r3.Box{Min: r3.Sub(box.Min, grow), Max: r3.Add(box.Max, grow)}}
}

// Corners gives the corners of the solid within all planes.
func Corners(planes []Plane) (corners []r3.Vec) {
	for i := range planes {
		for j := range i {
			cross := r3.Cross(planes[i].N, planes[j].N)
			for k := range j {
				det := r3.Dot(cross, planes[k].N)
				if math.Abs(det) < 1e-6 {
					continue
				}
				// Cramer: p = (d_k (n_i x n_j) + d_i (n_j x n_k) + d_j (n_k x n_i)) / det
				p := r3.Scale(planes[k].D, cross)
				p = r3.Add(p, r3.Scale(planes[i].D, r3.Cross(planes[j].N, planes[k].N)))
				p = r3.Add(p, r3.Scale(planes[j].D, r3.Cross(planes[k].N, planes[i].N)))
				p = r3.Scale(1/det, p)
				if within(planes, p, 1e-7) {
					corners = append(corners, p)
				}
			}
		}
	}
	return corners
}

func within(planes []Plane, p r3.Vec, slack float64) bool {
	for _, f := range planes {
		if r3.Dot(f.N, p) > f.D+slack {
			return false
		}
	}
	return true
}

// boxValue is the signed distance to a box, exact.
func boxValue(p r3.Vec, b *r3.Box) float64 {
	x := max(b.Min.X-p.X, p.X-b.Max.X)
	y := max(b.Min.Y-p.Y, p.Y-b.Max.Y)
	z := max(b.Min.Z-p.Z, p.Z-b.Max.Z)
	if most := max(x, max(y, z)); most <= 0 {
		return most
	}
	x, y, z = max(x, 0), max(y, 0), max(z, 0)
	return math.Sqrt(float64(x*x) + float64(y*y) + float64(z*z))
}

// foremost gives the greatest value of planes and the first that has it, -1 where there
// is none.
func foremost(planes []Plane, p r3.Vec) (float64, int) {
	d, best := math.Inf(-1), -1
	for i := range planes {
		if v := dot3(planes[i].N, p) - planes[i].D; v > d {
			d, best = v, i
		}
	}
	return d, best
}

func (c *Polytope) Value(p r3.Vec) float64 {
	d, _ := foremost(c.Planes, p)
	return max(d, boxValue(p, &c.Box))
}

func (c *Polytope) Gradient(p r3.Vec) (float64, r3.Vec) { return gradient(c.Planes, &c.Box, p) }

// gradient is that of planes and a box; nil for none.
func gradient(planes []Plane, box *r3.Box, p r3.Vec) (float64, r3.Vec) {
	d, best := foremost(planes, p)
	if box != nil {
		if v := boxValue(p, box); v > d {
			return v, boxNormal(p, *box)
		}
	}
	return d, planes[best].N
}

// boxNormal is the gradient of boxValue.
func boxNormal(p r3.Vec, b r3.Box) r3.Vec {
	axis := func(lo, hi, v float64) (out, sign float64) {
		if lo-v > v-hi {
			return lo - v, -1
		}
		return v - hi, 1
	}
	x, sx := axis(b.Min.X, b.Max.X, p.X)
	y, sy := axis(b.Min.Y, b.Max.Y, p.Y)
	z, sz := axis(b.Min.Z, b.Max.Z, p.Z)
	if x <= 0 && y <= 0 && z <= 0 {
		switch {
		case x >= y && x >= z:
			return sdf.V(sx, 0, 0)
		case y >= z:
			return sdf.V(0, sy, 0)
		}
		return sdf.V(0, 0, sz)
	}
	return r3.Unit(sdf.V(sx*max(x, 0), sy*max(y, 0), sz*max(z, 0)))
}

func (c *Polytope) Bounds() r3.Box     { return c.Box }
func (c *Polytope) Lipschitz() float64 { return 1 }
func (c *Polytope) Tightness() float64 { return 1 }
func (c *Polytope) Cost() int          { return 1 }

// Prune keeps the planes that can win in the ball, and the box if it can.
func (c *Polytope) Prune(b sdf.Ball) sdf.Field {
	if f := pruned(c.Planes, &c.Box, b); f != nil {
		return f
	}
	return c
}

// Pierce gives the heights at which an upright line enters and leaves the
// polytope, and the plane that it leaves by; ok is false where it misses.
func (c *Polytope) Pierce(x, y float64) (lo, hi float64, top r3.Vec, ok bool) {
	lo, hi = math.Inf(-1), math.Inf(1)
	for _, f := range c.Planes {
		room := f.D - f.N.X*x - f.N.Y*y
		switch {
		case f.N.Z > 1e-9:
			if z := room / f.N.Z; z < hi {
				hi, top = z, f.N
			}
		case f.N.Z < -1e-9:
			lo = max(lo, room/f.N.Z)
		case room < 0:
			return 0, 0, r3.Vec{}, false
		}
	}
	return lo, hi, top, lo < hi
}

// Placed moves planes by a pose.
func Placed(planes []Plane, pose sdf.Pose) []Plane {
	out := make([]Plane, len(planes))
	move := pose.Apply(r3.Vec{})
	for i, f := range planes {
		n := pose.Rotate(f.N)
		out[i] = Plane{N: n, D: f.D + r3.Dot(n, move)}
	}
	return out
}

// Unit is v at length one; v must not be zero.
func Unit(v r3.Vec) r3.Vec { return r3.Scale(1/math.Sqrt(dot3(v, v)), v) }

// Tilted is a plane through the origin whose normal leans up to degrees from
// the z axis, turned by sign.
func Tilted(rng *rand.Rand, degrees, sign float64) Plane {
	lean := math.Tan(degrees * math.Pi / 180 * math.Sqrt(rng.Float64()))
	sin, cos := math.Sincos(rng.Float64() * 2 * math.Pi)
	return Plane{N: Unit(sdf.V(lean*cos, lean*sin, sign))}
}
