package sdf

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// revolved is a profile in the half plane (X the radius, Y the height) turned
// about the z axis.
type revolved struct{ s Shape }

// Revolve turns a simple polygon about the z axis: each corner's X is its radius
// (below zero counts as zero), its Y its height, mm; either winding. Edges on the axis
// are no part of the surface. Of a profile without area, Nothing. Is exact.
func Revolve(profile []r2.Vec) Field {
	pts := make([]r2.Vec, len(profile))
	for i, p := range profile {
		pts[i] = r2.Vec{X: max(p.X, 0), Y: p.Y}
	}
	edges := openAxis(outline(pts))
	if len(edges) == 0 {
		return Nothing()
	}
	return &revolved{newPolygon(edges)}
}

// openAxis takes the edges on the axis out of a profile. The edge that is left
// at either end of one meets its own mirror image there.
func openAxis(edges []polygonEdge) []polygonEdge {
	onAxis := func(e *polygonEdge) bool { return e.a.X == 0 && e.b.X == 0 }
	kept := make([]polygonEdge, 0, len(edges))
	for i, e := range edges {
		if onAxis(&e) {
			continue
		}
		image := r2.Vec{X: e.u.X, Y: -e.u.Y} // mirrored, and run the other way
		if onAxis(&edges[(i+len(edges)-1)%len(edges)]) {
			e.cornerA = newCorner(image, e.u)
		}
		if onAxis(&edges[(i+1)%len(edges)]) {
			e.cornerB = newCorner(e.u, image)
		}
		kept = append(kept, e)
	}
	return kept
}

func (f *revolved) Value(p r3.Vec) float64 {
	return f.s.Distance(r2.Vec{X: norm2(plan(p)), Y: p.Z})
}

func (f *revolved) Gradient(p r3.Vec) (float64, r3.Vec) {
	rho := norm2(plan(p))
	d, g := f.s.Gradient(r2.Vec{X: rho, Y: p.Z})
	return d, aboutZ(g.X, g.Y, p, rho)
}

func (f *revolved) Bounds() r3.Box {
	b := f.s.Bounds()
	return r3.Box{Min: V(-b.Max.X, -b.Max.X, b.Min.Y), Max: V(b.Max.X, b.Max.X, b.Max.Y)}
}

func (f *revolved) Lipschitz() float64 { return 1 }
func (f *revolved) Tightness() float64 { return 1 }
func (f *revolved) Cost() int          { return 1 }

// Prune: the ball is seen in the half plane as a disc of the same radius.
func (f *revolved) Prune(b Ball) Field {
	if s := pruneShape(f.s, r2.Vec{X: norm2(plan(b.C)), Y: b.C.Z}, b.R+slack); s != f.s {
		return &revolved{s}
	}
	return f
}

// Plane: a profile edge square to the axis is flat.
func (f *revolved) Plane() (r3.Vec, float64, bool) {
	n, d, ok := straight(f.s)
	return V(0, 0, n.Y), d, ok && n.X == 0
}
