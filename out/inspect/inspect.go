package inspect

import (
	"cmp"
	"context"
	"math"
	"slices"

	"socle/out/inspect/raster"
	"socle/out/inspect/tree"
)

// Job is what a solid is held against. A limit of 0 leaves its check out.
type Job struct {
	Grid   raster.Grid // the printer's own pixel and layer, and the memory for rasters
	Tilted bool        // it lies on supports, so that neither plate nor supports are judged

	Least    Least   // walls, pins and gaps
	Hair     float64 // a pin under this may not form at all, mm
	Neck     float64 // least thickness that a bit hangs by, mm
	Bit      float64 // smallest bit that is told, mm3
	Relief   float64 // least depth that shows, mm
	Overhang float64 // the most that a ledge stands out over nothing, mm
	Bridge   float64 // the widest span over nothing, mm
	Island   float64 // smallest island that is told, mm2
	Void     float64 // smallest void that is told, mm3
	Vent     VentLimits
	Chamfer  float64 // least height of the chamfer at the foot, mm
	Riser    float64 // the most that risers of one flight may differ, mm

	Printer PlateLimits

	Pockets []Pocket
	Pads    []Pad
	Flights []Flight
	Top     Top     // nothing is asked of one without an outline
	Foot    float64 // diameter of a figure's foot, mm, where there are no pads
}

// Rules of the trade that no scene changes (references.md section 10: common
// practice, no source).
const (
	thinSlab, wideSlab = 2.0, 60.0 // mm: a slab so thin and so wide may bow
	seatRelief         = 0.5       // mm: a figure sits on no more
	reliefWidth        = 1.0       // mm: a wider groove or mark shows by its area
	suctionShare       = 0.5       // of the larger layer: a jump of this is told
)

// Result is what an inspection found, and what it measured on the way.
type Result struct {
	Findings []Finding
	Grid     raster.Grid // as it was looked at: coarser than asked where memory would not do
	Pockets  []PocketFit
	Pads     []PadFit
	Risers   []Risers
	Bare     Bareness
	Foot     FootFit
	Slab     Slab
	Jump     Jump
	Vents    []VentFit
}

// Inspect looks a solid over: vertices and triangles of a closed mesh, turned
// outward, its foot at z = 0, mm. The findings come in the order of their kinds,
// each kind in the order of its own check. It fails with ctx.Err() where ctx ends
// first, and with the error of a check that cannot be carried out.
func Inspect(ctx context.Context, vertices [][3]float32, triangles [][3]uint32, job Job) (*Result, error) {
	x, err := tree.New(ctx, vertices, triangles)
	if err != nil {
		return nil, err
	}
	r := &Result{}
	for _, look := range []func(context.Context, *tree.Index, *Job) error{r.thickness, r.fit, r.stance} {
		if err := look(ctx, x, &job); err != nil {
			return nil, err
		}
	}
	_, onPlate, err := OnPlate(vertices, triangles, job.Printer)
	if err != nil {
		return nil, err
	}
	r.add(onPlate)

	lo, hi := x.Extent()
	r.Grid = coarser(job.Grid, lo, hi)
	solid, err := raster.Slice(ctx, vertices, triangles, r.Grid)
	if err != nil {
		return nil, err
	}
	if err := r.layers(ctx, solid, &job); err != nil {
		return nil, err
	}
	if err := r.hollows(ctx, x, solid, &job); err != nil {
		return nil, err
	}
	if job.Neck > 0 {
		found, err := Necks(ctx, solid, x, job.Neck, job.Bit)
		if err != nil {
			return nil, err
		}
		r.add(found)
	}
	if job.Relief > 0 {
		// A rounded floor is off by its facets, its rim is not. Where cells are so coarse
		// that facets are off by more than half, what is told is what is under that.
		told := math.Max(job.Relief-tree.OnLattice-job.Least.Round/2, job.Relief/2)
		shallow, err := Relief(ctx, solid, x, told, reliefWidth)
		if err != nil {
			return nil, err
		}
		for i := range shallow {
			shallow[i].Limit = job.Relief
		}
		r.add(shallow)
	}
	slices.SortStableFunc(r.Findings, func(a, b Finding) int { return cmp.Compare(a.Kind, b.Kind) })
	return r, nil
}

func (r *Result) add(found []Finding) { r.Findings = append(r.Findings, found...) }

// thickness looks for what is thin, slender or narrow.
func (r *Result) thickness(ctx context.Context, x *tree.Index, job *Job) error {
	found, err := Thin(ctx, x, job.Least)
	for i := range found {
		if found[i].Kind == ThinPin && found[i].Value < job.Hair {
			found[i].Kind, found[i].Limit = Hair, job.Hair
		}
	}
	r.add(found)
	return err
}

