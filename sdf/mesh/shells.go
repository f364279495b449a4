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
	six   wide // six times its volume, exactly, cubic units; negative where it is turned inwards, as the wall of a sealed void is
	area  float64
	box   ibox
	first int32 // one of its vertices
	kept  bool
}

// volume is in mm3.
func (h *shell) volume() float64 { return h.six.float64() / 6 * cubicUnit }

// shellsOf takes the measure of the shells of a mesh.
func shellsOf(points []ipoint, triangles [][3]int32) (of []int32, all []shell) {
	of, count := shells(len(points), triangles)
	all = make([]shell, count)
	for i, t := range triangles {
		h := &all[of[i]]
		box := triangleBox(points, &t)
		if h.area == 0 {
			h.box, h.first = box, t[0]
		}
		h.box.grow(&box)
		a, b, c := &points[t[0]], &points[t[1]], &points[t[2]]
		n := normalOf(a, b, c)
		h.area += math.Sqrt(float64(n.x)*float64(n.x)+float64(n.y)*float64(n.y)+float64(n.z)*float64(n.z)) / 2 * unit * unit
		h.six.addDeterminant(a, b, c)
	}
	return of, all
}

func (h *shell) size() r3.Vec { return r3.Sub(h.box.hi.vec(), h.box.lo.vec()) }

func (h *shell) middle() r3.Vec { return r3.Add(h.box.lo.vec(), r3.Scale(0.5, h.size())) }

func (h *shell) crumb() Crumb {
	return Crumb{At: h.middle(), Size: h.size(), Volume: h.volume(), Kept: h.kept}
}

// isSolid says whether a loose piece holds more than what the reduction, which may
// move its surface by the tolerance (mm), might take of it.
func (h *shell) isSolid(tolerance float64) bool { return h.volume() > h.area*tolerance }

// dropCrumbs drops all shells but the one of the greatest volume. Loose pieces
// are lost, unless they are to be kept and hold something, the tolerance being what the
// reduction may take; sealed voids (shells turned inwards) are filled, and what lies
// within one goes with it. All but the greatest are named. Dropping a shell cannot make
// anything cross.
func (s *soup) dropCrumbs(keep bool, tolerance float64) (crumbs []Crumb) {
	of, all := shellsOf(s.points, s.triangles)
	if len(all) <= 1 {
		return nil
	}
	largest := 0
	for k := range all {
		if all[k].volume() > all[largest].volume() {
			largest = k
		}
	}
	var voids [][3]int32
	var ofVoid []int32
	for i, t := range s.triangles {
		if all[of[i]].six.sign() < 0 {
			voids, ofVoid = append(voids, t), append(ofVoid, of[i])
		}
	}
	tree := newPairTree(s.points, voids)
	for k := range all {
		h := &all[k]
		h.kept = k == largest || keep && h.isSolid(tolerance) && tree.depth(h.first, ofVoid, int32(k)) == 0
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
