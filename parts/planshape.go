package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
)

// planShape is a region of the plan as a signed distance, in mm, negative
// inside. |at(p) - at(q)| <= |p - q|; slope gives at(p), to the bit, and its
// derivative, never NaN.
type planShape interface {
	at(p r2.Vec) float64
	slope(p r2.Vec) (float64, r2.Vec)
}

// dot2 is the dot product with each product rounded, so that every
// architecture computes the same bits.
func dot2(a, b r2.Vec) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) }

func norm2(a r2.Vec) float64 { return math.Sqrt(dot2(a, a)) }

// disc is a round region. Is exact.
type disc struct {
	centre r2.Vec
	radius float64
}

func (c *disc) at(p r2.Vec) float64 { return norm2(r2.Sub(p, c.centre)) - c.radius }

func (c *disc) slope(p r2.Vec) (float64, r2.Vec) {
	v := r2.Sub(p, c.centre)
	l := norm2(v)
	if l < 1e-300 {
		return l - c.radius, r2.Vec{X: 1}
	}
	return l - c.radius, r2.Vec{X: v.X / l, Y: v.Y / l}
}

// side is one straight side of an anticlockwise outline.
type side struct {
	a, along r2.Vec  // its first corner and unit direction
	length   float64 // mm
	normal   r2.Vec  // unit, outward
	offset   float64 // normal . p on the side
}

func sidesOf(outline []r2.Vec) []side {
	sides := make([]side, 0, len(outline))
	for i, a := range outline {
		e := r2.Sub(outline[(i+1)%len(outline)], a)
		l := norm2(e)
		if l < 1e-12 {
			continue
		}
		u := r2.Vec{X: e.X / l, Y: e.Y / l}
		n := r2.Vec{X: u.Y, Y: -u.X}
		sides = append(sides, side{a: a, along: u, length: l, normal: n, offset: dot2(n, a)})
	}
	return sides
}

// nearest gives the vector from the nearest point of the side to p.
func (s *side) nearest(p r2.Vec) r2.Vec {
	v := r2.Sub(p, s.a)
	t := math.Max(0, math.Min(s.length, dot2(v, s.along)))
	return r2.Vec{X: v.X - float64(t*s.along.X), Y: v.Y - float64(t*s.along.Y)}
}

// convexShape is a convex polygon. Is exact.
type convexShape struct{ sides []side }

func newConvexShape(outline []r2.Vec) *convexShape { return &convexShape{sidesOf(outline)} }

// foremost is the side whose line lies nearest in front of p.
func (c *convexShape) foremost(p r2.Vec) (*side, float64) {
	best, d := &c.sides[0], math.Inf(-1)
	for i := range c.sides {
		s := &c.sides[i]
		if v := dot2(s.normal, p) - s.offset; v > d {
			best, d = s, v
		}
	}
	return best, d
}

// corner gives the vector to p from the nearest point of the outline, for a p
// that is outside and does not face its foremost side squarely; ok is false
// where it does, and the side's own distance is the answer.
func (c *convexShape) corner(p r2.Vec, s *side) (v r2.Vec, ok bool) {
	if t := dot2(r2.Sub(p, s.a), s.along); t >= 0 && t <= s.length {
		return r2.Vec{}, false
	}
	least := math.Inf(1)
	for i := range c.sides {
		w := c.sides[i].nearest(p)
		if l := dot2(w, w); l < least {
			v, least = w, l
		}
	}
	return v, true
}

func (c *convexShape) at(p r2.Vec) float64 {
	s, d := c.foremost(p)
	if d <= 0 {
		return d
	}
	if v, ok := c.corner(p, s); ok {
		return norm2(v)
	}
	return d
}

func (c *convexShape) slope(p r2.Vec) (float64, r2.Vec) {
	s, d := c.foremost(p)
	if d <= 0 {
		return d, s.normal
	}
	if v, ok := c.corner(p, s); ok {
		if l := norm2(v); l > 1e-300 {
			return l, r2.Vec{X: v.X / l, Y: v.Y / l}
		}
		return norm2(v), s.normal
	}
	return d, s.normal
}

// drawnShape is a shape of the kernel.
type drawnShape struct{ s sdf.Shape }

func (d *drawnShape) at(p r2.Vec) float64              { return d.s.Distance(p) }
func (d *drawnShape) slope(p r2.Vec) (float64, r2.Vec) { return d.s.Gradient(p) }

