package picture

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// A patch is some facets that lie near each other, so that many can be left out of a map
// at once and those that are drawn are at hand. Facets are in the order of their patches.
type patch struct {
	facet, facets int        // the first one, and how many
	point, points int        // the same of what patches.points has for it
	lo, hi        [3]float32 // its box, mm
	axis          r3.Vec     // about which its normals lie
	spread        float64    // the sine of the widest angle between them and the axis; over 1: a right angle or more
	solid         bool       // it belongs to a solid
}

// patches are all patches of a subject.
type patches struct {
	all     []patch
	points  [][3]float32
	corners [][3]uint8 // of each facet, into the points of its patch
}

const (
	patchFacets = 128
	patchPoints = 256
)

// patchUp adds patches of the facets from one on, which are of one mesh, and so are the points.
func (f *facets) patchUp(facet, point int, solid bool) {
	q := &f.patches
	stamp := make([]int32, len(f.points)-point) // which patch a point was in last, and as what
	place := make([]uint8, len(f.points)-point)
	for at := facet; at < len(f.corners); {
		p := patch{facet: at, point: len(q.points), solid: solid}
		number := int32(len(q.all) + 1)
		for at < len(f.corners) && at-p.facet < patchFacets && len(q.points)-p.point <= patchPoints-3 {
			var own [3]uint8
			for k, v := range f.corners[at] {
				w := int(v) - point
				if stamp[w] != number {
					stamp[w], place[w] = number, uint8(len(q.points)-p.point)
					o := f.points[v]
					q.points = append(q.points, [3]float32{float32(o.X), float32(o.Y), float32(o.Z)})
				}
				own[k] = place[w]
			}
			q.corners = append(q.corners, own)
			at++
		}
		p.facets, p.points = at-p.facet, len(q.points)-p.point
		p.lo, p.hi = q.points[p.point], q.points[p.point]
		for _, o := range q.points[p.point:] {
			for k := range 3 {
				p.lo[k], p.hi[k] = min(p.lo[k], o[k]), max(p.hi[k], o[k])
			}
		}
		p.lean(f.normal[p.facet:at])
		q.all = append(q.all, p)
	}
}

// lean finds the axis of the patch's normals and how far they lean off it.
func (p *patch) lean(normals []r3.Vec) {
	var sum r3.Vec
	for _, n := range normals {
		sum = r3.Add(sum, n)
	}
	p.spread = 2
	if l := length(sum); l > 0 {
		p.axis = r3.Scale(1/l, sum)
		least := 1.0
		for _, n := range normals {
			least = min(least, r3.Dot(n, p.axis))
		}
		if least > 0 {
			p.spread = math.Sqrt(1 - least*least)
		}
	}
}

// facesAway tells whether all of the patch faces away from far off in a direction.
func (p *patch) facesAway(dir r3.Vec) bool { return r3.Dot(p.axis, dir) < -p.spread-1e-9 }

// with gives these patches, and others of as many facets and points behind them.
func (q *patches) with(o *patches) patches {
	both := patches{slices.Concat(q.all, o.all), slices.Concat(q.points, o.points), slices.Concat(q.corners, o.corners)}
	for i := len(q.all); i < len(both.all); i++ {
		both.all[i].facet += len(q.corners)
		both.all[i].point += len(q.points)
	}
	return both
}

// byPlace gives those triangles of a mesh that can be drawn, in an order in which those
// near each other come near each other: along a curve through a cube of 2^10 steps a side
// (Morton, 1966).
func (m *Mesh) byPlace() []int32 {
	lo, hi := [3]float32{}, [3]float32{}
	first := true
	var order []int32
	for i, t := range m.Triangles {
		if !drawable(m.Vertices, t) {
			continue
		}
		order = append(order, int32(i))
		for _, v := range t {
			p := m.Vertices[v]
			for k := range 3 {
				if first {
					lo, hi = p, p
				}
				first = false
				lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
			}
		}
	}
	const steps = 1 << 10
	scale := float32(steps-1) / max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2], leastSize) / 3
	keys := make([]uint32, len(m.Triangles))
	for _, i := range order {
		t := m.Triangles[i]
		a, b, c := &m.Vertices[t[0]], &m.Vertices[t[1]], &m.Vertices[t[2]]
		for k := range 3 {
			keys[i] |= apart(uint32(((a[k]-lo[k])+(b[k]-lo[k])+(c[k]-lo[k]))*scale)) << k
		}
	}
	// By the low digits first; each round keeps the order of what is equal.
	const digit = 1 << 10
	other := make([]int32, len(order))
	for shift := 0; shift < 30; shift += 10 {
		var start [digit + 1]int32
		for _, i := range order {
			start[keys[i]>>shift%digit+1]++
		}
		for d := range digit {
			start[d+1] += start[d]
		}
		for _, i := range order {
			d := keys[i] >> shift % digit
			other[start[d]] = i
			start[d]++
		}
		order, other = other, order
	}
	return order
}

// apart puts two zeros before each of ten bits.
func apart(x uint32) uint32 {
	x &= 0x3ff
	x = (x | x<<16) & 0x30000ff
	x = (x | x<<8) & 0x300f00f
	x = (x | x<<4) & 0x30c30c3
	return (x | x<<2) & 0x9249249
}
