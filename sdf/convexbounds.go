package sdf

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// convexBounds is the least box about what the planes share (a little wider, for
// rounding); false where they share no room. A cube of 10 km is cut down plane by
// plane: a side of it that is still there at the end is no limit at all. A second
// round starts from a cube not much larger than the first one's outcome, so that the
// corners are good to its rounding and not the 10 km cube's.
func convexBounds(planes []halfSpace) (r3.Box, bool) {
	const vast = 1e7
	rough, ok := cutBox(boxGrow(r3.Box{}, vast), planes)
	if !ok {
		return r3.Box{}, false
	}
	limits := [6]bool{}
	for i, v := range boxSides(rough) {
		limits[i] = math.Abs(v) < vast*(1-1e-6)
	}
	size := 0.0
	for i, v := range boxSides(rough) {
		if limits[i] {
			size = math.Max(size, math.Abs(v))
		}
	}
	start := boxGrow(rough, 1e-3*(1+size))
	fine, ok := cutBox(start, planes)
	if !ok {
		return r3.Box{}, false
	}
	sides := boxSides(boxGrow(fine, slack))
	for i, limit := range limits {
		if !limit {
			sides[i] = math.Inf(1 - 2*(1-i/3))
		}
	}
	return r3.Box{Min: V(sides[0], sides[1], sides[2]), Max: V(sides[3], sides[4], sides[5])}, true
}

func boxSides(b r3.Box) [6]float64 {
	return [6]float64{b.Min.X, b.Min.Y, b.Min.Z, b.Max.X, b.Max.Y, b.Max.Z}
}

// cutBox is the least box about the part of a box under all planes.
func cutBox(b r3.Box, planes []halfSpace) (r3.Box, bool) {
	faces := boxFaces(b)
	for i := range planes {
		if faces = cutFaces(faces, &planes[i]); len(faces) < 4 {
			return r3.Box{}, false
		}
	}
	out := r3.Box{Min: faces[0][0], Max: faces[0][0]}
	for _, f := range faces {
		for _, v := range f {
			out = boxUnion(out, r3.Box{Min: v, Max: v})
		}
	}
	return out, true
}

// boxFaces are the six faces of a box, each a ring of corners.
func boxFaces(b r3.Box) [][]r3.Vec {
	s := [2]r3.Vec{b.Min, b.Max}
	corner := func(i int) r3.Vec { return V(s[i&1].X, s[i>>1&1].Y, s[i>>2].Z) }
	faces := make([][]r3.Vec, 0, 6)
	for _, ring := range [6][4]int{{0, 2, 6, 4}, {1, 5, 7, 3}, {0, 4, 5, 1}, {2, 3, 7, 6}, {0, 1, 3, 2}, {4, 6, 7, 5}} {
		face := make([]r3.Vec, 4)
		for i, c := range ring {
			face[i] = corner(c)
		}
		faces = append(faces, face)
	}
	return faces
}

// cutFaces cuts a convex polyhedron by a plane: each face is clipped, and the
// points on the plane, sorted about their middle, close it.
func cutFaces(faces [][]r3.Vec, h *halfSpace) [][]r3.Vec {
	out := make([][]r3.Vec, 0, len(faces)+1)
	var lid []r3.Vec
	for _, f := range faces {
		var ring []r3.Vec
		for i, a := range f {
			b := f[(i+1)%len(f)]
			da, db := h.Value(a), h.Value(b)
			if da <= 0 {
				ring = append(ring, a)
			}
			if da < 0 && db > 0 || da > 0 && db < 0 {
				c := r3.Add(a, r3.Scale(da/(da-db), r3.Sub(b, a)))
				ring, lid = append(ring, c), append(lid, c)
			} else if da == 0 {
				lid = append(lid, a)
			}
		}
		if len(ring) > 2 {
			out = append(out, ring)
		}
	}
	if len(lid) < 3 {
		return out
	}
	var middle r3.Vec
	for _, c := range lid {
		middle = r3.Add(middle, r3.Scale(1/float64(len(lid)), c))
	}
	side := V(1, 0, 0)
	if math.Abs(h.n.X) > 0.6 {
		side = V(0, 1, 0)
	}
	x := unit(r3.Cross(h.n, side), V(1, 0, 0))
	y := r3.Cross(h.n, x)
	slices.SortFunc(lid, func(a, b r3.Vec) int {
		p, q := r3.Sub(a, middle), r3.Sub(b, middle)
		return cmp.Compare(math.Atan2(dot(y, p), dot(x, p)), math.Atan2(dot(y, q), dot(x, q)))
	})
	return append(out, slices.CompactFunc(lid, func(a, b r3.Vec) bool { return a == b }))
}
