package fracture

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/convex"
)

// facet is one face of a cell, with the cell beyond it; -1 for the side of the box.
type facet struct {
	plane  convex.Plane
	corner []r3.Vec
	beyond int
}

// boxFacets are the faces of a box.
func boxFacets(b r3.Box) []facet {
	var out []facet
	for axis := range 3 {
		for _, high := range [2]bool{false, true} {
			var f facet
			f.beyond = -1
			u, v := (axis+1)%3, (axis+2)%3
			n, at := [3]float64{}, part(b.Min, axis)
			if n[axis] = -1; high {
				n[axis], at = 1, part(b.Max, axis)
			}
			for _, s := range [4][2]bool{{false, false}, {true, false}, {true, true}, {false, true}} {
				var p [3]float64
				p[axis], p[u], p[v] = at, part(b.Min, u), part(b.Min, v)
				if s[0] {
					p[u] = part(b.Max, u)
				}
				if s[1] {
					p[v] = part(b.Max, v)
				}
				f.corner = append(f.corner, sdf.V(p[0], p[1], p[2]))
			}
			f.plane = convex.Plane{N: sdf.V(n[0], n[1], n[2]), D: at * n[axis]}
			out = append(out, f)
		}
	}
	return out
}

func part(v r3.Vec, axis int) float64 { return [3]float64{v.X, v.Y, v.Z}[axis] }

// clipped keeps what of a cell lies within a plane.
func clipped(cell []facet, by convex.Plane, beyond int) []facet {
	const touch = 1e-9
	var out []facet
	var rim []r3.Vec
	for _, f := range cell {
		var kept []r3.Vec
		for i, a := range f.corner {
			b := f.corner[(i+1)%len(f.corner)]
			da, db := r3.Dot(by.N, a)-by.D, r3.Dot(by.N, b)-by.D
			if da <= touch {
				kept = append(kept, a)
			}
			if da < -touch && db > touch || da > touch && db < -touch {
				p := r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a)))
				kept, rim = append(kept, p), append(rim, p)
			} else if math.Abs(da) <= touch {
				rim = append(rim, a)
			}
		}
		if len(kept) >= 3 {
			out = append(out, facet{f.plane, kept, f.beyond})
		}
	}
	if len(rim) < 3 {
		return out
	}
	var mid r3.Vec
	for _, p := range rim {
		mid = r3.Add(mid, r3.Scale(1/float64(len(rim)), p))
	}
	u := r3.Cross(by.N, sdf.V(1, 0, 0))
	if math.Abs(by.N.X) > 0.7 {
		u = r3.Cross(by.N, sdf.V(0, 1, 0))
	}
	u = convex.Unit(u)
	v := r3.Cross(by.N, u)
	turn := func(p r3.Vec) float64 { d := r3.Sub(p, mid); return math.Atan2(r3.Dot(d, v), r3.Dot(d, u)) }
	slices.SortStableFunc(rim, func(a, b r3.Vec) int { return cmp.Compare(turn(a), turn(b)) })
	return append(out, facet{by, rim, beyond})
}

// reach is the greatest distance from a place to a corner of a cell.
func reach(cell []facet, from r3.Vec) float64 {
	far := 0.0
	for _, f := range cell {
		for _, p := range f.corner {
			far = max(far, r3.Norm(r3.Sub(p, from)))
		}
	}
	return far
}
