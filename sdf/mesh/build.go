package mesh

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Options says how finely to mesh.
type Options struct {
	Cell      float64            // edge of a cell, mm; 0.03 to 10
	Tolerance float64            // how far reduction may move the surface, mm; 0: a fortieth of a cell; negative: no reduction
	Workers   int                // 0: one a processor
	Progress  func(done float64) // called with a fraction that grows from 0 to 1; may be nil
	Heights   []float64          // heights of level surfaces that are to be exact, mm: treads, floors
	Box       r3.Box             // holds the solid, and no vertex lies beyond it; zero: the field's own bounds
}

// The range of cells, and the most cells that the box may be wide.
const (
	LeastCell = 0.03
	MostCell  = 10.0
	mostCells = 1 << 16
)

// Build meshes f and proves the result. It fails with a *ProofError where the
// promise cannot be kept, with ctx.Err() where ctx ends first, and with a plain
// error where the options make no sense.
func Build(ctx context.Context, f sdf.Field, o Options) (*Solid, error) {
	if !(o.Cell >= LeastCell && o.Cell <= MostCell) {
		return nil, fmt.Errorf("mesh: cell %g mm is not within %g to %g", o.Cell, LeastCell, MostCell)
	}
	box := o.Box
	if box == (r3.Box{}) {
		box = f.Bounds()
	}
	for _, v := range [6]float64{box.Min.X, box.Min.Y, box.Min.Z, box.Max.X, box.Max.Y, box.Max.Z} {
		if !(math.Abs(v) < maxUnits*unit-4*blockCells*o.Cell) {
			return nil, fmt.Errorf("mesh: the box %v has a side beyond %g mm", box, maxUnits*unit)
		}
	}
	b := builder{ctx: ctx, o: o, progress: o.Progress}
	if b.progress == nil {
		b.progress = func(float64) {}
	}
	return b.build(f, box)
}

type builder struct {
	ctx      context.Context
	o        Options
	progress func(float64)
}

func (b *builder) build(f sdf.Field, box r3.Box) (*Solid, error) {
	t := &octree{field: f}
	t.grid, t.size = newGrid(box, b.o.Cell, b.o.Heights)
	t.limits = latticeBox(box)
	if most := max(t.size[0], t.size[1], t.size[2]); most > mostCells/blockCells {
		return nil, fmt.Errorf("mesh: %d cells across are more than %d: choose a larger cell", most*blockCells, mostCells)
	}
	if err := t.build(b.ctx, b.o.Workers); err != nil {
		return nil, err
	}
	b.progress(0.3)
	if _, err := t.untangle(b.ctx, b.o.Workers, nil); err != nil {
		return nil, err
	}
	b.progress(0.4)

	out := &Solid{}
	// Emit, reduce, prove; where the proof fails, mend just there and do it
	// again, a few times; more would only hide a fault.
	m := mender{t: t}
	const tries = 5
	patches, err := t.surface(b.ctx, b.o.Workers)
	if err != nil {
		return nil, err
	}
	for try := range tries {
		out.Stats.Clamped = 0
		for i := range patches {
			out.Stats.Clamped += patches[i].clamped
		}
		s := t.weld(patches)
		out.Crumbs = s.keepLargest()
		s.compact()
		out.Stats.Unreduced, out.Stats.UnreducedV = len(s.triangles), len(s.points)
		b.progress(0.6)
		if tolerance := b.tolerance(t.cell()); tolerance > 0 {
			if err := s.reduce(b.ctx, tolerance, b.o.Workers, m.keeps); err != nil {
				return nil, err
			}
		}
		b.progress(0.8)
		out.Mesh = s.mesh()
		x := examiner{}
		if err := x.read(&out.Mesh); err != nil {
			return nil, err
		}
		out.Proof, err = x.examine(b.ctx, b.o.Workers)
		if err == nil {
			break
		}
		if b.ctx.Err() != nil || len(x.pairs) == 0 || try == tries-1 {
			return nil, err
		}
		out.Stats.Mended++
		if distrusted := m.mend(&x); len(distrusted) > 0 {
			if err := t.contour(b.ctx, b.o.Workers, t.around(distrusted), patches, m.safe); err != nil {
				return nil, err
			}
		}
	}
	if out.Proof.Shells != 1 {
		return nil, &ProofError{At: out.Proof.Box.Min, Why: fmt.Sprintf("%d pieces in place of one", out.Proof.Shells)}
	}
	for _, blk := range t.blocks {
		out.Stats.Multi += blk.multis
		for i := range blk.leaves {
			if blk.leaves[i].crossed() {
				out.Stats.Cells++
			}
		}
	}
	out.Stats.FieldEvals, out.Stats.PrimEvals = t.counts.fields, t.counts.prims
	out.Stats.Deviation = deviation(f, &out.Mesh)
	b.progress(1)
	return out, nil
}

// tolerance is how far reduction may move the surface, mm.
func (b *builder) tolerance(cell float64) float64 {
	if b.o.Tolerance == 0 {
		return cell / 40
	}
	return b.o.Tolerance
}

// deviation is the greatest |field| at the middles of a sample of the
// triangles: how far the solid strays from its field, where that is visible.
func deviation(f sdf.Field, m *Mesh) float64 {
	const samples = 20_000
	every := max(1, len(m.Triangles)/samples)
	most := 0.0
	for i := 0; i < len(m.Triangles); i += every {
		var c r3.Vec
		for _, v := range m.Triangles[i] {
			p := m.Vertices[v]
			c = r3.Add(c, r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])})
		}
		most = math.Max(most, math.Abs(f.Value(r3.Scale(1.0/3, c))))
	}
	return most
}