// newPolygonShape is any simple polygon. Is exact.
func newPolygonShape(outline []r2.Vec) planShape { return &drawnShape{sdf.Polygon(outline)} }

// commonShape is what two regions share. Is a lower bound.
type commonShape struct{ a, b planShape }

func (c *commonShape) at(p r2.Vec) float64 { return math.Max(c.a.at(p), c.b.at(p)) }

func (c *commonShape) slope(p r2.Vec) (float64, r2.Vec) {
	da, ga := c.a.slope(p)
	db, gb := c.b.slope(p)
	if da >= db {
		return da, ga
	}
	return db, gb
}

// insetShape is a region with its edge moved inward by d mm; convex corners stay sharp.
type insetShape struct {
	f planShape
	d float64
}

func (c *insetShape) at(p r2.Vec) float64 { return c.f.at(p) + c.d }

func (c *insetShape) slope(p r2.Vec) (float64, r2.Vec) {
	d, g := c.f.slope(p)
	return d + c.d, g
}

// signedArea of an outline in mm2, positive where it runs anticlockwise.
func signedArea(outline []r2.Vec) float64 {
	sum := 0.0
	for i, a := range outline {
		sum += r2.Cross(a, outline[(i+1)%len(outline)])
	}
	return sum / 2
}

// centroid of an outline with an area.
func centroid(outline []r2.Vec) r2.Vec {
	var c r2.Vec
	sum := 0.0
	o := outline[0] // near the outline, so that nothing cancels
	for i, a := range outline {
		p, q := r2.Sub(a, o), r2.Sub(outline[(i+1)%len(outline)], o)
		w := r2.Cross(p, q)
		c = r2.Add(c, r2.Scale(w, r2.Add(p, q)))
		sum += w
	}
	if sum == 0 {
		return o
	}
	return r2.Add(o, r2.Scale(1/(3*sum), c))
}

// boundsOf is the least box about an outline.
func boundsOf(outline []r2.Vec) r2.Box {
	b := r2.Box{Min: outline[0], Max: outline[0]}
	for _, p := range outline[1:] {
		b.Min = r2.Vec{X: math.Min(b.Min.X, p.X), Y: math.Min(b.Min.Y, p.Y)}
		b.Max = r2.Vec{X: math.Max(b.Max.X, p.X), Y: math.Max(b.Max.Y, p.Y)}
	}
	return b
}

// isConvex says whether an anticlockwise outline turns left at every corner.
func isConvex(outline []r2.Vec) bool {
	n := len(outline)
	for i, a := range outline {
		b, c := outline[(i+1)%n], outline[(i+2)%n]
		if r2.Cross(r2.Sub(b, a), r2.Sub(c, b)) < -1e-9 {
			return false
		}
	}
	return true
}

// clipLine keeps the part of a convex outline where normal . p <= offset.
func clipLine(outline []r2.Vec, normal r2.Vec, offset float64) []r2.Vec {
	const touch = 1e-9 // a corner this near the line counts as on it
	var kept []r2.Vec
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		da, db := dot2(normal, a)-offset, dot2(normal, b)-offset
		if da <= touch {
			kept = append(kept, a)
		}
		if da < -touch && db > touch || da > touch && db < -touch {
			t := da / (da - db)
			kept = append(kept, r2.Add(a, r2.Scale(t, r2.Sub(b, a))))
		}
	}
	return tidy(kept)
}

// tidy drops corners that repeat; an outline left with no area is nil.
func tidy(outline []r2.Vec) []r2.Vec {
	const same = 1e-7 // mm
	var kept []r2.Vec
	for _, p := range outline {
		if len(kept) == 0 || r2.Norm(r2.Sub(p, kept[len(kept)-1])) > same {
			kept = append(kept, p)
		}
	}
	for len(kept) > 1 && r2.Norm(r2.Sub(kept[0], kept[len(kept)-1])) <= same {
		kept = kept[:len(kept)-1]
	}
	if len(kept) < 3 || signedArea(kept) < same*same {
		return nil
	}
	return kept
}

// insetConvex moves every side of a convex outline inward by d mm; nil where
// nothing is left.
func insetConvex(outline []r2.Vec, d float64) []r2.Vec {
	out := outline
	for _, s := range sidesOf(outline) {
		if out = clipLine(out, s.normal, s.offset-d); out == nil {
			return nil
		}
	}
	return out
}

