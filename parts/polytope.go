package parts

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// facePlane bounds a polytope: n.p <= d, n a unit vector.
type facePlane struct {
	n r3.Vec
	d float64
}

// dot3 is the dot product with each product rounded, so that every
// architecture computes the same bits.
func dot3(a, b r3.Vec) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

// polytope is a convex solid with flat faces: the greatest plane wins, and
// outside its box the distance to the box if that is greater, which keeps a tree
// over thousands of them quick. Is exact inside, a lower bound outside.
type polytope struct {
	planes []facePlane
	box    r3.Box // exact
	boxed  bool   // the box still counts: false in a pruned copy
}

// newPolytope is the solid within all planes; nil where they leave none or do
// not close.
func newPolytope(planes []facePlane) *polytope {
	inf := math.Inf(1)
	box := r3.Box{Min: sdf.V(inf, inf, inf), Max: sdf.V(-inf, -inf, -inf)}
	corners := cornersOf(planes)
	for _, p := range corners {
		box.Min = sdf.V(math.Min(box.Min.X, p.X), math.Min(box.Min.Y, p.Y), math.Min(box.Min.Z, p.Z))
		box.Max = sdf.V(math.Max(box.Max.X, p.X), math.Max(box.Max.Y, p.Y), math.Max(box.Max.Z, p.Z))
	}
	const flat = 1e-3
	if size := r3.Sub(box.Max, box.Min); len(corners) < 4 || math.Min(size.X, math.Min(size.Y, size.Z)) < flat {
		return nil
	}
	grow := sdf.V(1e-6, 1e-6, 1e-6) // rounding of the corners
	return &polytope{planes: planes, box: r3.Box{Min: r3.Sub(box.Min, grow), Max: r3.Add(box.Max, grow)}, boxed: true}
}

// cornersOf gives the corners of the solid within all planes.
func cornersOf(planes []facePlane) (corners []r3.Vec) {
	for i := range planes {
		for j := range i {
			cross := r3.Cross(planes[i].n, planes[j].n)
			for k := range j {
				det := r3.Dot(cross, planes[k].n)
				if math.Abs(det) < 1e-6 {
					continue
				}
				// Cramer: p = (d_k (n_i x n_j) + d_i (n_j x n_k) + d_j (n_k x n_i)) / det
				p := r3.Scale(planes[k].d, cross)
				p = r3.Add(p, r3.Scale(planes[i].d, r3.Cross(planes[j].n, planes[k].n)))
				p = r3.Add(p, r3.Scale(planes[j].d, r3.Cross(planes[k].n, planes[i].n)))
				p = r3.Scale(1/det, p)
				if within(planes, p, 1e-7) {
					corners = append(corners, p)
				}
			}
		}
	}
	return corners
}

func within(planes []facePlane, p r3.Vec, slack float64) bool {
	for _, f := range planes {
		if r3.Dot(f.n, p) > f.d+slack {
			return false
		}
	}
	return true
}

// boxValue is the signed distance to a box, exact.
func boxValue(p r3.Vec, b r3.Box) float64 {
	x := math.Max(b.Min.X-p.X, p.X-b.Max.X)
	y := math.Max(b.Min.Y-p.Y, p.Y-b.Max.Y)
	z := math.Max(b.Min.Z-p.Z, p.Z-b.Max.Z)
	if most := math.Max(x, math.Max(y, z)); most <= 0 {
		return most
	}
	x, y, z = math.Max(x, 0), math.Max(y, 0), math.Max(z, 0)
	return math.Sqrt(float64(x*x) + float64(y*y) + float64(z*z))
}

// foremost gives the greatest plane value and its plane, -1 where there is none.
func (c *polytope) foremost(p r3.Vec) (float64, int) {
	d, best := math.Inf(-1), -1
	for i := range c.planes {
		if v := dot3(c.planes[i].n, p) - c.planes[i].d; v > d {
			d, best = v, i
		}
	}
	return d, best
}

func (c *polytope) Value(p r3.Vec) float64 {
	d, _ := c.foremost(p)
	if c.boxed {
		return math.Max(d, boxValue(p, c.box))
	}
	return d
}

