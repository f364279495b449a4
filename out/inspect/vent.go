package inspect

import (
	"context"
	"fmt"
	"math"
	"math/bits"

	"socle/sdf/workers"
)

// VentLimits is what the ways out of a hollow are held against, mm.
type VentLimits struct {
	// Least is the least diameter of a way out: below it nothing drains (2 to 3
	// usual for miniatures: common practice, no source).
	Least float64
	// Single is the least diameter of one that is the only way out: two holes if
	// under 3 (bureau design guide; references.md section 7).
	Single float64
}

// VentFit is a room of a hollow underside and its way out.
type VentFit struct {
	At    [3]float64 `json:"at"`    // where the way out is narrowest, mm
	Width float64    `json:"width"` // of the largest ball that gets out of it, mm; 0 where none is seen to
	Ways  int        `json:"ways"`  // as wide as the least: 0, 1, or 2 for more; not counted on from 1 as wide as a single one has to be
}

const (
	// roomHeight and roomArea are the least of what counts as a hollow, mm and
	// mm2: the wedge under a chamfer is lower.
	roomHeight, roomArea = 0.7, 1.0
	// ventVoxel is the finest that a room is looked at, mm, and ventVoxels the
	// most that are looked at in one.
	ventVoxel, ventVoxels = 0.1, 2e6
	// ventMargin is how far round and over a room is looked at, mm: beyond, a
	// ball is out.
	ventMargin = 2.5
	// ventNeck is how much wider a room is than its way out, mm, where another
	// room ends and a passage begins.
	ventNeck = 0.3
)

