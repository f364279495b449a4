package mesh

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mesh is a triangle mesh on float32 coordinates, the ones that are proven and
// the ones that are written. Triangles run counter-clockwise seen from outside.
type Mesh struct {
	Vertices  [][3]float32
	Triangles [][3]uint32
}

// Solid is a mesh together with what was proven of it.
type Solid struct {
	Mesh
	Proof  Proof
	Crumbs []Crumb // loose pieces and sealed voids, largest first
	Stats  Stats
}

// Proof is what the validator found. A solid that Build gives is Closed and
// Outward with no Crossings and one shell, but for the loose pieces that it was
// asked to keep.
type Proof struct {
	Closed    bool    // every edge has exactly two triangles, once each way; one fan a vertex
	Outward   bool    // no two shells cross, and each faces away from the solid: the outermost ones outward, those of voids into the void
	Crossings int     // pairs of triangles that cross, touch or fold, exactly tested
	Shells    int     // connected pieces of surface
	Genus     int     // handles, over all shells
	Volume    float64 // mm3
	Area      float64 // mm2
	Box       r3.Box  // mm
}

// Crumb is a piece of surface that hangs on nothing. It was dropped, so that the
// solid is one piece, unless it is kept.
type Crumb struct {
	At     r3.Vec  // its centre, mm
	Size   r3.Vec  // the sides of its box, mm
	Volume float64 // mm3; negative for a void that was filled
	Kept   bool    // it is in the mesh
}

// Stats counts the work done: the figures to judge speed by, since they are
// the same on every machine.
type Stats struct {
	Cells      int   // leaves that the surface passes through
	FieldEvals int64 // evaluations of the field, gradients included
	PrimEvals  int64 // primitives that these looked at, at most
	Unreduced  int   // triangles before reduction
	UnreducedV int   // vertices before reduction
	Mended     int   // how often the proof failed and the place was made again
	Multi      int   // leaves of the finest size with more than one loop
	Clamped    int   // apexes that had to be pulled back into their cell
	// Deviation is the greatest |field| over a sample of the surface, mm.
	Deviation float64
}

// ProofError says why a solid could not be proven, and where.
type ProofError struct {
	At  r3.Vec // mm
	Why string
}

func (e *ProofError) Error() string {
	return fmt.Sprintf("not proven at (%.3f, %.3f, %.3f) mm: %s", e.At.X, e.At.Y, e.At.Z, e.Why)
}
