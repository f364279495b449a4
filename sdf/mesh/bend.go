package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// bend finds where a segment bends within its face: at the crease if there is
// one, else at the surface if that leaves the chord by more than a fiftieth
// of the cell.
func (c *contour) bend(x, y, z, axis, size int, a, b int32) int32 {
	k := key(x, y, z, axis)
	if v, ok := c.faces.get(k); ok {
		if _, ok := c.doubts.get(k); ok {
			c.unsure = true
		}
		return v
	}
	f := faceFrame{lo: c.t.at(c.b.at, x, y, z), axis: axis, length: int32(size) * c.t.step}
	pa, pb := c.points[a], c.points[b]
	na, nb := c.normals[a], c.normals[b]
	if pb[0] < pa[0] || pb[0] == pa[0] && (pb[1] < pa[1] || pb[1] == pa[1] && pb[2] < pa[2]) {
		pa, pb, na, nb = pb, pa, nb, na // the same order from either side
	}
	slope := (c.slopes[a] + c.slopes[b]) / 2
	v := int32(noBend)
	p, kind, bent := c.bendAt(f, pa, pb, na, nb, slope)
	if bent {
		v = c.add(p, kind, r3.Vec{})
	}
	if size > 1 && !sdf.IsFlat(c.f) && c.pokesOut(f, faceSegment{pa, pb, na, nb, p, bent}) {
		c.doubts.put(k, 1)
		c.unsure = true
	}
	c.faces.put(k, v)
	return v
}

// faceFrame is a face of a cell as a square in two coordinates, in mm from
// its least corner.
type faceFrame struct {
	lo     ipoint
	axis   int
	length int32
}

func (f faceFrame) flat(v [3]float64) (s, t float64) { return v[(f.axis+1)%3], v[(f.axis+2)%3] }

func (f faceFrame) point(p ipoint) (s, t float64) {
	return f.flat([3]float64{
		float64(p[0]-f.lo[0]) * unit, float64(p[1]-f.lo[1]) * unit, float64(p[2]-f.lo[2]) * unit,
	})
}

// normal gives the direction of a normal within the face, at length one.
func (f faceFrame) normal(n r3.Vec) (s, t float64, ok bool) {
	s, t = f.flat([3]float64{n.X, n.Y, n.Z})
	l := math.Hypot(s, t)
	if l < 1e-6 {
		return 0, 0, false
	}
	return s / l, t / l, true
}

func (f faceFrame) within(s, t float64) bool {
	lo, hi := insideGap*unit, float64(f.length-insideGap)*unit
	return s >= lo && s <= hi && t >= lo && t <= hi
}

// lift gives the point of space at (s,t) of the face.
func (f faceFrame) lift(s, t float64) r3.Vec {
	p := f.lo.vec()
	v := [3]float64{p.X, p.Y, p.Z}
	v[(f.axis+1)%3] += s
	v[(f.axis+2)%3] += t
	return r3.Vec{X: v[0], Y: v[1], Z: v[2]}
}

// snap gives the lattice point nearest to (s,t), strictly within the face.
func (c *contour) snap(f faceFrame, s, t float64) ipoint {
	p := f.lo
	for i, x := range [2]float64{s, t} {
		a := (f.axis + 1 + i) % 3
		p = c.t.within(p, a, int32(math.Round(x*unitsPerMM)), known(f.length))
		p[a] = min(max(p[a], f.lo[a]+insideGap), f.lo[a]+f.length-insideGap)
	}
	return p
}

// straight is the sine of the angle between two normals below which a
// segment counts as straight: two degrees.
const straight = 0.035

// creaseShare is the share of a smooth arc's distance to where its tangents meet
// under which a bend counts as a crease.
const creaseShare = 0.2

// creaseMost is how far off the surface, in sides of the face, a crease may be put.
const creaseMost = 0.006

