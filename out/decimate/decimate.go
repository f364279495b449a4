// Package decimate makes a solid of fewer triangles to look at. What it gives is
// for the screen alone, not for the printer: it may cross itself, and where it has
// passed through the grid it need not be closed.
package decimate

import (
	"context"
	"math"
)

// Mesh is a triangle mesh in mm, counter-clockwise seen from outside.
type Mesh struct {
	Vertices  [][3]float32
	Triangles [][3]uint32
	Tones     []uint8 // of each triangle
}

// Above gridAbove triangles vertices are first merged by a grid, to about gridAim
// triangles: collapsing edge by edge costs some microseconds a triangle, merging
// a tenth of that.
const (
	gridAbove = 100_000
	gridAim   = 90_000
)

// To gives a mesh of at most `most` triangles that looks like the given one, or of
// as few as can be had without tearing it or turning a triangle over. Tones are of
// each triangle; where there are none all are 0. Triangles that name a vertex that
// is not there, or one that is not finite, or the same one twice, are dropped. The
// same input gives the same bytes. It fails only where ctx ends.
//
// Edges are collapsed in order of the quadric error of Garland and Heckbert,
// Surface simplification using quadric error metrics (SIGGRAPH 1997); before that,
// in large meshes, the vertices of each cell of a grid become one, after Lindstrom,
// Out-of-core simplification of large polygonal models (SIGGRAPH 2000). A closed
// mesh of at most 100,000 triangles stays closed.
func To(ctx context.Context, vertices [][3]float32, triangles [][3]uint32, tones []uint8, most int) (Mesh, error) {
	w := gather(vertices, triangles, tones)
	if err := ctx.Err(); err != nil {
		return Mesh{}, err
	}
	if len(w.faces) > gridAbove && len(w.faces) > most {
		w = w.merge(max(gridAim, most))
	}
	if len(w.faces) > most {
		if err := w.collapse(ctx, max(most, 0)); err != nil {
			return Mesh{}, err
		}
	}
	return w.mesh(), nil
}

// vec is a point or direction.
type vec [3]float64

func (a vec) sub(b vec) vec        { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vec) add(b vec) vec        { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) scaled(k float64) vec { return vec{a[0] * k, a[1] * k, a[2] * k} }
func (a vec) dot(b vec) float64    { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) length() float64      { return math.Sqrt(a.dot(a)) }
func normalOf(a, b, c vec) (n vec) { return b.sub(a).cross(c.sub(a)) }
func (a vec) cross(b vec) (n vec) {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// work is a mesh being worked on, moved and scaled so that it lies within [-1, 1].
type work struct {
	at     []vec
	faces  [][3]int32 // the first is -1 where the face is gone
	tones  []uint8
	centre vec
	unit   float64 // mm
}

// gather takes over what is sound.
func gather(vertices [][3]float32, triangles [][3]uint32, tones []uint8) *work {
	w := &work{unit: 1}
	lo, hi := vec{math.Inf(1), math.Inf(1), math.Inf(1)}, vec{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	name := make([]int32, len(vertices)) // 0: not met; else one more than its index
	w.faces = make([][3]int32, 0, len(triangles))
	w.tones = make([]uint8, 0, len(triangles))
	for i, t := range triangles {
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			continue
		}
		sound := true
		for _, v := range t {
			sound = sound && uint64(v) < uint64(len(vertices)) && finite(vertices[v])
		}
		if !sound {
			continue
		}
		var f [3]int32
		for k, v := range t {
			if name[v] == 0 {
				p := vec{float64(vertices[v][0]), float64(vertices[v][1]), float64(vertices[v][2])}
				for j := range 3 {
					lo[j], hi[j] = min(lo[j], p[j]), max(hi[j], p[j])
				}
				w.at = append(w.at, p)
				name[v] = int32(len(w.at))
			}
			f[k] = name[v] - 1
		}
		w.faces = append(w.faces, f)
		tone := uint8(0)
		if i < len(tones) {
			tone = tones[i]
		}
		w.tones = append(w.tones, tone)
	}
	if len(w.at) == 0 {
		return w
	}
	w.centre = lo.add(hi).scaled(0.5)
	if size := max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2]) / 2; size > 0 {
		w.unit = size
	}
	for i, p := range w.at {
		w.at[i] = p.sub(w.centre).scaled(1 / w.unit)
	}
	return w
}

func finite(p [3]float32) bool {
	for _, x := range p {
		if f := float64(x); math.IsNaN(f) || math.IsInf(f, 0) {
			return false
		}
	}
	return true
}

// mesh gives what is left, its vertices in the order of first use.
func (w *work) mesh() (m Mesh) {
	name := make([]uint32, len(w.at))
	for i, f := range w.faces {
		if f[0] < 0 {
			continue
		}
		var t [3]uint32
		for k, v := range f {
			if name[v] == 0 {
				p := w.at[v].scaled(w.unit).add(w.centre)
				m.Vertices = append(m.Vertices, [3]float32{float32(p[0]), float32(p[1]), float32(p[2])})
				name[v] = uint32(len(m.Vertices))
			}
			t[k] = name[v] - 1
		}
		m.Triangles = append(m.Triangles, t)
		m.Tones = append(m.Tones, w.tones[i])
	}
	return m
}
