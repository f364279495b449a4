package convex

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// faces is what is left of a polytope in a ball: some of its planes, and its box where
// that counts, else nil.
type faces struct {
	planes []Plane
	box    *r3.Box
}

// pruned gives the faces that can win in a ball; nil where all can, or planes none.
func pruned(planes []Plane, box *r3.Box, b sdf.Ball) *faces {
	var few [32]float64
	values := few[:0]
	most := math.Inf(-1)
	for i := range planes {
		v := dot3(planes[i].N, b.C) - planes[i].D
		values = append(values, v)
		most = max(most, v)
	}
	kept := box
	limit := most - 2*b.R - 1e-9
	if box != nil {
		v := boxValue(b.C, box)
		most = max(most, v)
		if limit = most - 2*b.R - 1e-9; v < limit {
			kept = nil
		}
	}
	first, end, count := 0, 0, 0
	for i, v := range values {
		if v >= limit {
			if count == 0 {
				first = i
			}
			count, end = count+1, i+1
		}
	}
	switch {
	case count == len(values) && kept == box || count == 0:
		return nil
	case end-first == count: // side by side: they need no memory of their own
		return &faces{planes[first:end:end], kept}
	}
	out := &faces{make([]Plane, 0, count), kept}
	for i, v := range values {
		if v >= limit {
			out.planes = append(out.planes, planes[i])
		}
	}
	return out
}

func (f *faces) Value(p r3.Vec) float64 {
	d, _ := foremost(f.planes, p)
	if f.box != nil {
		return max(d, boxValue(p, f.box))
	}
	return d
}

func (f *faces) Gradient(p r3.Vec) (float64, r3.Vec) { return gradient(f.planes, f.box, p) }

func (f *faces) Bounds() r3.Box {
	if f.box != nil {
		return *f.box
	}
	inf := math.Inf(1)
	return r3.Box{Min: sdf.V(-inf, -inf, -inf), Max: sdf.V(inf, inf, inf)}
}

func (f *faces) Lipschitz() float64 { return 1 }
func (f *faces) Tightness() float64 { return 1 }
func (f *faces) Cost() int          { return 1 }

func (f *faces) Prune(b sdf.Ball) sdf.Field {
	if few := pruned(f.planes, f.box, b); few != nil {
		return few
	}
	return f
}

// Plane is the one plane that may be left.
func (f *faces) Plane() (n r3.Vec, d float64, ok bool) {
	if f.box != nil || len(f.planes) != 1 {
		return r3.Vec{}, 0, false
	}
	return f.planes[0].N, f.planes[0].D, true
}
