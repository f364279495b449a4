package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Reduction collapses edges onto vertices that are there already, so every
// coordinate stays a lattice point that the contour placed. A collapse is done
// only where
//
//   - the surface stays a closed 2-manifold (the link condition),
//   - every vertex ever removed nearby stays within the tolerance of the new
//     triangles (each triangle carries the removed vertices that lie on it),
//   - no triangle turns over or thins out to a sliver,
//   - what is exactly level stays so, at its height: undersides, treads, floors.
//
// Whether anything crosses is left to the proof; where it fails, the vertices
// there are kept and the regions about them are done again. But for flat
// ground, a collapse is tested against its surroundings first, so that this is rare.
type reducer struct {
	points   []ipoint // the vertices, and behind them the middles of sides
	vertices int
	progress
	fans      [][]int32 // triangles about each vertex
	locked    []bool    // vertices that may not be removed
	stuck     []bool    // vertices that could not go, and nothing about them changed since
	region    []uint8   // by vertex: where it may be worked on in parallel
	tolerance float64   // units
}

// regions are slabs along x with about as many vertices each; they depend on the mesh
// alone, not on the workers.
const mostRegions = 16

// reduction thins out a closed mesh to within tolerance mm of itself. It remembers how
// the regions began and ended, so that where the proof finds a fault only the regions
// about it are done again.
type reduction struct {
	*reducer
	regions      []int32
	begun, ended *progress
}

// progress is how far the triangles are reduced.
type progress struct {
	triangles [][3]int32 // first vertex -1: gone
	carried   []int32    // first removed vertex that each triangle carries, -1 for none
	next      []int32    // the next one after a removed vertex
}

func (p *progress) clone() *progress {
	return &progress{slices.Clone(p.triangles), slices.Clone(p.carried), slices.Clone(p.next)}
}

func newReduction(w *crew, s *soup, tolerance float64) (*reduction, error) {
	r := &reducer{
		points: slices.Clip(s.points), vertices: len(s.points), fans: fansOf(len(s.points), s.triangles),
		locked: make([]bool, len(s.points)), stuck: make([]bool, len(s.points)), tolerance: tolerance * unitsPerMM,
		progress: progress{
			triangles: s.triangles, carried: make([]int32, len(s.triangles)), next: make([]int32, len(s.points)),
		},
	}
	for i := range r.carried {
		r.carried[i] = -1
	}
	d := &reduction{reducer: r, regions: r.divide()}
	if err := r.pinEdges(w); err != nil {
		return nil, err
	}
	begun := r.progress
	d.begun = &begun
	return d, nil
}

// run gives the reduced mesh; vertices that keeps says are not removed.
func (d *reduction) run(w *crew, keeps func(ipoint) bool) (*soup, error) {
	for v := range d.vertices {
		d.locked[v] = keeps(d.points[v])
	}
	regions := d.regions
	if d.ended == nil {
		d.progress = *d.begun.clone()
	} else {
		regions = d.restart()
	}
	clear(d.stuck)
	w.meter.stage(doneReduce, len(regions))
	err := w.inParallel(regions, func() func(i int32) error {
		return func(i int32) error { return d.sweep(w, i) }
	})
	if err != nil {
		return nil, err
	}
	d.ended = d.progress.clone()
	if err := d.sweep(w, anyRegion); err != nil {
		return nil, err
	}
	if err := d.clearSlivers(w); err != nil {
		return nil, err
	}
	out := &soup{points: d.points[:d.vertices], triangles: d.triangles[:0]}
	for _, t := range d.triangles {
		if t[0] >= 0 {
			out.triangles = append(out.triangles, t)
		}
	}
	d.triangles = nil
	out.compact()
	return out, nil
}

// restart takes the regions that hold locked vertices back to how they began, the others
// to how they ended, and gives the former.
func (d *reduction) restart() (again []int32) {
	d.progress = *d.ended
	var holds [mostRegions]bool
	for v := range d.vertices {
		if d.locked[v] {
			holds[d.region[v]] = true
		}
	}
	for _, k := range d.regions {
		if holds[k] {
			again = append(again, k)
		}
	}
	for t, q := range d.begun.triangles {
		k := d.region[q[0]]
		if d.region[q[1]] != k || d.region[q[2]] != k || !holds[k] {
			continue // no region changed it, or one that stays
		}
		d.triangles[t], d.carried[t] = q, d.begun.carried[t]
		for c := d.carried[t]; c >= 0; c = d.begun.next[c] {
			d.next[c] = d.begun.next[c]
		}
	}
	d.fans = fansOf(d.vertices, d.triangles)
	return again
}

