package mesh

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Options says how finely to mesh.
type Options struct {
	Cell      float64            // edge of a cell, mm; 0.03 to 10
	Tolerance float64            // how far reduction may move the surface, mm; 0: a fortieth of a cell; negative: no reduction
	Progress  func(done float64) // called with a fraction that grows from 0 to 1; may be nil
	Heights   []float64          // heights of level surfaces that are to be exact, mm: treads, floors
	KeepLoose bool               // loose pieces stay, in place of being dropped as crumbs
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
	t, err := newOctree(f, o)
	if err != nil {
		return nil, err
	}
	w := &crew{ctx: ctx, meter: meter{report: o.Progress}}
	b := builder{crew: w, o: o, t: t, mender: mender{t: t}}
	return b.build()
}

// newOctree lays the grid; it fails where the options make no sense.
func newOctree(f sdf.Field, o Options) (*octree, error) {
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
	t := &octree{field: f, limits: latticeBox(box), simplify: sdf.Field.Prune}
	t.levels = append(t.levels, t.limits.lo[2])
	for _, z := range o.Heights {
		if z > box.Min.Z && z < box.Max.Z {
			t.levels = append(t.levels, int32(math.Round(z*unitsPerMM)))
		}
	}
	slices.Sort(t.levels)
	t.grid, t.size = newGrid(box, o.Cell, o.Heights)
	if most := max(t.size[0], t.size[1], t.size[2]); most > mostCells/blockCells {
		return nil, fmt.Errorf("mesh: %d cells across are more than %d: choose a larger cell", most*blockCells, mostCells)
	}
	return t, nil
}

type builder struct {
	*crew
	o       Options
	t       *octree
	mender  mender
	patches []patch
	crumbs  []Crumb
}

// Where the stages of a build end, as shares of its time: measured on the reference solid.
const (
	doneOctree   = 0.20
	doneUntangle = 0.25
	doneContour  = 0.40
	doneSurface  = 0.50
	doneReduce   = 0.90
)

// contour makes the patches.
func (b *builder) contour() (err error) {
	if err := b.t.build(b.crew); err != nil {
		return err
	}
	b.meter.stage(doneUntangle, len(b.t.blocks))
	if _, err := b.t.untangle(b.crew, nil); err != nil {
		return err
	}
	b.patches, err = b.t.surface(b.crew)
	return err
}

func (b *builder) build() (*Solid, error) {
	if err := b.contour(); err != nil {
		return nil, err
	}
	out := &Solid{}
	b.count(&out.Stats)
	s, err := b.join()
	if err != nil {
		return nil, err
	}
	out.Stats.Unreduced, out.Stats.UnreducedV = len(s.triangles), len(s.points)
	// Reduce, prove; where the proof fails, mend just there and do it again, a few
	// times; more would only hide a fault.
	var d *reduction
	const tries = 5
	for try := range tries {
		if tolerance := b.tolerance(b.t.cell()); tolerance > 0 && d == nil {
			if d, err = newReduction(b.crew, s, tolerance); err != nil {
				return nil, err
			}
		}
		x, err := b.reduceAndProve(s, d, out)
		if err == nil {
			break
		}
		if x == nil || len(x.pairs)+len(x.turned) == 0 || try == tries-1 {
			return nil, err
		}
		out.Stats.Mended++
		if b.mender.mend(x) {
			if s, err = b.emitSafely(); err != nil {
				return nil, err
			}
			d = nil
		}
	}
	if asked := pieces(b.crumbs); out.Proof.Shells != asked {
		return nil, &ProofError{At: out.Proof.Box.Min, Why: fmt.Sprintf("%d pieces in place of %d", out.Proof.Shells, asked)}
	}
	out.Crumbs = b.crumbs
	out.Stats.FieldEvals, out.Stats.PrimEvals = b.t.counts.fields, b.t.counts.prims
	if out.Stats.Deviation, err = b.deviation(b.t.field, &out.Mesh); err != nil {
		return nil, err
	}
	b.meter.stage(1, 1)
	b.meter.tick()
	return out, nil
}

// count takes down what there is of leaves and apexes.
func (b *builder) count(stats *Stats) {
	for _, blk := range b.t.blocks {
		stats.Multi += blk.multis
		for i := range blk.leaves {
			if blk.leaves[i].crossed() {
				stats.Cells++
			}
		}
	}
	for i := range b.patches {
		for _, l := range b.patches[i].leaves {
			stats.Clamped += int(l.clamped)
		}
	}
}

// join welds the patches, drops crumbs, and makes room: what is hardly ever wanted again
// is made again if it is.
func (b *builder) join() (*soup, error) {
	s, err := b.t.weld(b.crew, b.patches)
	if err != nil {
		return nil, err
	}
	b.t.blocks, b.t.index, b.patches = nil, nil, nil
	b.crumbs = s.dropCrumbs(b.o.KeepLoose, max(0, b.tolerance(b.t.cell())))
	s.compact()
	return s, b.ctx.Err()
}

// emitSafely makes the patches again, those about the places of the mender in safe mode.
func (b *builder) emitSafely() (*soup, error) {
	if err := b.contour(); err != nil {
		return nil, err
	}
	distrusted := b.t.around(b.mender.distrust())
	if err := b.t.contour(b.crew, distrusted, b.patches, b.mender.safe); err != nil {
		return nil, err
	}
	return b.join()
}

// reduceAndProve reduces the mesh, unless d is nil, and proves it. Where the proof fails
// for what it found, the examiner says where; else it is nil.
func (b *builder) reduceAndProve(s *soup, d *reduction, out *Solid) (*examiner, error) {
	if d != nil {
		var err error
		if s, err = d.run(b.crew, b.mender.keeps); err != nil {
			return nil, err
		}
	}
	out.Mesh = s.mesh()
	x := &examiner{}
	if err := x.read(&out.Mesh); err != nil {
		return nil, err
	}
	b.meter.stage(1, enoughTasks)
	var err error
	if out.Proof, err = x.examine(b.crew); b.ctx.Err() != nil {
		return nil, b.ctx.Err()
	}
	return x, err
}

// tolerance is how far reduction may move the surface, mm.
func (b *builder) tolerance(cell float64) float64 {
	if b.o.Tolerance == 0 {
		return cell / 40
	}
	return b.o.Tolerance
}
