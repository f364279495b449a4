package planar

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// Shape is a region of the plan as a signed distance, in mm, negative
// inside. |At(p) - At(q)| <= |p - q|; Slope gives At(p), to the bit, and its
// derivative, never NaN.
type Shape interface {
	At(p r2.Vec) float64
	Slope(p r2.Vec) (float64, r2.Vec)
}

// Dot2 is the dot product with each product rounded, so that every
// architecture computes the same bits.
func Dot2(a, b r2.Vec) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) }

// Norm2 is the length of a vector, rounded as Dot2 is.
func Norm2(a r2.Vec) float64 { return math.Sqrt(Dot2(a, a)) }

// Disc is a round region. Is exact.
type Disc struct {
	Centre r2.Vec
	Radius float64
}

func (c *Disc) At(p r2.Vec) float64 { return Norm2(r2.Sub(p, c.Centre)) - c.Radius }

func (c *Disc) Slope(p r2.Vec) (float64, r2.Vec) {
	v := r2.Sub(p, c.Centre)
	l := Norm2(v)
	if l < 1e-300 {
		return l - c.Radius, r2.Vec{X: 1}
	}
	return l - c.Radius, r2.Vec{X: v.X / l, Y: v.Y / l}
}

// Convex is a convex polygon. Is exact.
type Convex struct{ sides []Side }

// NewConvex is the region within an anticlockwise convex outline.
func NewConvex(outline []r2.Vec) *Convex { return &Convex{SidesOf(outline)} }

// foremost is the side whose line lies nearest in front of p.
func (c *Convex) foremost(p r2.Vec) (*Side, float64) {
	best, d := &c.sides[0], math.Inf(-1)
	for i := range c.sides {
		s := &c.sides[i]
		if v := Dot2(s.Normal, p) - s.Offset; v > d {
			best, d = s, v
		}
	}
	return best, d
}

// corner gives the vector to p from the nearest point of the outline, for a p
// that is outside and does not face its foremost side squarely; ok is false
// where it does, and the side's own distance is the answer.
func (c *Convex) corner(p r2.Vec, s *Side) (v r2.Vec, ok bool) {
	if t := Dot2(r2.Sub(p, s.A), s.Along); t >= 0 && t <= s.Length {
		return r2.Vec{}, false
	}
	least := math.Inf(1)
	for i := range c.sides {
		w := c.sides[i].Nearest(p)
		if l := Dot2(w, w); l < least {
			v, least = w, l
		}
	}
	return v, true
}

func (c *Convex) At(p r2.Vec) float64 {
	s, d := c.foremost(p)
	if d <= 0 {
		return d
	}
	if v, ok := c.corner(p, s); ok {
		return Norm2(v)
	}
	return d
}

func (c *Convex) Slope(p r2.Vec) (float64, r2.Vec) {
	s, d := c.foremost(p)
	if d <= 0 {
		return d, s.Normal
	}
	if v, ok := c.corner(p, s); ok {
		if l := Norm2(v); l > 1e-300 {
			return l, r2.Vec{X: v.X / l, Y: v.Y / l}
		}
		return Norm2(v), s.Normal
	}
	return d, s.Normal
}

// Drawn is a shape of the kernel.
type Drawn struct{ S sdf.Shape }

func (d *Drawn) At(p r2.Vec) float64              { return d.S.Distance(p) }
func (d *Drawn) Slope(p r2.Vec) (float64, r2.Vec) { return d.S.Gradient(p) }

// Polygon is any simple polygon. Is exact.
func Polygon(outline []r2.Vec) Shape { return &Drawn{sdf.Polygon(outline)} }

// Common is what two regions share. Is a lower bound.
type Common struct{ A, B Shape }

func (c *Common) At(p r2.Vec) float64 { return max(c.A.At(p), c.B.At(p)) }

func (c *Common) Slope(p r2.Vec) (float64, r2.Vec) {
	da, ga := c.A.Slope(p)
	db, gb := c.B.Slope(p)
	if da >= db {
		return da, ga
	}
	return db, gb
}

// Inset is a region with its edge moved inward by d mm; convex corners stay sharp.
type Inset struct {
	F Shape
	D float64
}

func (c *Inset) At(p r2.Vec) float64 { return c.F.At(p) + c.D }

func (c *Inset) Slope(p r2.Vec) (float64, r2.Vec) {
	d, g := c.F.Slope(p)
	return d + c.D, g
}

// Widest finds the point of a shape farthest from its edge, within a box, and
// that depth in mm, to within tol: a search that halves boxes and passes over
// those that the slope of one rules out.
func Widest(f Shape, b r2.Box, tol float64) (r2.Vec, float64) {
	type tile struct {
		c    r2.Vec
		half r2.Vec
	}
	at := r2.Scale(0.5, r2.Add(b.Min, b.Max))
	best := -f.At(at)
	queue := []tile{{at, r2.Scale(0.5, r2.Sub(b.Max, b.Min))}}
	for len(queue) > 0 {
		t := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		d := -f.At(t.c)
		if d > best {
			best, at = d, t.c
		}
		if d+r2.Norm(t.half) <= max(best, 0)+tol {
			continue
		}
		h := t.half
		if h.X > h.Y {
			h.X /= 2
			queue = append(queue, tile{r2.Vec{X: t.c.X - h.X, Y: t.c.Y}, h}, tile{r2.Vec{X: t.c.X + h.X, Y: t.c.Y}, h})
		} else {
			h.Y /= 2
			queue = append(queue, tile{r2.Vec{X: t.c.X, Y: t.c.Y - h.Y}, h}, tile{r2.Vec{X: t.c.X, Y: t.c.Y + h.Y}, h})
		}
	}
	return at, best
}

// HoldsAll says whether every point lies inside a shape of the kernel.
func HoldsAll(floor sdf.Shape, pts []r2.Vec) bool {
	for _, p := range pts {
		if !(floor.Distance(p) < 0) {
			return false
		}
	}
	return true
}
