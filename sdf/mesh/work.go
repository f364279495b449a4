package mesh

import (
	"context"
	"math"

	"socle/sdf"
)

// workEdge is how large the cubes are, at most, that Work is counted from, mm: some
// hundreds for a large base.
const workEdge = 8.0

// Work counts, roughly, what Build of f with these options would look at: for every cube
// that the surface may enter as many cells as lie on a side of it, each times the root
// of what the field there is made of. It costs a hundredth of Build, or less. It fails
// as Build does.
func Work(ctx context.Context, f sdf.Field, o Options) (float64, error) {
	t, err := newOctree(f, o)
	if err != nil {
		return 0, err
	}
	w := &crew{ctx: ctx}
	cubes, err := t.findCubes(w, func(n int32) bool { return float64(n*blockSteps*t.step)*unit <= workEdge })
	var all float64
	for i := range cubes {
		across := float64(cubes[i].n) * blockCells
		all += across * across * math.Sqrt(float64(max(1, cubes[i].f.Cost())))
	}
	return all, err
}