func (c *contour) bendAt(f faceFrame, pa, pb ipoint, na, nb r3.Vec, slope float64) (ipoint, vertexKind, bool) {
	as, at := f.point(pa)
	bs, bt := f.point(pb)
	ms, mt, oka := f.normal(na)
	ns, nt, okb := f.normal(nb)
	if !oka || !okb {
		return ipoint{}, 0, false
	}
	if math.Abs(ms*nt-mt*ns) < straight && ms*ns+mt*nt > 0 {
		return ipoint{}, 0, false
	}
	side := float64(f.length) * unit
	// A smooth arc between the two points would leave the meeting point of its
	// tangents by an eighth of its length times its turn; a crease runs through it.
	turn := math.Atan2(math.Abs(ms*nt-mt*ns), ms*ns+mt*nt)
	crease := slope * math.Hypot(bs-as, bt-at) * turn / 8 * creaseShare
	// Where the two tangents meet.
	xs, xt, ok := meet(as, at, ms, mt, 0, bs, bt, ns, nt, 0)
	if ok && f.within(xs, xt) {
		if d := math.Abs(c.value(c.f, f.lift(xs, xt))); d <= crease {
			if d > 2*unit { // curved surfaces: once more from nearer by
				xs, xt, d = c.closer(f, xs, xt, d, as, at, bs, bt)
			}
			if d <= slope*side*creaseMost {
				return c.snap(f, xs, xt), onCrease, true
			}
		}
	}
	// No crease: follow a curve that leaves its chord.
	cs, ct := (as+bs)/2, (at+bt)/2
	d, g := c.gradient(c.f, f.lift(cs, ct))
	if math.Abs(d) < slope*side/50 {
		return ipoint{}, 0, false
	}
	for range 2 {
		gs, gt := f.flat([3]float64{g.X, g.Y, g.Z})
		l := gs*gs + gt*gt
		if l < 1e-4 {
			return ipoint{}, 0, false
		}
		cs, ct = cs-d*gs/l, ct-d*gt/l
		if !f.within(cs, ct) {
			return ipoint{}, 0, false
		}
		if d, g = c.gradient(c.f, f.lift(cs, ct)); math.Abs(d) < slope*side/200 {
			break
		}
	}
	if math.Abs(d) > slope*side/100 {
		return ipoint{}, 0, false
	}
	return c.snap(f, cs, ct), onFace, true
}

// closer takes tangents again a quarter of the way from the meeting point back
// to either crossing; it gives the better of the two points and its |field|.
func (c *contour) closer(f faceFrame, xs, xt, d, as, at, bs, bt float64) (float64, float64, float64) {
	tangent := func(s, t float64) (ps, pt, ns, nt, v float64, ok bool) {
		ps, pt = xs+(s-xs)/4, xt+(t-xt)/4
		v, g := c.gradient(c.f, f.lift(ps, pt))
		gs, gt := f.flat([3]float64{g.X, g.Y, g.Z})
		l := math.Hypot(gs, gt)
		if l < 1e-6 {
			return 0, 0, 0, 0, 0, false
		}
		return ps, pt, gs / l, gt / l, v / l, true
	}
	ps, pt, ms, mt, v, ok1 := tangent(as, at)
	qs, qt, ns, nt, w, ok2 := tangent(bs, bt)
	if !ok1 || !ok2 {
		return xs, xt, d
	}
	ys, yt, ok := meet(ps, pt, ms, mt, v, qs, qt, ns, nt, w)
	if !ok || !f.within(ys, yt) {
		return xs, xt, d
	}
	if e := math.Abs(c.value(c.f, f.lift(ys, yt))); e < d {
		return ys, yt, e
	}
	return xs, xt, d
}

// meet gives the point x with m.(x-a) = -v and n.(x-b) = -w.
func meet(as, at, ms, mt, v, bs, bt, ns, nt, w float64) (s, t float64, ok bool) {
	det := ms*nt - mt*ns
	if math.Abs(det) < straight/2 {
		return 0, 0, false
	}
	p, q := ms*as+mt*at-v, ns*bs+nt*bt-w
	return (p*nt - q*mt) / det, (ms*q - ns*p) / det, true
}
