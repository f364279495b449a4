package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Corner signs see only what is wider than a cell. Two things that they miss spoil
// a solid to the eye, and cells are halved there: an edge whose tip pokes through a
// side of the cell without reaching a corner, so that it would be chopped; and a
// wall or a pin of which both sides are in one cell. What is narrower than a cell
// and hollow, a joint between stones, is left to the size of the cells.

// bentCosine is the cosine of the angle between two normals of a loop, 30
// degrees, from which the leaf is taken to hold a crease.
const bentCosine = 0.866

// opposed is the cosine of the angle between two normals from which they are the two
// sides of something thin.
const opposed = -0.7

// chopped is how far, in cells as asked for, the mesh may fall short of a crease.
const chopped = 0.045

// onSurface is how far off the surface, in sides of the cell, the meeting line of
// two tangent planes may be to be a crease: along an arc it is further off.
const onSurface = 0.02

// mostFacets is how many different normals of a loop are told apart.
const mostFacets = 4

// tooCoarse says whether a leaf is to be halved for what its loop shows; its
// triangles are those from first on.
func (c *contour) tooCoarse(loop []int32, first int, lo ipoint, length int32) bool {
	facets, n := c.facets(loop)
	for i := range n {
		for _, w := range facets[:i] {
			if c.isThin(facets[i], w) || c.chops(facets[i], w, first, lo, length) {
				return true
			}
		}
	}
	return false
}

// facets are crossings of a loop whose normals differ, n of them.
func (c *contour) facets(loop []int32) (facets [mostFacets]int32, n int) {
	for _, v := range loop {
		if c.normals[v] == (r3.Vec{}) || n == mostFacets {
			continue
		}
		fresh := true
		for _, w := range facets[:n] {
			fresh = fresh && r3.Dot(c.normals[v], c.normals[w]) < bentCosine
		}
		if fresh {
			facets[n] = v
			n++
		}
	}
	return facets, n
}

// meeting is the line in which the tangent planes at two crossings meet: its point
// nearest to the first, and its direction, as long as the sine of their angle. ok is
// false where they hardly meet.
func (c *contour) meeting(v, w int32) (p, along r3.Vec, ok bool) {
	m, n := c.normals[v], c.normals[w]
	along = r3.Cross(m, n)
	det := r3.Dot(along, along)
	if det < straight*straight {
		return p, along, false
	}
	// v + s m + t n with m.(x-v) = 0, n.(x-w) = 0.
	p = c.points[v].vec()
	gap, cos := r3.Dot(n, r3.Sub(c.points[w].vec(), p)), r3.Dot(m, n)
	return r3.Add(p, r3.Add(r3.Scale(-cos*gap/det, m), r3.Scale(gap/det, n))), along, true
}

// isThin says whether two crossings of a leaf are on the two sides of something thin,
// with the solid between them.
func (c *contour) isThin(v, w int32) bool {
	if r3.Dot(c.normals[v], c.normals[w]) > opposed {
		return false
	}
	between := r3.Sub(c.points[v].vec(), c.points[w].vec())
	return r3.Dot(between, r3.Sub(c.normals[v], c.normals[w])) > 0
}

// creaseError is how far off the surface the meeting of two tangents may be to be a
// crease: the tangents of an arc of that length and turn meet further off.
func creaseError(side, length, turn float64) float64 {
	return min(side*onSurface, creaseShare*length*turn/8)
}

// isCrease says whether a convex crease runs through x: whether x, and points some
// way back from it along both of its sides, are on the surface.
func (c *contour) isCrease(x, backM, backN r3.Vec, most float64) bool {
	return math.Abs(c.value(c.f, x)) <= most &&
		math.Abs(c.value(c.f, r3.Add(x, backM))) <= most && math.Abs(c.value(c.f, r3.Add(x, backN))) <= most
}

// chops says whether the triangles of a leaf fall short of the crease where the tangent
// planes at v and w meet: of where it enters, of where it leaves, or of the middle.
func (c *contour) chops(v, w int32, first int, lo ipoint, length int32) bool {
	p, along, ok := c.meeting(v, w)
	if !ok {
		return false
	}
	side := float64(length) * unit
	from, to := clip(r3.Sub(p, lo.vec()), along, side)
	if from >= to {
		return false
	}
	m, n := c.normals[v], c.normals[w]
	apart := r3.Sub(c.points[w].vec(), c.points[v].vec())
	sin, cos := math.Sqrt(r3.Dot(along, along)), r3.Dot(m, n)
	backM := r3.Scale(-side/4/sin, r3.Sub(n, r3.Scale(cos, m)))
	backN := r3.Scale(-side/4/sin, r3.Sub(m, r3.Scale(cos, n)))
	most := creaseError(side, r3.Norm(apart), math.Atan2(sin, cos))
	for _, s := range [3]float64{from, to, (from + to) / 2} {
		x := r3.Add(p, r3.Scale(s, along))
		if c.fallsShort(x, first) && c.isCrease(x, backM, backN, most) {
			return true
		}
	}
	return false
}