func (c *polytope) Gradient(p r3.Vec) (float64, r3.Vec) {
	d, best := c.foremost(p)
	if c.boxed {
		if v := boxValue(p, c.box); v > d {
			return v, boxNormal(p, c.box)
		}
	}
	return d, c.planes[best].n
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
	return r3.Unit(sdf.V(sx*math.Max(x, 0), sy*math.Max(y, 0), sz*math.Max(z, 0)))
}

func (c *polytope) Bounds() r3.Box {
	if c.boxed {
		return c.box
	}
	inf := math.Inf(1)
	return r3.Box{Min: sdf.V(-inf, -inf, -inf), Max: sdf.V(inf, inf, inf)}
}

func (c *polytope) Lipschitz() float64 { return 1 }
func (c *polytope) Tightness() float64 { return 1 }
func (c *polytope) Cost() int          { return 1 }

// Prune keeps the planes that can win in the ball, and the box if it can.
func (c *polytope) Prune(b sdf.Ball) sdf.Field {
	var few [32]float64
	values := few[:0]
	most := math.Inf(-1)
	for i := range c.planes {
		v := dot3(c.planes[i].n, b.C) - c.planes[i].d
		values = append(values, v)
		most = math.Max(most, v)
	}
	box := math.Inf(-1)
	if c.boxed {
		box = boxValue(b.C, c.box)
		most = math.Max(most, box)
	}
	limit := most - 2*b.R - 1e-9
	keep := 0
	for _, v := range values {
		if v >= limit {
			keep++
		}
	}
	boxed := c.boxed && box >= limit
	if keep == len(values) && boxed == c.boxed || keep == 0 {
		return c
	}
	out := &polytope{planes: make([]facePlane, 0, keep), box: c.box, boxed: boxed}
	for i, v := range values {
		if v >= limit {
			out.planes = append(out.planes, c.planes[i])
		}
	}
	return out
}

// Plane is the one plane that a pruned polytope may have left.
func (c *polytope) Plane() (n r3.Vec, d float64, ok bool) {
	if c.boxed || len(c.planes) != 1 {
		return r3.Vec{}, 0, false
	}
	return c.planes[0].n, c.planes[0].d, true
}

// pierce gives the heights at which an upright line enters and leaves the
// polytope, and the plane that it leaves by; ok is false where it misses.
func (c *polytope) pierce(x, y float64) (lo, hi float64, top r3.Vec, ok bool) {
	lo, hi = math.Inf(-1), math.Inf(1)
	for _, f := range c.planes {
		room := f.d - f.n.X*x - f.n.Y*y
		switch {
		case f.n.Z > 1e-9:
			if z := room / f.n.Z; z < hi {
				hi, top = z, f.n
			}
		case f.n.Z < -1e-9:
			lo = math.Max(lo, room/f.n.Z)
		case room < 0:
			return 0, 0, r3.Vec{}, false
		}
	}
	return lo, hi, top, lo < hi
}

// placedPlanes moves planes by a pose.
func placedPlanes(planes []facePlane, pose sdf.Pose) []facePlane {
	out := make([]facePlane, len(planes))
	move := pose.Apply(r3.Vec{})
	for i, f := range planes {
		n := pose.Rotate(f.n)
		out[i] = facePlane{n: n, d: f.d + r3.Dot(n, move)}
	}
	return out
}

// unit3 is v at length one; v must not be zero.
func unit3(v r3.Vec) r3.Vec { return r3.Scale(1/math.Sqrt(dot3(v, v)), v) }

// tilted is a plane through the origin whose normal leans up to degrees from
// the z axis, turned by sign.
func tilted(rng *rand.Rand, degrees, sign float64) facePlane {
	lean := math.Tan(degrees * math.Pi / 180 * math.Sqrt(rng.Float64()))
	sin, cos := math.Sincos(rng.Float64() * 2 * math.Pi)
	return facePlane{n: unit3(sdf.V(lean*cos, lean*sin, sign))}
}