// fansOf lists the triangles about each vertex, but for those that are gone.
func fansOf(vertices int, triangles [][3]int32) [][]int32 {
	count := make([]int32, vertices+1)
	for _, t := range triangles {
		for _, v := range t {
			if t[0] >= 0 {
				count[v+1]++
			}
		}
	}
	for v := range vertices {
		count[v+1] += count[v]
	}
	all := make([]int32, 3*len(triangles))
	fans := make([][]int32, vertices)
	for v := range fans {
		fans[v] = all[count[v]:count[v]:count[v+1]]
	}
	for i, t := range triangles {
		for _, v := range t {
			if t[0] >= 0 {
				fans[v] = append(fans[v], int32(i))
			}
		}
	}
	return fans
}

// pinShare is how far a triangle may lie off the plane of its neighbour, in
// tolerances, before the middle of their side is looked after.
const pinShare = 0.3

// pinEdges makes the triangles carry the middles of the sides between them that are not
// flat, as if they were removed vertices: two triangles on the same four corners, parted
// along the other diagonal, lie as near to all corners as these and yet elsewhere.
func (r *reducer) pinEdges(w *crew) error {
	for t := range r.triangles {
		if t&0xffff == 0 && w.ctx.Err() != nil {
			return w.ctx.Err()
		}
		q := &r.triangles[t]
		a := r.at(q[0])
		n := r3.Cross(r3.Sub(r.at(q[1]), a), r3.Sub(r.at(q[2]), a))
		most := pinShare * r.tolerance * r3.Norm(n)
		for i := range 3 {
			v, u := q[i], q[(i+1)%3]
			if v > u {
				continue
			}
			o, d := r.across(v, u)
			if o < 0 || math.Abs(r3.Dot(n, r3.Sub(r.at(d), a))) <= most {
				continue
			}
			p, s := r.points[v], r.points[u]
			r.next = append(r.next, r.carried[t])
			r.carried[t] = int32(len(r.points))
			r.points = append(r.points, ipoint{(p[0] + s[0]) / 2, (p[1] + s[1]) / 2, (p[2] + s[2]) / 2})
		}
	}
	return nil
}

// divide puts the vertices into regions.
func (r *reducer) divide() []int32 {
	n := min(mostRegions, max(1, len(r.points)/4096))
	xs := make([]int32, len(r.points))
	for v, p := range r.points {
		xs[v] = p[0]
	}
	slices.Sort(xs)
	cuts := make([]int32, 0, n)
	for k := 1; k < n; k++ {
		cuts = append(cuts, xs[k*len(xs)/n])
	}
	r.region = make([]uint8, len(r.points))
	for v, p := range r.points {
		k, _ := slices.BinarySearchFunc(cuts, p[0], func(c, x int32) int { return cmp.Compare(c, x+1) })
		r.region[v] = uint8(k)
	}
	return numbers(n)
}

// anyRegion is the sweep over what the regions could not touch.
const anyRegion = -1

// sweep visits the vertices of a region, in order, until nothing more can go.
// A vertex is the region's own where all its neighbours are of the region too:
// then no other region reads or writes what a collapse there changes.
func (r *reducer) sweep(w *crew, region int32) error {
	k := collapser{reducer: r}
	var queue []int32
	for v := range r.vertices {
		if region != anyRegion && int32(r.region[v]) != region || len(r.fans[v]) == 0 {
			continue // the fans of other regions are not to be read either
		}
		if region == anyRegion && r.own(int32(v)) {
			continue
		}
		queue = append(queue, int32(v))
	}
	for done := 1; done > 0; {
		done = 0
		rest := queue[:0]
		for i, v := range queue {
			if i&1023 == 0 && w.ctx.Err() != nil {
				return w.ctx.Err()
			}
			if len(r.fans[v]) == 0 {
				continue // gone
			}
			if !r.stuck[v] && (region == anyRegion || r.own(v)) {
				if k.try(v) {
					done++
					continue
				}
				r.stuck[v] = true
			}
			rest = append(rest, v)
		}
		queue = rest
	}
	return nil
}

func (r *reducer) own(v int32) bool {
	for _, t := range r.fans[v] {
		for _, w := range r.triangles[t] {
			if r.region[w] != r.region[v] {
				return false
			}
		}
	}
	return true
}

func (r *reducer) at(v int32) r3.Vec { return r.points[v].float64s() }
