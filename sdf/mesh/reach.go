package mesh

import (
	"context"

	"socle/sdf"
)

// reachEdge is the edge of the cubes that a field is told by, mm: what is further
// from the surface than twice the diagonal of one is left out of all of them.
const reachEdge = 4.0

// Reach tells what a mesh of f with these options depends on: fields and options of
// one digest give the same solid, bit by bit. It fails as Build does, and where the
// field has no digest.
//
// It is the start of Build's own descent, as far as cubes of reachEdge, or of one
// block where that is larger. From there on Build looks at nothing but the fields
// pruned to these cubes, and sdf.Narrow gives what those are pruned from; so where
// that is the same, all that Build finds is. What lies too far away to win anywhere in
// the cubes is not in it, and may change.
func Reach(ctx context.Context, f sdf.Field, o Options) (sdf.Digest, error) {
	t, err := newOctree(f, o)
	if err != nil {
		return sdf.Digest{}, err
	}
	t.simplify = func(f sdf.Field, _ sdf.Ball) sdf.Field { return f } // its trees serve all cubes
	w := &crew{ctx: ctx}
	cubes, err := t.findCubes(w, func(n int32) bool {
		return float64(n*blockSteps*t.step)*unit <= reachEdge
	})
	if err != nil {
		return sdf.Digest{}, err
	}
	type place struct {
		At   [3]int32
		Made sdf.Digest
	}
	places := make([]place, len(cubes))
	err = w.inParallel(numbers(len(cubes)), func() func(i int32) error {
		var g sdf.Digester
		return func(i int32) (err error) {
			c := &cubes[i]
			c.f = sdf.Narrow(c.f, t.ball(c))
			places[i].At = c.at
			places[i].Made, err = g.Of(c.f)
			return err
		}
	})
	if err != nil {
		return sdf.Digest{}, err
	}
	return sdf.DigestOf(struct {
		Grid      grid
		Limits    ibox
		Levels    []int32
		Tolerance float64
		KeepLoose bool
		Places    []place
	}{t.grid, t.limits, t.levels, max(o.Tolerance, -1), o.KeepLoose, places})
}
