package picture

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// Mesh is a triangle mesh in mm. Seen from outside, triangles run
// counter-clockwise.
type Mesh struct {
	Vertices  [][3]float32
	Triangles [][3]uint32
	Tones     []Tone // of each triangle; nil, or too short: Clay
	Solid     bool   // it is closed and faces outward, so that its inside is never seen
}

// farthest is how far from the origin, along an axis, a vertex may lie to be
// drawn, mm.
const farthest = 1e6

// mostFacets bounds what one picture may hold, so that indices fit in an int32.
const mostFacets = 1 << 29

// facets are the triangles of all meshes that can be drawn.
type facets struct {
	points  []r3.Vec     // the vertices that are used, mm
	corners [][3]int32   // indices into points
	normal  []r3.Vec     // of each facet, unit
	tone    []Tone       // of each facet
	smooth  [][3]shading // at each corner
	patches patches      // all of them, by their places
}

// shading is a unit normal to shade with.
type shading [3]float32

// gather collects the triangles that can be drawn, mesh by mesh, by their places. Facets of one mesh
// that share a vertex and whose normals differ by at most crease degrees are
// shaded as one smooth surface.
func gather(meshes []Mesh, crease float64) *facets {
	f := &facets{}
	for _, m := range meshes {
		place := make([]int32, len(m.Vertices)) // 1 + index into points
		facet, point := len(f.corners), len(f.points)
		for _, i := range m.byPlace() {
			if len(f.corners) >= mostFacets {
				break
			}
			t := m.Triangles[i]
			a, b, c := vec(m.Vertices[t[0]]), vec(m.Vertices[t[1]]), vec(m.Vertices[t[2]])
			n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
			l := length(n)
			if l == 0 {
				continue
			}
			var corners [3]int32
			for k, v := range t {
				if place[v] == 0 {
					f.points = append(f.points, vec(m.Vertices[v]))
					place[v] = int32(len(f.points))
				}
				corners[k] = place[v] - 1
			}
			f.corners = append(f.corners, corners)
			f.normal = append(f.normal, r3.Scale(1/l, n))
			tone := Clay
			if int(i) < len(m.Tones) {
				tone = min(m.Tones[i], lastTone)
			}
			f.tone = append(f.tone, tone)
		}
		f.patchUp(facet, point, m.Solid)
	}
	f.smoothen(math.Cos(max(0, min(180, crease)) * math.Pi / 180))
	return f
}

// with gives these facets and others behind them.
func (f *facets) with(g *facets) *facets {
	all := &facets{
		points:  slices.Concat(f.points, g.points),
		corners: slices.Concat(f.corners, g.corners),
		normal:  slices.Concat(f.normal, g.normal),
		tone:    slices.Concat(f.tone, g.tone),
		smooth:  slices.Concat(f.smooth, g.smooth),
		patches: f.patches.with(&g.patches),
	}
	for i := len(f.corners); i < len(all.corners); i++ {
		for k := range 3 {
			all.corners[i][k] += int32(len(f.points))
		}
	}
	return all
}

func drawable(vertices [][3]float32, t [3]uint32) bool {
	for _, k := range t {
		if int64(k) >= int64(len(vertices)) {
			return false
		}
		for _, c := range vertices[k] {
			if !(c >= -farthest && c <= farthest) { // false for NaN too
				return false
			}
		}
	}
	return true
}

// mostAround is the greatest number of facets around a vertex that are
// compared with each other; beyond, as at the hub of a great fan, they are
// shaded flat, since the work grows with the square.
const mostAround = 96

