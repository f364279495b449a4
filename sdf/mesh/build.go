package mesh

import (
	"context"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Options says how finely to mesh.
type Options struct {
	Cell      float64            // edge of a cell, mm; 0.02 to 10
	Tolerance float64            // how far reduction may move the surface, mm; 0: Cell/40
	Workers   int                // 0: one a processor
	Progress  func(done float64) // called with a fraction that grows from 0 to 1; may be nil
	Box       r3.Box             // where the surface is; zero: the field's own bounds
}

// Build meshes f and proves the result. It fails with a *ProofError where the
// promise cannot be kept, with ctx.Err() where ctx ends first.
func Build(ctx context.Context, f sdf.Field, o Options) (*Solid, error) {
	panic("not written yet")
}
