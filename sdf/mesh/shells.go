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

// shell is a connected piece of surface.
type shell struct {
	volume float64 // mm3; negative where it is turned inwards, as the wall of a sealed void is
	lo, hi ipoint
	kept   bool
}

func (s *soup) shells() (of []int32, all []shell) {
	of, count := shells(len(s.points), s.triangles)
	all = make([]shell, count)
	for k := range all {
		all[k].lo = ipoint{math.MaxInt32, math.MaxInt32, math.MaxInt32}
		all[k].hi = ipoint{math.MinInt32, math.MinInt32, math.MinInt32}
	}
	for i, t := range s.triangles {
		h := &all[of[i]]
		h.volume += signedVolume(s.points[t[0]], s.points[t[1]], s.points[t[2]]) / 6 * cubicUnit
		for _, v := range t {
			for j, x := range s.points[v] {
				h.lo[j], h.hi[j] = min(h.lo[j], x), max(h.hi[j], x)
			}
		}
	}
	return of, all
}

// within tells whether the box of h lies in that of o.
func (h *shell) within(o *shell) bool {
	for j := range h.lo {
		if h.lo[j] < o.lo[j] || h.hi[j] > o.hi[j] {
			return false
		}
	}
	return true
}

func (h *shell) crumb() Crumb {
	size := r3.Sub(h.hi.vec(), h.lo.vec())
	return Crumb{At: r3.Add(h.lo.vec(), r3.Scale(0.5, size)), Size: size, Volume: h.volume, Kept: h.kept}
}

// dropCrumbs drops all shells but the one of the greatest volume. Loose pieces
// are lost, unless they are to be kept; sealed voids (shells turned inwards) are
// filled, and what lies within the box of one goes with it. All but the greatest
// are named. Dropping a shell cannot make anything cross.
func (s *soup) dropCrumbs(keep bool) (crumbs []Crumb) {
	of, all := s.shells()
	if len(all) <= 1 {
		return nil
	}
	largest := 0
	for k := range all {
		if all[k].volume > all[largest].volume {
			largest = k
		}
	}
	for k := range all {
		h := &all[k]
		h.kept = k == largest || keep && h.volume > 0 && !slices.ContainsFunc(all, func(o shell) bool { return o.volume < 0 && h.within(&o) })
		if k != largest {
			crumbs = append(crumbs, h.crumb())
		}
	}
	kept := s.triangles[:0]
	for i, t := range s.triangles {
		if all[of[i]].kept {
			kept = append(kept, t)
		}
	}
	s.triangles = kept
	slices.SortStableFunc(crumbs, func(a, b Crumb) int {
		return cmp.Compare(math.Abs(b.Volume), math.Abs(a.Volume))
	})
	return crumbs
}

// pieces is how many shells there are with those crumbs that are kept.
func pieces(crumbs []Crumb) int {
	n := 1
	for _, c := range crumbs {
		if c.Kept {
			n++
		}
	}
	return n
}