// smoothen finds the normal at each corner: the mean over the facets around its
// vertex that lean less than the crease away from the corner's own, weighted by
// angle and area, so that a large flat keeps flat beside a narrow bevel.
func (f *facets) smoothen(cosCrease float64) {
	f.smooth = make([][3]shading, len(f.corners))
	start := make([]int32, len(f.points)+1) // facets around vertex v: around[start[v]:start[v+1]]
	for _, t := range f.corners {
		for _, v := range t {
			start[v+1]++
		}
	}
	for v := range f.points {
		start[v+1] += start[v]
	}
	around := make([]int32, 3*len(f.corners)) // 3*facet + corner
	fill := append([]int32(nil), start...)
	weight := make([]float32, 3*len(f.corners))
	for i, t := range f.corners {
		for k, v := range t {
			around[fill[v]] = int32(3*i + k)
			fill[v]++
			p := f.points[v]
			a, b := r3.Sub(f.points[t[(k+1)%3]], p), r3.Sub(f.points[t[(k+2)%3]], p)
			area := length(r3.Cross(a, b))
			weight[3*i+k] = float32(area * math.Atan2(area, r3.Dot(a, b)))
		}
	}
	const block = 4096
	workers.AtOnce((len(f.points)+block-1)/block, func(b int) {
		for v := b * block; v < min((b+1)*block, len(f.points)); v++ {
			ring := around[start[v]:start[v+1]]
			for _, at := range ring {
				own := f.normal[at/3]
				n := own
				if len(ring) <= mostAround {
					n = r3.Vec{}
					for _, other := range ring {
						if on := f.normal[other/3]; r3.Dot(own, on) >= cosCrease || other == at {
							n = r3.Add(n, r3.Scale(float64(weight[other]), on))
						}
					}
					if l := length(n); l > 0 {
						n = r3.Scale(1/l, n)
					} else {
						n = own
					}
				}
				f.smooth[at/3][at%3] = shading{float32(n.X), float32(n.Y), float32(n.Z)}
			}
		}
	})
}

// normalAt gives the unit normal to shade facet i with at a point of it.
func (f *facets) normalAt(i int32, p r3.Vec) r3.Vec {
	s := &f.smooth[i]
	if s[0] == s[1] && s[1] == s[2] {
		return r3.Vec{X: float64(s[0][0]), Y: float64(s[0][1]), Z: float64(s[0][2])}
	}
	t := f.corners[i]
	a := f.points[t[0]]
	u, v, w := r3.Sub(f.points[t[1]], a), r3.Sub(f.points[t[2]], a), r3.Sub(p, a)
	uu, uv, vv := r3.Dot(u, u), r3.Dot(u, v), r3.Dot(v, v)
	wu, wv := r3.Dot(w, u), r3.Dot(w, v)
	det := uu*vv - uv*uv
	if det <= 0 {
		return f.normal[i]
	}
	// Held inside the facet: at its rim a sample may lie a hair beyond.
	b := max(0, min(1, (vv*wu-uv*wv)/det))
	c := max(0, min(1-b, (uu*wv-uv*wu)/det))
	o := 1 - b - c
	n := r3.Vec{
		X: o*float64(s[0][0]) + b*float64(s[1][0]) + c*float64(s[2][0]),
		Y: o*float64(s[0][1]) + b*float64(s[1][1]) + c*float64(s[2][1]),
		Z: o*float64(s[0][2]) + b*float64(s[1][2]) + c*float64(s[2][2]),
	}
	l := length(n)
	if l < 1e-6 {
		return f.normal[i]
	}
	return r3.Scale(1/l, n)
}

// box gives the corners of the smallest upright box around the points.
func (f *facets) box() r3.Box {
	b := r3.Box{
		Min: r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)},
		Max: r3.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)},
	}
	for _, p := range f.points {
		b.Min = r3.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y), Z: min(b.Min.Z, p.Z)}
		b.Max = r3.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y), Z: max(b.Max.Z, p.Z)}
	}
	return b
}

// length is the norm of a vector whose square neither overflows nor is lost:
// true of all that is drawn, and faster than r3.Norm.
func length(v r3.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z) }

func unit(v r3.Vec) r3.Vec { return r3.Scale(1/length(v), v) }

func vec(v [3]float32) r3.Vec {
	return r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
}
