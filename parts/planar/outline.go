package planar

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// RayHit gives how far along the unit direction dir, in mm, a ray from p first
// meets a closed outline; ok is false where it does not within far.
func RayHit(outline []r2.Vec, p, dir r2.Vec, far float64) (t float64, ok bool) {
	t = far
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		e := r2.Sub(b, a)
		det := r2.Cross(dir, e)
		if math.Abs(det) < 1e-12 {
			continue // parallel: the neighbouring sides are met at their ends
		}
		ap := r2.Sub(a, p)
		along, across := r2.Cross(ap, e)/det, r2.Cross(ap, dir)/det
		if along >= 0 && along <= t && across >= -1e-12 && across <= 1+1e-12 {
			t, ok = along, true
		}
	}
	return t, ok
}

// Anticlockwise gives the outline with its inside on the left.
func Anticlockwise(outline []r2.Vec) []r2.Vec {
	area := 0.0
	for i, a := range outline {
		area += r2.Cross(a, outline[(i+1)%len(outline)])
	}
	if area >= 0 {
		return outline
	}
	turned := make([]r2.Vec, len(outline))
	for i, a := range outline {
		turned[len(outline)-1-i] = a
	}
	return turned
}

// InsetOutline moves each side of an anticlockwise outline inward by d mm and
// mitres the corners; a mitre is cut off at four times d.
func InsetOutline(outline []r2.Vec, d float64) []r2.Vec {
	n := len(outline)
	out := make([]r2.Vec, n)
	for i, p := range outline {
		u, v := LeftNormal(outline[(i+n-1)%n], p), LeftNormal(p, outline[(i+1)%n])
		m := r2.Add(u, v)
		scale := 2 / max(r2.Norm2(m), 1.0/8)
		out[i] = r2.Add(p, r2.Scale(d*scale, m))
	}
	return out
}

// Side is one straight side of an anticlockwise outline.
type Side struct {
	A, Along r2.Vec  // its first corner and unit direction
	Length   float64 // mm
	Normal   r2.Vec  // unit, outward
	Offset   float64 // normal . p on the side
}

// SidesOf gives the sides of an anticlockwise outline, without those of no length.
func SidesOf(outline []r2.Vec) []Side {
	sides := make([]Side, 0, len(outline))
	for i, a := range outline {
		e := r2.Sub(outline[(i+1)%len(outline)], a)
		l := Norm2(e)
		if l < 1e-12 {
			continue
		}
		u := r2.Vec{X: e.X / l, Y: e.Y / l}
		n := r2.Vec{X: u.Y, Y: -u.X}
		sides = append(sides, Side{A: a, Along: u, Length: l, Normal: n, Offset: Dot2(n, a)})
	}
	return sides
}

// Nearest gives the vector from the nearest point of the side to p.
func (s *Side) Nearest(p r2.Vec) r2.Vec {
	v := r2.Sub(p, s.A)
	t := max(0, min(s.Length, Dot2(v, s.Along)))
	return r2.Vec{X: v.X - float64(t*s.Along.X), Y: v.Y - float64(t*s.Along.Y)}
}

// SignedArea of an outline in mm2, positive where it runs anticlockwise.
func SignedArea(outline []r2.Vec) float64 {
	sum := 0.0
	for i, a := range outline {
		sum += r2.Cross(a, outline[(i+1)%len(outline)])
	}
	return sum / 2
}

// Centroid of an outline with an area.
func Centroid(outline []r2.Vec) r2.Vec {
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

// Bounds is the least box about an outline.
func Bounds(outline []r2.Vec) r2.Box {
	b := r2.Box{Min: outline[0], Max: outline[0]}
	for _, p := range outline[1:] {
		b.Min = r2.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y)}
		b.Max = r2.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y)}
	}
	return b
}

// IsConvex says whether an anticlockwise outline turns left at every corner.
func IsConvex(outline []r2.Vec) bool {
	n := len(outline)
	for i, a := range outline {
		b, c := outline[(i+1)%n], outline[(i+2)%n]
		if r2.Cross(r2.Sub(b, a), r2.Sub(c, b)) < -1e-9 {
			return false
		}
	}
	return true
}