// fit measures what was meant to come out just so.
func (r *Result) fit(ctx context.Context, x *tree.Index, job *Job) (err error) {
	var found []Finding
	if r.Pockets, found, err = Pockets(ctx, x, job.Pockets); err != nil {
		return err
	}
	r.add(found)
	if r.Pads, found, err = Pads(ctx, x, job.Pads); err != nil {
		return err
	}
	r.add(found)
	if len(job.Pads) == 0 && job.Foot > 0 {
		if _, found, _, err = Flattest(ctx, x, job.Foot, seatRelief); err != nil {
			return err
		}
		r.add(found)
	}
	if r.Risers, found, err = Flights(ctx, x, job.Flights, job.Riser); err != nil {
		return err
	}
	r.add(found)
	if r.Bare, found, err = Bare(ctx, x, job.Top); err != nil {
		return err
	}
	r.add(found)
	return nil
}

// stance looks at how it stands.
func (r *Result) stance(ctx context.Context, x *tree.Index, job *Job) (err error) {
	chamfer := job.Chamfer
	if job.Tilted {
		chamfer = 0
	}
	var found []Finding
	if r.Foot, found, err = Foot(ctx, x, chamfer); err != nil {
		return err
	}
	r.add(found)
	if r.Slab, found, err = FindBow(ctx, x, thinSlab, wideSlab); err != nil {
		return err
	}
	r.add(found)
	return nil
}

// layers looks at what each layer has under it.
func (r *Result) layers(ctx context.Context, solid *raster.Raster, job *Job) error {
	if job.Tilted {
		return nil
	}
	found, err := Unsupported(ctx, solid, max(min(job.Overhang, job.Bridge/2), solid.Pixel))
	if err != nil {
		return err
	}
	limits := map[Kind]float64{Island: job.Island, Overhang: job.Overhang, Bridge: job.Bridge}
	for i := range found {
		found[i].Limit = limits[found[i].Kind]
	}
	r.add(slices.DeleteFunc(found, func(f Finding) bool {
		return f.Value < f.Limit || f.Kind != Island && f.Value == f.Limit
	}))
	var jumps []Finding
	if r.Jump, jumps, err = FindSuction(solid, job.Chamfer, suctionShare); err != nil {
		return err
	}
	r.add(jumps)
	return nil
}

// hollows looks for what traps resin. The pockets of magnets are not told: they
// are meant to be open to the plate alone.
func (r *Result) hollows(ctx context.Context, x *tree.Index, solid *raster.Raster, job *Job) error {
	found, err := Voids(ctx, solid)
	if err != nil {
		return err
	}
	if job.Vent.Least > 0 {
		rooms, err := Drains(ctx, solid, x, job.Vent.Least, found)
		if err != nil {
			return err
		}
		r.add(rooms)
	}
	r.add(slices.DeleteFunc(found, func(f Finding) bool {
		return f.Value < job.Void || f.Kind == LiddedVoid && (job.Tilted || job.pocketAt(f.At))
	}))
	if job.Vent.Least == 0 || job.Tilted {
		return nil
	}
	var vents []Finding
	if r.Vents, vents, err = Vents(ctx, solid, job.Vent); err != nil {
		return err
	}
	r.add(vents)
	return nil
}

// pocketAt tells whether a place is in one of the pockets.
func (j *Job) pocketAt(at [3]float64) bool {
	return slices.ContainsFunc(j.Pockets, func(p Pocket) bool {
		return math.Hypot(at[0]-p.At.X, at[1]-p.At.Y) <= (p.Magnet[0]+looseBy)/2 && at[2] <= p.Magnet[1]+looseBy
	})
}

// rasterShare is how much of the memory the bits of a raster may take, so that
// there is room for what the checks need besides.
const rasterShare = 0.125

// coarser gives a grid, or one so much coarser that a raster of the box takes no
// more than its share of the memory.
func coarser(g raster.Grid, lo, hi [3]float64) raster.Grid {
	const bitsOfByte = 8
	limit := cmp.Or(g.Limit, raster.DefaultLimit)
	for range 16 {
		bits := 1.0
		for c, step := range [3]float64{g.Pixel, g.Pixel, g.Layer} {
			bits *= (hi[c]-lo[c])/step + 1
		}
		if bits/bitsOfByte <= rasterShare*float64(limit) {
			break
		}
		g.Pixel, g.Layer = 2*g.Pixel, 2*g.Layer
	}
	return g
}
