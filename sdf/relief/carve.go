package relief

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Relief is how deep a solid's surface is cut at each point, in mm: 0 leaves it as it
// is. Every implementation is immutable, plain data, and a pointer or without content.
type Relief interface {
	// Value gives the depth at p, 0 to Depth().
	Value(p r3.Vec) float64
	// Gradient gives Value(p), to the bit, and its derivative; where it is not unique,
	// one of the candidates, always the same one.
	Gradient(p r3.Vec) (float64, r3.Vec)
	// Depth is the most that it takes off, mm.
	Depth() float64
	// Steepest bounds the length of the derivative.
	Steepest() float64
	// Cost is what a value costs, in primitives.
	Cost() int
	// Prune gives a relief that has the same bits as this one everywhere in the ball and
	// is no dearer; it may be the relief itself. Its depth and its steepest bound it there.
	Prune(b sdf.Ball) Relief
}

// carved is a solid f cut by a relief h with d = h.Depth() and S = L + h.Steepest(), L the
// Lipschitz constant of f. With f the value at p, it is
//
//	(f+h)/S              held between
//	lo = f               and hi = max(f, d/S)          for f >= 0
//	lo = f/S             and hi = (f+d)/S              for -d <= f < 0
//	lo = min(-d/S, f+d)  and hi = f+d                  for f < -d
//
// Both bounds change with f by a factor of one at most, and no sign is lost. Where they
// meet, at f >= d/S and at f <= -d(1+1/S), the relief is not looked at.
type carved struct {
	f     sdf.Field
	h     Relief
	depth float64
	scale float64 // 1/S
	flat  bool    `digest:"-"` // where it is looked at, its surface is one plane
}

// Carve cuts a relief into the surface of f. Is a lower bound. Further than the relief is
// deep from the surface, its value is that of f outside, and that of f and the depth
// inside: the relief costs nothing there.
func Carve(f sdf.Field, h Relief) sdf.Field {
	if h == nil || h.Depth() <= 0 {
		return f
	}
	return &carved{f: f, h: h, depth: h.Depth(), scale: 1 / (f.Lipschitz() + h.Steepest())}
}

// beyond gives the value where the relief does not matter.
func (c *carved) beyond(f float64) (float64, bool) {
	switch {
	case f >= float64(c.depth*c.scale):
		return f, true
	case f <= -c.depth-float64(c.depth*c.scale):
		return f + c.depth, true
	}
	return 0, false
}

// The branches of a carved value: what its gradient follows.
const (
	follows = iota // (f+h)/S
	keeps          // f, or f+d
	rests          // constant
)

// near gives the value where the relief matters.
func (c *carved) near(f, h float64) (float64, int) {
	v := float64((f + h) * c.scale)
	switch {
	case f >= 0:
		if f > v {
			return f, keeps
		}
		if hi := float64(c.depth * c.scale); v > hi {
			return hi, rests
		}
	case f < -c.depth:
		if hi := f + c.depth; v > hi {
			return hi, keeps
		}
		if lo := -float64(c.depth * c.scale); v < lo {
			return lo, rests
		}
	}
	return v, follows
}

func (c *carved) Value(p r3.Vec) float64 {
	f := c.f.Value(p)
	if v, ok := c.beyond(f); ok {
		return v
	}
	v, _ := c.near(f, c.h.Value(p))
	return v
}

func (c *carved) Gradient(p r3.Vec) (float64, r3.Vec) {
	f, g := c.f.Gradient(p)
	if v, ok := c.beyond(f); ok {
		return v, g
	}
	h, k := c.h.Gradient(p)
	v, branch := c.near(f, h)
	switch branch {
	case follows:
		g = r3.Scale(c.scale, r3.Add(g, k))
	case rests:
		g = r3.Vec{}
	}
	return v, g
}

func (c *carved) Bounds() r3.Box     { return c.f.Bounds() }
func (c *carved) Lipschitz() float64 { return 1 }

// Tightness: outside it is at least f.
func (c *carved) Tightness() float64 { return c.f.Tightness() }
func (c *carved) Cost() int          { return c.f.Cost() + c.h.Cost() }

// Prune drops the relief where the ball lies outside its reach.
func (c *carved) Prune(b sdf.Ball) sdf.Field {
	f, at := c.f.Prune(b), c.f.Value(b.C)
	if at-b.R-slack >= float64(c.depth*c.scale) {
		return f
	}
	h := c.h
	if at+b.R+slack > -c.depth-float64(c.depth*c.scale) {
		h = h.Prune(b)
	}
	flat := sdf.IsFlat(f) && isFlat(h)
	if f != c.f || h != c.h || flat != c.flat {
		return &carved{f: f, h: h, depth: c.depth, scale: c.scale, flat: flat}
	}
	return c
}

// Flat says whether its surface is one plane.
func (c *carved) Flat() bool { return c.flat }

// Side goes by how fast the relief and the solid under it change in the ball.
func (c *carved) Side(b sdf.Ball) int {
	f := c.f.Value(b.C)
	if f > b.R {
		return 1
	}
	if f+c.depth < -b.R {
		return -1
	}
	far := (1+c.h.Steepest())*b.R + slack
	switch v := f + c.h.Value(b.C); {
	case v > far:
		return 1
	case v < -far:
		return -1
	}
	return 0
}