// ClipLine keeps the part of a convex outline where normal . p <= offset.
func ClipLine(outline []r2.Vec, normal r2.Vec, offset float64) []r2.Vec {
	const touch = 1e-9 // a corner this near the line counts as on it
	var kept []r2.Vec
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		da, db := Dot2(normal, a)-offset, Dot2(normal, b)-offset
		if da <= touch {
			kept = append(kept, a)
		}
		if da < -touch && db > touch || da > touch && db < -touch {
			t := da / (da - db)
			kept = append(kept, r2.Add(a, r2.Scale(t, r2.Sub(b, a))))
		}
	}
	return Tidy(kept)
}

// Tidy drops corners that repeat; an outline left with no area is nil.
func Tidy(outline []r2.Vec) []r2.Vec {
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
	if len(kept) < 3 || SignedArea(kept) < same*same {
		return nil
	}
	return kept
}

// InsetConvex moves every side of a convex outline inward by d mm; nil where
// nothing is left.
func InsetConvex(outline []r2.Vec, d float64) []r2.Vec {
	out := outline
	for _, s := range SidesOf(outline) {
		if out = ClipLine(out, s.Normal, s.Offset-d); out == nil {
			return nil
		}
	}
	return out
}

// Inradius of a convex outline: the radius of the largest circle within, to
// within 0.1 %.
func Inradius(outline []r2.Vec) float64 {
	b := Bounds(outline)
	lo, hi := 0.0, min(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)/2
	if InsetConvex(outline, hi*(1-1e-6)) != nil {
		return hi
	}
	for hi-lo > hi*1e-3 {
		if mid := (lo + hi) / 2; InsetConvex(outline, mid) != nil {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// ClipTo is what of an outline lies within a convex one; nil where nothing does.
func ClipTo(outline, convex []r2.Vec) []r2.Vec {
	for _, s := range SidesOf(Anticlockwise(convex)) {
		if outline = ClipLine(outline, s.Normal, s.Offset); outline == nil {
			return nil
		}
	}
	return outline
}

// OutlinesMeet says whether two outlines share any point.
func OutlinesMeet(a, b []r2.Vec) bool {
	ba, bb := Bounds(a), Bounds(b)
	if ba.Min.X > bb.Max.X || bb.Min.X > ba.Max.X || ba.Min.Y > bb.Max.Y || bb.Min.Y > ba.Max.Y {
		return false
	}
	for i, p := range a {
		for j, q := range b {
			if SidesMeet(p, a[(i+1)%len(a)], q, b[(j+1)%len(b)]) {
				return true
			}
		}
	}
	return Polygon(a).At(b[0]) < 0 || Polygon(b).At(a[0]) < 0
}

// SidesMeet says whether two sides that share no corner touch or cross.
func SidesMeet(a, b, c, d r2.Vec) bool {
	turn := func(p, q, r r2.Vec) float64 { return r2.Cross(r2.Sub(q, p), r2.Sub(r, p)) }
	within := func(p, q, r r2.Vec) bool { // r, in line with p and q, lies between them
		return min(p.X, q.X) <= r.X && r.X <= max(p.X, q.X) &&
			min(p.Y, q.Y) <= r.Y && r.Y <= max(p.Y, q.Y)
	}
	t1, t2, t3, t4 := turn(c, d, a), turn(c, d, b), turn(a, b, c), turn(a, b, d)
	if t1*t2 < 0 && t3*t4 < 0 {
		return true
	}
	return t1 == 0 && within(c, d, a) || t2 == 0 && within(c, d, b) ||
		t3 == 0 && within(a, b, c) || t4 == 0 && within(a, b, d)
}

// Ellipse samples a true ellipse with the half-axes rx and ry: a step of t in
// its parameter leaves at most max(rx, ry)*t*t/8 between chord and curve.
func Ellipse(c r2.Vec, rx, ry float64) []r2.Vec {
	step := math.Sqrt(8 * CurveChord / max(rx, ry))
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

// CurveChord is the most that the straight sides of a curve's outline lie
// within the curve, mm: far below what a print shows.
const CurveChord = 0.01

// Corners are those of a box, anticlockwise from the south-west.
func Corners(b r2.Box) []r2.Vec {
	return []r2.Vec{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}

// GrownBox is a box with d mm added on every side.
func GrownBox(b r2.Box, d float64) r2.Box {
	return r2.Box{Min: r2.Sub(b.Min, r2.Vec{X: d, Y: d}), Max: r2.Add(b.Max, r2.Vec{X: d, Y: d})}
}
