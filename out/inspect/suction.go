package inspect

import (
	"context"
	"fmt"
)

// airPressure is that of the air, N/mm2: a full vacuum under a cup holds by it
// (101.3 kPa; references.md section 7).
const airPressure = 0.1013

// Jump is the largest change of area from one layer to the next.
type Jump struct {
	Layer  int     // that differs from the one below it
	Height float64 // of the underside of that layer, mm above the lowest layer
	By     float64 // mm2: more than 0 where it is the larger
	Share  float64 // of the larger of the two areas, 0 .. 1
}

// Suction gives the largest jump of the area between neighbouring layers above a
// height, mm over the lowest layer; the foot and its chamfer are below it.
//
// It gives a Suction, in the middle of the largest region that the layer has
// and the one below it has not, where the area grows at once by more than a share, 0
// .. 1, of the larger: then the film has to let go of much more than before, while
// it hangs on little. Where the area shrinks, as at the top of every flat base,
// there is less to let go, and no finding.
func (r *Raster) Suction(above, share float64) (Jump, []Finding, error) {
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
		if j := jumpOf(k); j.By > growth.By {
			growth = j
		}
	}
	if growth.By == 0 || growth.Share <= share {
		return jump, nil, nil
	}
	layerOf, below := r.plane(growth.Layer), r.plane(growth.Layer-1)
	added := layerOf.empty()
	for w, word := range layerOf.bits {
		added.bits[w] = word &^ below.bits[w]
	}
	regions := added.regions()
	largest := regions[0]
	for _, g := range regions {
		if g.area > largest.area {
			largest = g
		}
	}
	return jump, []Finding{{
		Kind:  Suction,
		At:    r.place(float64(largest.middleX)+0.5, float64(largest.middleY)+0.5, float64(growth.Layer)),
		Size:  [3]float64{float64(largest.x1-largest.x0) * r.Pixel, float64(largest.y1-largest.y0) * r.Pixel, r.Layer},
		Layer: growth.Layer,
		Value: growth.By,
		Limit: share * max(areas[growth.Layer], areas[growth.Layer-1]),
	}}, nil
}

// Cup is a hollow that the plate closes.
type Cup struct {
	At   [3]float64 // the middle of the longest row of pixels of it on the plate, mm
	Area float64    // of what the plate covers, mm2
	// Force is what a full vacuum in it would hold by, N: F <= 101.3 kPa x area, an
	// upper bound that is never reached.
	Force float64
}

// Cups gives a cup for each LiddedVoid that Voids gives, in the order of their
// first pixels on the plate. A solid underside costs one look at its lowest layer.
func (r *Raster) Cups(ctx context.Context) ([]Cup, error) {
	if !r.hasPits() {
		return nil, ctx.Err()
	}
	s, err := r.space(ctx)
	if err != nil {
		return nil, err
	}
	var cups []Cup
	var longest []int32
	number := map[int32]int{} // of the cup of a root
	for j := range r.Size[1] {
		for _, g := range s.row(j) {
			root := s.trees.root(g.tree)
			if root == outside {
				continue
			}
			n, ok := number[root]
			if !ok {
				n = len(cups)
				number[root] = n
				cups, longest = append(cups, Cup{}), append(longest, 0)
			}
			cups[n].Area += float64(g.to-g.from) * r.Pixel * r.Pixel
			if long := g.to - g.from; long > longest[n] {
				longest[n], cups[n].At = long, r.place(float64((g.from+g.to)/2)+0.5, float64(j)+0.5, 0)
			}
		}
	}
	for n := range cups {
		cups[n].Force = airPressure * cups[n].Area
	}
	return cups, nil
}

// hasPits tells whether layer 0 has empty pixels with no way in it to its sides.
func (r *Raster) hasPits() bool {
	nx, ny := r.Size[0], r.Size[1]
	s := &space{start: []int{0}}
	s.trees.plant() // outside
	for j := range ny {
		for a, b := range gaps(r.row(j, 0), nx) {
			g := gap{from: int32(a), to: int32(b), tree: int32(len(s.trees))}
			s.trees.plant()
			if a == 0 || b == nx || j == 0 || j == ny-1 {
				s.trees.join(g.tree, outside)
			}
			s.gaps = append(s.gaps, g)
		}
		s.start = append(s.start, len(s.gaps))
		if j > 0 {
			s.join(j-1, j)
		}
	}
	for i := range s.trees {
		if s.trees.root(int32(i)) != outside {
			return true
		}
	}
	return false
}
