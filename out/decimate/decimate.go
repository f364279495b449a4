// Package decimate makes of a solid one with fewer triangles, to be looked at on a
// screen. It is not for printing: what it gives is near the solid it was given, and
// nothing proves it.
//
// It collapses edges, the cheapest first, by quadric error metrics (Garland and
// Heckbert, "Surface Simplification Using Quadric Error Metrics", 1997). Big solids
// are first brought down by clustering vertices on a grid, each cluster to the point
// that its quadrics like best (Lindstrom, "Out-of-Core Simplification of Large
// Polygonal Models", 2000).
package decimate

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mesh is triangles on shared vertices, mm.
type Mesh struct {
	Vertices  [][3]float32
	Triangles [][3]uint32
	Tones     []uint8 // of each triangle
}

// clusterAbove is the number of triangles above which vertices are clustered first,
// down to about as many: a collapse costs some 8 microseconds a triangle, clustering
// a tenth of that.
const clusterAbove = 120_000

// To gives the mesh with at most `most` triangles: still fewer where that changes
// nothing to be seen, more where no edge can be collapsed any more without tearing it or turning
// a triangle over. Tones are of each triangle; where they are short the rest have
// tone 0. Borders between tones and open borders are kept near where they are.
// Triangles that name no vertex, a vertex that is no finite point, or one vertex twice
// are dropped. A closed mesh stays closed where its vertices need not be clustered.
// The same input gives the same bytes. It fails only where ctx has ended.
func To(ctx context.Context, vertices [][3]float32, triangles [][3]uint32, tones []uint8, most int) (Mesh, error) {
	w := gather(vertices, triangles, tones)
	if limit := max(clusterAbove, most); len(w.tri) > limit+limit/8 {
		var err error
		if w, err = cluster(ctx, w, limit/2); err != nil {
			return Mesh{}, err
		}
	}
	if err := ctx.Err(); err != nil {
		return Mesh{}, err
	}
	if len(w.tri) > most {
		if err := collapse(ctx, w, most); err != nil {
			return Mesh{}, err
		}
	}
	return w.mesh(), nil
}

// work is a mesh moved and scaled so that its longest side is 1 and its middle is
// the origin.
type work struct {
	at    []r3.Vec
	tri   [][3]uint32
	tone  []uint8
	mid   r3.Vec
	scale float64
}

// gather takes over what is good in a mesh.
func gather(vertices [][3]float32, triangles [][3]uint32, tones []uint8) *work {
	w := &work{scale: 1, tri: make([][3]uint32, 0, len(triangles)), tone: make([]uint8, 0, len(triangles))}
	name := make([]uint32, len(vertices)) // 0 none yet, 1 not finite, else the new name and 2
	inf := math.Inf(1)
	lo, hi := r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
triangles:
	for i, t := range triangles {
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			continue
		}
		for _, v := range t {
			if uint64(v) >= uint64(len(vertices)) {
				continue triangles
			}
			if name[v] == 0 {
				name[v] = 1
				if p, ok := finite(vertices[v]); ok {
					name[v] = uint32(len(w.at)) + 2
					w.at = append(w.at, p)
					lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
					hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
				}
			}
			if name[v] == 1 {
				continue triangles
			}
		}
		w.tri = append(w.tri, [3]uint32{name[t[0]] - 2, name[t[1]] - 2, name[t[2]] - 2})
		var tone uint8
		if i < len(tones) {
			tone = tones[i]
		}
		w.tone = append(w.tone, tone)
	}
	if len(w.at) == 0 {
		return w
	}
	size := r3.Sub(hi, lo)
	w.mid = r3.Add(lo, r3.Scale(0.5, size))
	if longest := max(size.X, size.Y, size.Z); longest > 0 {
		w.scale = longest
	}
	for i, p := range w.at {
		w.at[i] = r3.Scale(1/w.scale, r3.Sub(p, w.mid))
	}
	return w
}

func finite(p [3]float32) (v r3.Vec, ok bool) {
	for _, c := range p {
		if c-c != 0 { // infinite, or no number
			return v, false
		}
	}
	return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}, true
}

// mesh gives back the mesh at its place and size, with only the vertices in use, in
// the order in which the triangles name them.
func (w *work) mesh() Mesh {
	m := Mesh{Triangles: make([][3]uint32, 0, len(w.tri)), Tones: make([]uint8, 0, len(w.tri))}
	name := make([]uint32, len(w.at))
	for i, t := range w.tri {
		for k, v := range t {
			if name[v] == 0 {
				p := r3.Add(r3.Scale(w.scale, w.at[v]), w.mid)
				m.Vertices = append(m.Vertices, [3]float32{float32(p.X), float32(p.Y), float32(p.Z)})
				name[v] = uint32(len(m.Vertices))
			}
			t[k] = name[v] - 1
		}
		m.Triangles = append(m.Triangles, t)
		m.Tones = append(m.Tones, w.tone[i])
	}
	return m
}

// normal is the normal of a triangle, as long as twice its area.
func normal(a, b, c r3.Vec) r3.Vec { return r3.Cross(r3.Sub(b, a), r3.Sub(c, a)) }
