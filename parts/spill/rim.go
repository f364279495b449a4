package spill

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
)

// rim is the outline of a base where fragments lie: convex, anticlockwise.
type rim struct {
	outline []r2.Vec
	box     r2.Box
}

func rimsOf(s *parts.Site) (all []rim) {
	for _, o := range s.Rims() {
		all = append(all, rim{o, planar.Bounds(o)})
	}
	return all
}

// leastLeft is how much of a fragment that a rim cuts must be left. Common practice, no
// source.
const leastLeft = 1.0 / 3

// cutShort says whether a rim cuts a fragment so that what is left is a sliver, or hangs:
// its middle, under which it is bedded, lies beyond.
func (l *layer) cutShort(bodies []body, middle r2.Vec) bool {
	for _, b := range bodies {
		var hull []r2.Vec
		for i := range l.rims {
			r := &l.rims[i]
			if b.Box.Min.X > r.box.Max.X || b.Box.Max.X < r.box.Min.X || b.Box.Min.Y > r.box.Max.Y || b.Box.Max.Y < r.box.Min.Y {
				continue
			}
			if hull == nil {
				if hull = b.hull(); len(hull) < 3 {
					break
				}
			}
			left := planar.ClipTo(hull, r.outline)
			if left == nil {
				continue
			}
			whole, kept := planar.SignedArea(hull), planar.SignedArea(left)
			if kept > whole*(1-1e-6) {
				continue
			}
			const about = 0.98
			wide := math.Min(l.pin, about*2*planar.Inradius(hull))
			if !r.holds(middle) || kept < leastLeft*whole || 2*planar.Inradius(left) < wide {
				return true
			}
		}
	}
	return false
}

// cutRod says whether a rim cuts a rod, or comes as near to it as that.
func (l *layer) cutRod(a, b r3.Vec, radius float64) bool {
	for i := range l.rims {
		r := &l.rims[i]
		for k, c := range r.outline {
			d := r.outline[(k+1)%len(r.outline)]
			p, q := r2.Vec{X: a.X, Y: a.Y}, r2.Vec{X: b.X, Y: b.Y}
			if planar.SidesMeet(p, q, c, d) || planar.SegmentDistance(q, c, d) < radius {
				return true
			}
		}
	}
	return false
}

func (r *rim) holds(q r2.Vec) bool {
	for i, a := range r.outline {
		if r2.Cross(r2.Sub(r.outline[(i+1)%len(r.outline)], a), r2.Sub(q, a)) < 0 {
			return false
		}
	}
	return true
}

// hull is the outline of a body on the plan.
func (b *body) hull() []r2.Vec {
	var all []r2.Vec
	for _, c := range b.corners {
		all = append(all, r2.Vec{X: c.X, Y: c.Y})
	}
	return planHull(all)
}
