package inspect

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"socle/out/inspect/hanging"
	"socle/out/inspect/raster"
	"socle/out/inspect/tree"
)

// Necks gives the bits that hang on the rest by less than least, in mm: each
// Neck, the largest bit first. Bits under smallest, in mm3, are left out.
//
// The solid is eroded by a ball of diameter least and half a pixel on either
// side. The largest piece that stays is the body; every other one is the core
// of a bit. So a pin that is joined at both ends is no neck, and what goes
// wholly, as a spike or a leaf does, is no bit: both are thin, and for the check
// of what is thin. A bit is what its core grows back to, within the ball's
// reach and two pixels, where no other core is nearer; its volume is that, and
// of all bits that hang on the rest by it, and so is its box.
//
// A bit hangs on the bit or body that it has the widest way to, at last the
// body, as in a maximum spanning tree; the neck is where that way is narrowest.
// Value is the thickness there: the diameter of the largest ball that passes.
// Where several ways hold a bit, as balusters do a rail, it is that of the
// widest, and Ways tells how many they are; a bit with more than one does not
// come off at its neck alone. A knot in a thin rod has two.
//
// With an index of the mesh that the raster is of, a neck is measured on the mesh.
// With none the faces of a box that lies along the pixels are measured to a pixel,
// or a layer, and what is round or slanting to one either way; at the edges of a
// notch it can be two too many. What is between least and a pixel more may be too
// thin for the ball, so that it is no core.
//
// At is the middle of the neck; From and To are where the way leaves the core
// that hangs and enters that it hangs on. Where a bit is joined by nothing at
// all, they are the middle of its box, and Value is 0.
//
// It is an error where least is not more than 0 and finite, where smallest is
// not at least 0, and where the memory would pass the raster's limit
// (*MemoryError).
func Necks(ctx context.Context, r *raster.Raster, index *tree.Index, least, smallest float64) ([]Finding, error) {
	if !(least > 0) || math.IsInf(least, 1) {
		return nil, fmt.Errorf("necks under %g mm: the least thickness must be more than 0 and finite", least)
	}
	if !(smallest >= 0) {
		return nil, fmt.Errorf("bits from %g mm3: the smallest volume must be at least 0", smallest)
	}
	radius := (least + min(r.Pixel, r.Layer)) / 2
	eroded, err := r.Eroded(ctx, radius)
	if err != nil {
		return nil, err
	}
	c, err := hanging.CoresOf(ctx, eroded)
	if err != nil {
		return nil, err
	}
	if len(c.All) < 2 {
		return nil, nil
	}
	hung, err := hanging.Of(ctx, r, c, c.Largest(), radius)
	if err != nil {
		return nil, err
	}
	bits, err := hung.Bits(ctx, radius)
	if err != nil {
		return nil, err
	}
	ways := hung.Ways(bits)
	if index != nil {
		if err := hung.Exact(ctx, index, bits, smallest, least); err != nil {
			return nil, err
		}
	}
	var found []Finding
	for n, bit := range bits {
		if f := neckOf(hung, n, bit); n != hung.Body && f.Value < least-tree.OnLattice && f.Volume >= smallest {
			f.Limit = least
			if f.Value > 0 {
				f.Ways = max(ways[n], 1) // ways out that meet are counted once, and may lead to what it holds
			}
			found = append(found, f)
		}
	}
	slices.SortStableFunc(found, func(a, b Finding) int { return cmp.Compare(b.Volume, a.Volume) })
	return found, nil
}

// neckOf gives the neck of a bit.
func neckOf(h *hanging.Tree, n int, bit hanging.Bit) Finding {
	r := h.Solid
	f := Finding{Kind: Neck, Volume: bit.Volume(r)}
	var middle [3]float64
	for d, side := range [3]float64{r.Pixel, r.Pixel, r.Layer} {
		f.Size[d] = float64(bit.Hi[d]-bit.Lo[d]) * side
		middle[d] = float64(bit.Lo[d]+bit.Hi[d]) / 2
	}
	f.At = r.Place(middle[0], middle[1], middle[2])
	f.From, f.To = f.At, f.At
	if l := h.On[n]; len(l.Way.Pixels) > 0 {
		f.Value, f.At = l.Neck.Thickness, l.Neck.Middle
		f.From, f.To = hanging.CentreOf(r, l.Way.Pixels[0]), hanging.CentreOf(r, l.Way.Pixels[len(l.Way.Pixels)-1])
	}
	f.Layer = min(max(int((f.At[2]-r.Origin[2])/r.Layer), 0), r.Size[2]-1)
	return f
}
