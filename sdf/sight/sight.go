package sight

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/workers"
)

// Options say how finely to look, and at what.
type Options struct {
	Cell float64 // edge of a cell, mm; 0.03 to 10
	Box  r3.Box  // what is looked at, mm; zero: the field's own bounds
}

// The range of cells, mm, and the most cells that the box may be wide.
const (
	LeastCell = 0.03
	MostCell  = 10.0
	mostCells = 1 << 16
)

// Counts tell what a look cost.
type Counts struct {
	Cubes int   // that the surface enters
	Made  int   // of these; the rest were taken as they were
	Evals int64 // evaluations of the field
}

// patch is a cube of n cubes a side, from the cube at on.
type patch struct {
	at [3]int32
	n  int32
}

// keptSide is how many cubes a side are first asked for together.
const keptSide = 4

// Of makes the cubes of a field that the surface enters, in the order of their places; those
// that it has, it takes. A nil keeper has and keeps none. It fails where the options make no
// sense, and with ctx.Err() where ctx ends first.
func (k *Keeper) Of(ctx context.Context, f sdf.Field, o Options) ([]*Cube, Counts, error) {
	l := lattice{f, o.Cell}
	from, size, err := l.cubes(o)
	if err != nil {
		return nil, Counts{}, err
	}
	var count Counts
	top := patch{from, keptSide}
	for top.n < max(size[0], size[1], size[2]) {
		top.n *= 2
	}
	large := []patch{top}
	for n := top.n; n > keptSide; n /= 2 {
		var next []patch
		for _, p := range large {
			next = append(next, l.halve(p, &count.Evals)...)
		}
		large = next
	}
	found := make([][]*Cube, len(large))
	makers := make([]*maker, workers.Count(len(large)))
	err = workers.ForEach(ctx, len(large), func(w, i int) error {
		if makers[w] == nil {
			makers[w] = &maker{lattice: l}
		}
		found[i] = k.patch(makers[w], large[i])
		return nil
	})
	if err != nil {
		return nil, Counts{}, err
	}
	var all []*Cube
	for _, cubes := range found {
		all = append(all, cubes...)
	}
	count.Cubes = len(all)
	for _, m := range makers {
		if m != nil {
			count.Made += m.made
			count.Evals += m.evals
		}
	}
	return all, count, nil
}

// cubes gives the cubes about what is looked at: the first, and how many along each axis.
func (l lattice) cubes(o Options) (from, size [3]int32, err error) {
	if !(o.Cell >= LeastCell && o.Cell <= MostCell) {
		return from, size, fmt.Errorf("sight: cell %g mm is not within %g to %g", o.Cell, LeastCell, MostCell)
	}
	box := o.Box
	if box == (r3.Box{}) {
		box = l.field.Bounds()
	}
	lo, hi := [3]float64{box.Min.X, box.Min.Y, box.Min.Z}, [3]float64{box.Max.X, box.Max.Y, box.Max.Z}
	for i := range 3 {
		if !(math.Abs(lo[i]) < mostCells*o.Cell && math.Abs(hi[i]) < mostCells*o.Cell) {
			return from, size, fmt.Errorf("sight: the box %v has a side beyond %g mm", box, mostCells*o.Cell)
		}
		from[i] = floorDiv(l.first(lo[i])-1, side)
		size[i] = floorDiv(l.first(hi[i])+1, side) - from[i] + 1
		// Whole patches begin at places that are the same for all boxes.
		first := floorDiv(from[i], keptSide) * keptSide
		from[i], size[i] = first, size[i]+from[i]-first
	}
	return from, size, nil
}

// floorDiv is a/b, rounded down.
func floorDiv(a, b int32) int32 { return int32(math.Floor(float64(a) / float64(b))) }

// halve gives the octants of a patch that the surface may enter.
func (l lattice) halve(p patch, evals *int64) (out []patch) {
	n := p.n / 2
	for i := range int32(8) {
		q := patch{[3]int32{p.at[0] + n*(i&1), p.at[1] + n*(i>>1&1), p.at[2] + n*(i>>2&1)}, n}
		*evals++
		if sdf.Side(l.field, sdf.BoxBall(l.box(q.at, n))) == 0 {
			out = append(out, q)
		}
	}
	return out
}
