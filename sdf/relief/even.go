package relief

import (
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// even takes off the same everywhere.
type even struct{ depth float64 }

// Even takes off the same depth everywhere, mm: what lies under a coat that is gone. The
// shallowest of it and another is that other filled up to a level, as by a puddle.
func Even(depth float64) Relief { return &even{depth} }

func (e *even) Value(r3.Vec) float64              { return e.depth }
func (e *even) Gradient(r3.Vec) (float64, r3.Vec) { return e.depth, r3.Vec{} }
func (e *even) Depth() float64                    { return e.depth }
func (e *even) Steepest() float64                 { return 0 }
func (e *even) Cost() int                         { return 1 }

func (e *even) Prune(sdf.Ball) Relief { return e }
func (e *even) flat() bool            { return true }
