package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// boxShape is a rectangle about the origin of half-size h, grown by r all
// round: a rectangle with round corners or, where h has no depth, a stadium. Is exact.
type boxShape struct {
	h r2.Vec
	r float64
}

func (b *boxShape) at(p r2.Vec) float64 {
	d, _ := b.slope(p)
	return d
}

func (b *boxShape) slope(p r2.Vec) (float64, r2.Vec) {
	q := r2.Vec{X: math.Abs(p.X) - b.h.X, Y: math.Abs(p.Y) - b.h.Y}
	alongX, alongY := r2.Vec{X: math.Copysign(1, p.X)}, r2.Vec{Y: math.Copysign(1, p.Y)}
	if q.X <= 0 || q.Y <= 0 {
		if q.X > q.Y {
			return q.X - b.r, alongX
		}
		return q.Y - b.r, alongY
	}
	l := norm2(q)
	return l - b.r, r2.Vec{X: alongX.X * q.X / l, Y: alongY.Y * q.Y / l}
}

// ellipseShape is an ellipse about the origin with half-axes a along x and b
// along y. Is exact, to rounding.
type ellipseShape struct{ a, b float64 }

func (e *ellipseShape) at(p r2.Vec) float64 {
	d, _ := e.slope(p)
	return d
}

// slope finds the nearest point x of the ellipse as x = a^2 p.X/(t + a^2), y =
// b^2 p.Y/(t + b^2), with t the greatest root of (x/a)^2 + (y/b)^2 = 1 (Eberly,
// Distance from a Point to an Ellipse, 2013, from memory). That sum is convex
// and falls with t, so Newton's steps from a t below the root climb to it.
func (e *ellipseShape) slope(p r2.Vec) (float64, r2.Vec) {
	long, short, u, v := e.a, e.b, math.Abs(p.X), math.Abs(p.Y)
	if e.b > e.a {
		long, short, u, v = short, long, v, u
	}
	x, y := nearestOnEllipse(long, short, u, v)
	// The normal of the ellipse there is the gradient on both sides.
	nx, ny := x/(long*long), y/(short*short)
	n := math.Sqrt(float64(nx*nx) + float64(ny*ny))
	nx, ny = nx/n, ny/n
	dx, dy := u-x, v-y
	d := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	if zu, zv := u/long, v/short; float64(zu*zu)+float64(zv*zv) < 1 {
		d = -d
	}
	if e.b > e.a {
		nx, ny = ny, nx
	}
	return d, r2.Vec{X: math.Copysign(nx, p.X), Y: math.Copysign(ny, p.Y)}
}

// nearestOnEllipse gives the nearest point of an ellipse with half-axes a >= b
// to a point u, v of the first quadrant.
func nearestOnEllipse(a, b, u, v float64) (x, y float64) {
	if v == 0 {
		if span := float64(a*a) - float64(b*b); a*u < span {
			c := a * u / span
			return a * c, b * math.Sqrt(math.Max(0, 1-float64(c*c)))
		}
		return a, 0
	}
	zu, zv, r := u/a, v/b, float64(a/b)*float64(a/b)
	// In units of b^2, w = t/b^2 + 1 > 0: as itself, since near the long axis it
	// is far smaller than the one.
	n := r * zu
	w := math.Max(zv, n-(r-1))
	for range 200 {
		p, q := n/(w+(r-1)), zv/w
		g := float64(p*p) + float64(q*q) - 1
		next := w + g/(2*(float64(p*p)/(w+(r-1))+float64(q*q)/w))
		if !(next > w) {
			break
		}
		w = next
	}
	return r * u / (w + (r - 1)), v / w
}

// shape is the footprint as a signed distance in the plan. Is exact.
func (f footprint) shape() planShape {
	h := r2.Scale(0.5, f.size)
	switch f.word {
	case "round":
		return &disc{radius: h.X}
	case "oval":
		return &ellipseShape{h.X, h.Y}
	case "hexagon":
		return newConvexShape(f.outline())
	}
	r := f.radius()
	return &boxShape{h: r2.Vec{X: math.Max(0, h.X-r), Y: math.Max(0, h.Y-r)}, r: r}
}

func (f footprint) box() r2.Box {
	return r2.Box{Min: r2.Scale(-0.5, f.size), Max: r2.Scale(0.5, f.size)}
}

// post is what lies upright over a region of the plan between two heights.
func post(shape planShape, box r2.Box, lo, hi float64) sdf.Field {
	return &bank{shape: shape, box: box, at: lo, lo: lo, hi: hi, sin: 1}
}

// drum is an upright cylinder.
func drum(at r2.Vec, radius, lo, hi float64) sdf.Field {
	r := r2.Vec{X: radius, Y: radius}
	return post(&disc{centre: at, radius: radius}, r2.Box{Min: r2.Sub(at, r), Max: r2.Add(at, r)}, lo, hi)
}

// tapered is a footprint drawn in by inset mm all round, a true parallel of its
// outline, and narrowing with the rim: from the top of the chamfer, where the
// base is widest and has its nominal size, to the top of the rim, and upright
// from there to hi.
func (b *Base) tapered(f footprint, inset, lo, hi float64) sdf.Field {
	shape := f.shape()
	if inset > 0 {
		shape = &insetShape{shape, inset}
	}
	if b.Taper == 0 {
		return post(shape, f.box(), lo, hi)
	}
	rise := b.Height - b.Chamfer
	slope := math.Hypot(b.Taper, rise)
	rim := &bank{shape: shape, box: f.box(), at: b.Chamfer, lo: lo, hi: math.Min(hi, b.Height), sin: rise / slope, cos: b.Taper / slope}
	if hi <= b.Height {
		return rim
	}
	return sdf.Union(rim, post(&insetShape{shape, b.Taper}, f.box(), math.Max(lo, 0), hi))
}

// column is all that a base may fill, from its foot at z = 0 to hi: the rim with
// its taper and chamfer, and the upright over the rim's top.
func (b *Base) column(f footprint, hi float64) sdf.Field {
	c := b.tapered(f, 0, 0, hi)
	if b.Chamfer > 0 {
		c = sdf.Intersection(c, &bank{shape: f.shape(), box: f.box(), at: b.Chamfer, lo: -1, hi: hi + 1, sin: math.Sqrt2 / 2, cos: -math.Sqrt2 / 2})
	}
	return c
}

// within is the column without a band of the given width inside its edge, open
// at the foot.
func (b *Base) within(f footprint, width, hi float64) sdf.Field {
	return b.tapered(f, width, -1, hi+1)
}