// inradius of a convex outline: the radius of the largest circle within, to
// within 0.1 %.
func inradius(outline []r2.Vec) float64 {
	b := boundsOf(outline)
	lo, hi := 0.0, math.Min(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)/2
	if insetConvex(outline, hi*(1-1e-6)) != nil {
		return hi
	}
	for hi-lo > hi*1e-3 {
		if mid := (lo + hi) / 2; insetConvex(outline, mid) != nil {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// widest finds the point of a shape farthest from its edge, within a box, and
// that depth in mm, to within tol: a search that halves boxes and passes over
// those that the slope of one rules out.
func widest(f planShape, b r2.Box, tol float64) (r2.Vec, float64) {
	type tile struct {
		c    r2.Vec
		half r2.Vec
	}
	at := r2.Scale(0.5, r2.Add(b.Min, b.Max))
	best := -f.at(at)
	queue := []tile{{at, r2.Scale(0.5, r2.Sub(b.Max, b.Min))}}
	for len(queue) > 0 {
		t := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		d := -f.at(t.c)
		if d > best {
			best, at = d, t.c
		}
		if d+r2.Norm(t.half) <= math.Max(best, 0)+tol {
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

// outlinesMeet says whether two outlines share any point.
func outlinesMeet(a, b []r2.Vec) bool {
	ba, bb := boundsOf(a), boundsOf(b)
	if ba.Min.X > bb.Max.X || bb.Min.X > ba.Max.X || ba.Min.Y > bb.Max.Y || bb.Min.Y > ba.Max.Y {
		return false
	}
	for i, p := range a {
		for j, q := range b {
			if sidesMeet(p, a[(i+1)%len(a)], q, b[(j+1)%len(b)]) {
				return true
			}
		}
	}
	return newPolygonShape(a).at(b[0]) < 0 || newPolygonShape(b).at(a[0]) < 0
}

func boxCorners(b r2.Box) []r2.Vec {
	return []r2.Vec{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}

func grownBox(b r2.Box, d float64) r2.Box {
	return r2.Box{Min: r2.Sub(b.Min, r2.Vec{X: d, Y: d}), Max: r2.Add(b.Max, r2.Vec{X: d, Y: d})}
}

// sidesMeet says whether two sides that share no corner touch or cross.
func sidesMeet(a, b, c, d r2.Vec) bool {
	turn := func(p, q, r r2.Vec) float64 { return r2.Cross(r2.Sub(q, p), r2.Sub(r, p)) }
	within := func(p, q, r r2.Vec) bool { // r, in line with p and q, lies between them
		return math.Min(p.X, q.X) <= r.X && r.X <= math.Max(p.X, q.X) &&
			math.Min(p.Y, q.Y) <= r.Y && r.Y <= math.Max(p.Y, q.Y)
	}
	t1, t2, t3, t4 := turn(c, d, a), turn(c, d, b), turn(a, b, c), turn(a, b, d)
	if t1*t2 < 0 && t3*t4 < 0 {
		return true
	}
	return t1 == 0 && within(c, d, a) || t2 == 0 && within(c, d, b) ||
		t3 == 0 && within(a, b, c) || t4 == 0 && within(a, b, d)
}

// ellipse samples a true ellipse with the half-axes rx and ry: a step of t in
// its parameter leaves at most max(rx, ry)*t*t/8 between chord and curve.
func ellipse(c r2.Vec, rx, ry float64) []r2.Vec {
	step := math.Sqrt(8 * curveChord / math.Max(rx, ry))
	quarter := max(4, int(math.Ceil(math.Pi/2/step)))
	out := make([]r2.Vec, 4*quarter)
	for i := range out {
		sin, cos := math.Sincos(float64(i%quarter) / float64(quarter) * math.Pi / 2)
		for range i / quarter { // exact at the quarter turns
			sin, cos = cos, -sin
		}
		out[i] = r2.Vec{X: c.X + rx*cos, Y: c.Y + ry*sin}
	}
	return out
}

// curveChord is the most that the straight sides of a curve's outline lie
// within the curve, mm: far below what a print shows.
const curveChord = 0.01

// clipTo is what of an outline lies within a convex one; nil where nothing does.
func clipTo(outline, convex []r2.Vec) []r2.Vec {
	for _, s := range sidesOf(anticlockwise(convex)) {
		if outline = clipLine(outline, s.normal, s.offset); outline == nil {
			return nil
		}
	}
	return outline
}

func holdsAll(floor sdf.Shape, pts []r2.Vec) bool {
	for _, p := range pts {
		if !(floor.Distance(p) < 0) {
			return false
		}
	}
	return true
}