// Vents finds the ways out of a hollow underside once the plate is its lid; rooms
// that have none are for Voids to tell. A room is space with the plate beneath and
// solid over it, at least 0.7 mm high and 1 mm2 wide; rooms that are joined by
// passages are parted where these are narrower by 0.3 mm.
//
// The way out of a room is that by which the largest ball gets out, and as wide
// as the ball: found from the true distances of all empty space to the solid and
// the plate, taken from the widest down until room and outside hang together (the
// widest path). It is looked at in cubes of 0.1 mm, or such that a room has no
// more than about two million; widths are right to one and a half, and what is
// under the limit by less than that is let pass. A second way is one by which a
// ball as wide as the least gets past another that is stuck in the first.
//
// It gives a NarrowVent for a room whose way out is under the least, and a NoVent
// for one that has a single way out, under what that takes. A solid underside
// costs next to nothing, and so does one with pockets for magnets.
//
// It is an error where the limits are not more than 0 and finite, and where the
// memory would pass the raster's limit (*MemoryError).
func (r *Raster) Vents(ctx context.Context, limits VentLimits) ([]VentFit, []Finding, error) {
	for _, l := range []float64{limits.Least, limits.Single} {
		if !(l > 0) || math.IsInf(l, 1) {
			return nil, nil, fmt.Errorf("a vent of %g mm: it must be more than 0", l)
		}
	}
	rooms, heights, err := r.rooms(ctx)
	if err != nil {
		return nil, nil, err
	}
	covered := newPlane(r.Size[0], r.Size[1])
	for _, g := range rooms {
		for _, s := range g.runs {
			fill(covered.row(int(s.row)), int(s.from), int(s.to))
		}
	}
	lists := make([][]VentFit, len(rooms))
	plays := make([]float64, len(rooms))
	err = workers.ForEach(ctx, len(rooms), func(_, n int) error {
		g := &rooms[n]
		if float64(g.area)*r.Pixel*r.Pixel < roomArea {
			return nil
		}
		if open, err := r.leads(ctx, g, heights); err != nil || !open {
			return err
		}
		w, err := r.cavity(ctx, g, covered, heights, max(limits.Least, limits.Single), workers.Count(len(rooms)))
		if err != nil {
			return err
		}
		plays[n] = 1.5 * w.side
		lists[n] = w.ways(limits.Least-plays[n], limits.Single-plays[n])
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	var fits []VentFit
	var found []Finding
	for n, list := range lists {
		for _, fit := range list {
			f := Finding{At: fit.At, Size: [3]float64{fit.Width, fit.Width, fit.Width}, Which: len(fits)}
			switch {
			case fit.Width < limits.Least-plays[n]:
				f.Kind, f.Value, f.Limit = NarrowVent, fit.Width, limits.Least
				found = append(found, f)
			case fit.Ways < 2 && fit.Width < limits.Single-plays[n]:
				f.Kind, f.Value, f.Limit = NoVent, float64(fit.Ways), 2
				found = append(found, f)
			}
			fits = append(fits, fit)
		}
	}
	return fits, found, nil
}

// rooms gives the regions of the plan where the plate is open to empty space with
// a roof, at least roomHeight up, and how many layers up that is for all pixels:
// 0 where there is none.
func (r *Raster) rooms(ctx context.Context) ([]region, []int32, error) {
	nx, ny, nz := r.Size[0], r.Size[1], r.Size[2]
	open := newPlane(nx, ny) // not yet under a roof
	for j := range ny {
		fill(open.row(j), 0, nx)
	}
	roofed := open.empty()
	var heights []int32
	least := int(math.Ceil(roomHeight/r.Layer - 1e-9))
	var room plane
	for k := range nz {
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		layer := r.layer(k, &room)
		for w, word := range layer.bits {
			closed := open.bits[w] & word
			if closed == 0 {
				continue
			}
			open.bits[w] &^= closed
			if k == 0 {
				continue
			}
			if k >= least {
				roofed.bits[w] |= closed
			}
			if heights == nil {
				if err := r.checkLimit(float64(r.Bytes())+roomBytes*float64(nx)*float64(ny), "the rooms of the underside"); err != nil {
					return nil, nil, err
				}
				heights = make([]int32, nx*ny)
			}
			j, i := w/layer.stride, w%layer.stride*64
			for ; closed != 0; closed &= closed - 1 {
				heights[j*nx+i+bits.TrailingZeros64(closed)] = int32(k)
			}
		}
	}
	return roofed.regions(), heights, nil
}

// roomBytes is what the search of rooms holds for a pixel of the plan: its height
// and its place in a region.
const roomBytes = 4 + 16

// leads tells whether a room goes on beyond its own box, or up through its roof.
func (r *Raster) leads(ctx context.Context, g *region, heights []int32) (bool, error) {
	top := 0
	for _, s := range g.runs {
		for i := s.from; i < s.to; i++ {
			top = max(top, int(heights[int(s.row)*r.Size[0]+int(i)]))
		}
	}
	// Walls that are not quite upright take some pixels more.
	const beyond = 4
	lo := [2]int{max(g.x0-beyond, 0), max(g.y0-beyond, 0)}
	hi := [2]int{min(g.x1+beyond, r.Size[0]), min(g.y1+beyond, r.Size[1])}
	s, err := r.crop(lo, hi, min(top+beyond, r.Size[2])).space(ctx)
	if err != nil {
		return false, err
	}
	for _, run := range g.runs {
		for _, gap := range s.row(int(run.row) - lo[1]) {
			touches := int(gap.from)+lo[0] < int(run.to) && int(run.from) < int(gap.to)+lo[0]
			if touches && s.trees.root(gap.tree) == outside {
				return true, nil
			}
		}
	}
	return false, nil
}

// crop gives the pixels lo .. hi-1 of the lowest layers, as a raster of their own.
func (r *Raster) crop(lo, hi [2]int, layers int) *Raster {
	part := newRaster(r.place(float64(lo[0]), float64(lo[1]), 0), r.Pixel, r.Layer, [3]int{hi[0] - lo[0], hi[1] - lo[1], layers}, r.limit)
	room := r.room()
	for k := range layers {
		for j := range part.Size[1] {
			for a, b := range runs(r.line(j+lo[1], k, room), r.Size[0]) {
				if a, b = max(a, lo[0]), min(b, hi[0]); a < b {
					fill(part.row(j, k), a-lo[0], b-lo[0])
				}
			}
		}
	}
	return part
}