// clip gives the stretch of the line p + s d that lies in the cube from 0 to side;
// from is not below to where there is none.
func clip(p, d r3.Vec, side float64) (from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	for _, a := range [3][2]float64{{p.X, d.X}, {p.Y, d.Y}, {p.Z, d.Z}} {
		if math.Abs(a[1]) < 1e-9 {
			if a[0] < 0 || a[0] > side {
				return 0, 0
			}
			continue
		}
		s, t := -a[0]/a[1], (side-a[0])/a[1]
		from, to = max(from, min(s, t)), min(to, max(s, t))
	}
	return from, to
}

// shortfall is chopped in units.
func (c *contour) shortfall() float64 { return chopped * float64(cellSteps*c.t.step) }

// fallsShort says whether all triangles from first on are too far from x.
func (c *contour) fallsShort(x r3.Vec, first int) bool {
	p := r3.Scale(unitsPerMM, x)
	most := c.shortfall() * c.shortfall()
	for _, t := range c.triangles[first:] {
		if distance2(p, c.points[t[0]].float64s(), c.points[t[1]].float64s(), c.points[t[2]].float64s()) <= most {
			return false
		}
	}
	return true
}

// faceSegment is what a face shows: its two crossings, in order, their normals, and
// the bend between them where there is one.
type faceSegment struct {
	a, b   ipoint
	na, nb r3.Vec
	m      ipoint
	bent   bool
}

// pokesOut says whether a convex crease of which a face shows the two sides pierces
// the plane of the face beyond its rim, so that the segment falls short of what the
// rim cuts off.
func (c *contour) pokesOut(f faceFrame, g faceSegment) bool {
	as, at := f.point(g.a)
	bs, bt := f.point(g.b)
	ms, mt, oka := f.normal(g.na)
	ns, nt, okb := f.normal(g.nb)
	if !oka || !okb || ms*ns+mt*nt > bentCosine || ms*(bs-as)+mt*(bt-at) > 0 {
		return false // no tangents, no crease, or a concave one
	}
	xs, xt, ok := meet(as, at, ms, mt, 0, bs, bt, ns, nt, 0)
	side := float64(f.length) * unit
	if !ok || f.within(xs, xt) || math.Abs(xs-side/2) > side || math.Abs(xt-side/2) > side {
		return false
	}
	if !c.cutsOff(f, g, as, at, xs-as, xt-at) && !c.cutsOff(f, g, bs, bt, xs-bs, xt-bt) {
		return false
	}
	back := func(s, t float64) r3.Vec {
		k := -side / 4 / math.Hypot(xs-s, xt-t)
		return r3.Sub(f.lift(k*(xs-s), k*(xt-t)), f.lift(0, 0))
	}
	most := creaseError(side, math.Hypot(bs-as, bt-at), math.Acos(ms*ns+mt*nt))
	return c.isCrease(f.lift(xs, xt), back(as, at), back(bs, bt), most)
}

// cutsOff says whether the segment of a face falls short of where the ray from (s,t)
// towards (s+ds,t+dt) leaves the face.
func (c *contour) cutsOff(f faceFrame, g faceSegment, s, t, ds, dt float64) bool {
	side := float64(f.length) * unit
	to := 1.0
	for _, k := range [2][2]float64{{s, ds}, {t, dt}} {
		if k[1] > 1e-12 {
			to = min(to, (side-k[0])/k[1])
		} else if k[1] < -1e-12 {
			to = min(to, -k[0]/k[1])
		}
	}
	p := r3.Scale(unitsPerMM, f.lift(s+to*ds, t+to*dt))
	a, b, m := g.a.float64s(), g.b.float64s(), g.m.float64s()
	most := c.shortfall() * c.shortfall()
	if g.bent {
		return segmentDistance2(p, a, m) > most && segmentDistance2(p, m, b) > most
	}
	return segmentDistance2(p, a, b) > most
}
