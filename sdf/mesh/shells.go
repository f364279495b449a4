package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// shells numbers the connected pieces of a mesh: the piece of each triangle,
// numbered in the order in which they first appear, and how many there are.
func shells(vertices int, triangles [][3]int32) (of []int32, count int) {
	parent := make([]int32, vertices)
	for i := range parent {
		parent[i] = int32(i)
	}
	find := func(v int32) int32 {
		for parent[v] != v {
			parent[v] = parent[parent[v]]
			v = parent[v]
		}
		return v
	}
	for _, t := range triangles {
		a, b, c := find(t[0]), find(t[1]), find(t[2])
		least := min(a, b, c)
		parent[a], parent[b], parent[c] = least, least, least
	}
	number := make([]int32, vertices)
	of = make([]int32, len(triangles))
	for i, t := range triangles {
		root := find(t[0])
		if number[root] == 0 {
			count++
			number[root] = int32(count)
		}
		of[i] = number[root] - 1
	}
	return of, count
}

// signedVolume is the volume of a triangle's tetrahedron to the origin, times 6, in
// cubic units; for a closed mesh they sum to six times its volume.
func signedVolume(a, b, c ipoint) float64 {
	return float64(a[0])*(float64(b[1])*float64(c[2])-float64(b[2])*float64(c[1])) -
		float64(a[1])*(float64(b[0])*float64(c[2])-float64(b[2])*float64(c[0])) +
		float64(a[2])*(float64(b[0])*float64(c[1])-float64(b[1])*float64(c[0]))
}

// cubicUnit is a cubic lattice unit in mm3.
const cubicUnit = unit * unit * unit

// keepLargest drops all shells but the one of the greatest volume. Loose
// pieces are lost, sealed voids (shells turned inwards) are filled; both are
// named. Dropping a shell cannot make anything cross.
func (s *soup) keepLargest() []Crumb {
	of, count := shells(len(s.points), s.triangles)
	if count <= 1 {
		return nil
	}
	volume := make([]float64, count)
	lo, hi := make([]ipoint, count), make([]ipoint, count)
	for k := range count {
		lo[k] = ipoint{math.MaxInt32, math.MaxInt32, math.MaxInt32}
		hi[k] = ipoint{math.MinInt32, math.MinInt32, math.MinInt32}
	}
	for i, t := range s.triangles {
		k := of[i]
		volume[k] += signedVolume(s.points[t[0]], s.points[t[1]], s.points[t[2]]) / 6 * cubicUnit
		for _, v := range t {
			for j, x := range s.points[v] {
				lo[k][j], hi[k][j] = min(lo[k][j], x), max(hi[k][j], x)
			}
		}
	}
	largest := 0
	for k, v := range volume {
		if v > volume[largest] {
			largest = k
		}
	}
	kept := s.triangles[:0]
	for i, t := range s.triangles {
		if of[i] == int32(largest) {
			kept = append(kept, t)
		}
	}
	s.triangles = kept
	var crumbs []Crumb
	for k := range count {
		if k == largest {
			continue
		}
		size := r3.Sub(hi[k].vec(), lo[k].vec())
		crumbs = append(crumbs, Crumb{
			At: r3.Add(lo[k].vec(), r3.Scale(0.5, size)), Size: size, Volume: volume[k],
		})
	}
	slices.SortStableFunc(crumbs, func(a, b Crumb) int {
		return cmp.Compare(math.Abs(b.Volume), math.Abs(a.Volume))
	})
	return crumbs
}
