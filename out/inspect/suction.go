package inspect

import (
	"fmt"
	"slices"

	"socle/out/inspect/raster"
)

// suctionWorth is how much of the largest layer a jump must be to tell: the
// film lets go of less without a tug. Common practice, no source.
const suctionWorth = 0.05

// airPressure is that of the air, N/mm2: a full vacuum under a cup holds by it
// (101.3 kPa; references.md section 7).
const airPressure = 0.1013

// Jump is the largest change of area from one layer to the next.
type Jump struct {
	Layer  int     `json:"layer"`  // that differs from the one below it
	Height float64 `json:"height"` // of the underside of that layer, mm above the lowest layer
	By     float64 `json:"by_mm2"` // mm2: more than 0 where it is the larger
	Share  float64 `json:"share"`  // of the larger of the two areas, 0 .. 1
}

// FindSuction gives the largest jump of the area between neighbouring layers above a
// height, mm over the lowest layer; the foot and its chamfer are below it.
//
// It gives a Suction, in the middle of the largest region that the layer has
// and the one below it has not, where the area grows at once by more than a share, 0
// .. 1, of the larger: then the film has to let go of much more than before, while
// it hangs on little. Where the area shrinks, as at the top of every flat base,
// there is less to let go, and no finding.
func FindSuction(r *raster.Raster, above, share float64) (Jump, []Finding, error) {
	if !(share >= 0 && share <= 1) {
		return Jump{}, nil, fmt.Errorf("a jump of %g of the area: it must be 0 to 1", share)
	}
	areas := r.Areas()
	jumpOf := func(k int) Jump {
		j := Jump{Layer: k, Height: float64(k) * r.Layer, By: areas[k] - areas[k-1]}
		if larger := max(areas[k], areas[k-1]); larger > 0 {
			j.Share = max(j.By, -j.By) / larger
		}
		return j
	}
	first := 1 // the lowest layer whose underside is above that
	for first < len(areas) && float64(first)*r.Layer < above*(1-1e-12) {
		first++
	}
	if first >= len(areas) {
		return Jump{}, nil, nil
	}
	layer, by := LargestJump(areas[first-1:])
	jump := Jump{}
	if by != 0 {
		jump = jumpOf(first - 1 + layer)
	}
	var growth Jump
	for k := first; k < len(areas); k++ {
		if j := jumpOf(k); j.By > growth.By && j.Share > share {
			growth = j
		}
	}
	if growth.By == 0 || growth.By < suctionWorth*slices.Max(areas) {
		return jump, nil, nil
	}
	layerOf, below := r.Plane(growth.Layer), r.Plane(growth.Layer-1)
	added := layerOf.Empty()
	for w, word := range layerOf.Bits {
		added.Bits[w] = word &^ below.Bits[w]
	}
	regions := added.Regions()
	largest := regions[0]
	for _, g := range regions {
		if g.Area > largest.Area {
			largest = g
		}
	}
	return jump, []Finding{{
		Kind:  Suction,
		At:    r.Place(float64(largest.MiddleX)+0.5, float64(largest.MiddleY)+0.5, float64(growth.Layer)),
		Size:  [3]float64{float64(largest.X1-largest.X0) * r.Pixel, float64(largest.Y1-largest.Y0) * r.Pixel, r.Layer},
		Layer: growth.Layer,
		Value: growth.By,
		Limit: share * max(areas[growth.Layer], areas[growth.Layer-1]),
	}}, nil
}

// MostSuction is what a full vacuum under a cup of that area, mm2, would hold by,
// N: F <= 101.3 kPa x area, an upper bound that is never reached. The area is that of
// a LiddedVoid on the plate.
func MostSuction(area float64) float64 { return airPressure * area }
