package mesh

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// Prove examines a mesh as written: its float32 coordinates and nothing else. The
// error is nil where the mesh is closed, turned outward and free of crossings;
// a *ProofError for the first fault otherwise; ctx.Err() where ctx ends first.
// What was found is given in any case.
//
// Exactness: coordinates must lie on the lattice of 2^-12 mm (below 2048 mm);
// then every decision is made in whole numbers.
func Prove(ctx context.Context, m *Mesh) (Proof, error) {
	x := examiner{}
	if err := x.read(m); err != nil {
		return Proof{}, err
	}
	return x.examine(&crew{ctx: ctx})
}

// examiner is the one validator: it guards the written file and is what tests,
// fuzzers and benchmarks call.
type examiner struct {
	points    []ipoint
	triangles [][3]int32
	pairs     [][2]int32 // improper pairs of triangles
	turned    []ibox     // shells that face the wrong way
	fault     *ProofError
}

func (x *examiner) blame(at ipoint, format string, args ...any) { x.blameAt(at.vec(), format, args...) }

func (x *examiner) blameAt(at r3.Vec, format string, args ...any) {
	if x.fault == nil {
		x.fault = &ProofError{At: at, Why: fmt.Sprintf(format, args...)}
	}
}

func (x *examiner) read(m *Mesh) error {
	x.points = make([]ipoint, len(m.Vertices))
	for i, v := range m.Vertices {
		p, ok := latticePoint(v)
		if !ok {
			return &ProofError{
				At:  r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])},
				Why: "a vertex is off the lattice",
			}
		}
		x.points[i] = p
	}
	x.triangles = make([][3]int32, len(m.Triangles))
	for i, t := range m.Triangles {
		for k, v := range t {
			if int64(v) >= int64(len(m.Vertices)) {
				return &ProofError{Why: fmt.Sprintf("triangle %d has no vertex %d", i, v)}
			}
			x.triangles[i][k] = int32(v)
		}
	}
	return nil
}

func (x *examiner) examine(w *crew) (Proof, error) {
	var p Proof
	if len(x.triangles) == 0 {
		return p, &ProofError{Why: "there is no surface at all"}
	}
	flat := x.measure(&p)
	p.Closed = x.closed() && !flat
	if flat {
		return p, x.fault
	}
	tree := newPairTree(x.points, x.triangles)
	var err error
	if x.pairs, err = tree.crossings(w); err != nil {
		return p, err
	}
	p.Crossings = len(x.pairs)
	if len(x.pairs) > 0 {
		q := x.pairs[0]
		x.blame(x.points[x.triangles[q[0]][0]], "triangles %d and %d cross (the first of %d such pairs)", q[0], q[1], len(x.pairs))
	}
	if p.Closed {
		of, all := shellsOf(x.points, x.triangles)
		p.Shells = len(all)
		euler := len(x.points) - len(x.triangles)/2 // V - E + F with E = 3F/2
		p.Genus = p.Shells - euler/2
		p.Outward = p.Crossings == 0 && x.outward(tree, of, all)
	}
	if x.fault != nil {
		return p, x.fault
	}
	return p, nil
}

// outward says whether every shell is turned the right way. Shells that do not touch each
// lie within a number of others: the outermost and what floats in a void, in an even
// number, have the solid inside and so a volume above zero; voids, in an odd number, have
// it outside and a volume below.
func (x *examiner) outward(tree *pairTree, of []int32, all []shell) bool {
	for k := range all {
		h := &all[k]
		depth := 0
		if len(all) > 1 {
			depth = tree.depth(h.first, of, int32(k))
		}
		want, what := 1, "its volume is"
		if depth%2 != 0 {
			want, what = -1, "it lies within another, and yet its volume is"
		}
		if h.six.sign() != want {
			x.turned = append(x.turned, h.box)
			size := h.size()
			x.blameAt(h.middle(), "the shell of %.4f x %.4f x %.4f mm about it is turned inside out: %s %.6g mm3", size.X, size.Y, size.Z, what, h.volume())
		}
	}
	return len(x.turned) == 0
}

// measure sums volume, area and box, and says whether any triangle has no area.
func (x *examiner) measure(p *Proof) (flat bool) {
	lo := ipoint{math.MaxInt32, math.MaxInt32, math.MaxInt32}
	hi := ipoint{math.MinInt32, math.MinInt32, math.MinInt32}
	var volume, area float64
	for i, t := range x.triangles {
		a, b, c := x.points[t[0]], x.points[t[1]], x.points[t[2]]
		n := normalOf(&a, &b, &c)
		if n == (ivec{}) {
			x.blame(a, "triangle %d has no area", i)
			flat = true
		}
		area += math.Sqrt(float64(n.x)*float64(n.x)+float64(n.y)*float64(n.y)+float64(n.z)*float64(n.z)) / 2
		volume += signedVolume(a, b, c) / 6
		for _, q := range [3]ipoint{a, b, c} {
			for k := range 3 {
				lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
			}
		}
	}
	p.Volume, p.Area = volume*cubicUnit, area*unit*unit
	p.Box = r3.Box{Min: lo.vec(), Max: hi.vec()}
	return flat
}

// closed checks that the triangles about every vertex form one closed fan: each
// corner (v; a, b) is followed by exactly one corner (v; b, c), and going on
// so meets all corners of v. Then every directed edge b-v has exactly one twin
// v-b, and no vertex joins two fans. Vertices that no triangle uses are a fault.
func (x *examiner) closed() bool {
	start := make([]int32, len(x.points)+1)
	for _, t := range x.triangles {
		for _, v := range t {
			start[v+1]++
		}
	}
	for v := range x.points {
		start[v+1] += start[v]
	}
	corners := make([][2]int32, 3*len(x.triangles))
	fill := slices.Clone(start[:len(x.points)])
	for _, t := range x.triangles {
		for k := range 3 {
			v := t[k]
			corners[fill[v]] = [2]int32{t[(k+1)%3], t[(k+2)%3]}
			fill[v]++
		}
	}
	for v := range x.points {
		fan := corners[start[v]:start[v+1]]
		if len(fan) == 0 {
			x.blame(x.points[v], "vertex %d belongs to no triangle", v)
			return false
		}
		if why := fanFault(fan); why != "" {
			x.blame(x.points[v], "vertex %d: %s", v, why)
			return false
		}
	}
	return true
}

// fanFault sorts the corners of a vertex and says what is wrong with the fan.
func fanFault(fan [][2]int32) string {
	slices.SortFunc(fan, func(a, b [2]int32) int { return slices.Compare(a[:], b[:]) })
	for i := 1; i < len(fan); i++ {
		if fan[i][0] == fan[i-1][0] {
			return "an edge has more than two triangles, or two turned the same way"
		}
	}
	at, steps := 0, 0
	for {
		next, ok := slices.BinarySearchFunc(fan, fan[at][1], func(c [2]int32, b int32) int { return int(c[0]) - int(b) })
		if !ok {
			return "an edge has one triangle only"
		}
		steps++
		if next == 0 {
			break
		}
		if steps > len(fan) {
			return "an edge has more than two triangles"
		}
		at = next
	}
	if steps != len(fan) {
		return "it joins more than one fan of triangles"
	}
	return ""
}
