package inspect

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"socle/out/inspect/raster"
)

// Voids gives the empty space that is sealed from outside, the largest first:
// each SealedVoid, closed by the solid alone, and each LiddedVoid, which is
// closed once the plate covers the underside of layer 0. Space goes on through
// the faces of pixels only: where two pixels meet at an edge or a corner,
// nothing drains. A vent narrower than a pixel may therefore be no vent.
//
// It is an error where the memory would pass the raster's limit (*MemoryError).
func Voids(ctx context.Context, r *raster.Raster) ([]Finding, error) {
	space, err := spaceOf(ctx, r)
	if err != nil {
		return nil, err
	}
	return space.sealed(r)
}

// LargestJump gives the layer whose area differs most from that of the layer
// below, the lowest of equals, and by how much: more than 0 where it is the
// larger. With fewer than two layers it is 0, 0.
func LargestJump(areas []float64) (layer int, jump float64) {
	for k := 1; k < len(areas); k++ {
		if by := areas[k] - areas[k-1]; math.Abs(by) > math.Abs(jump) {
			layer, jump = k, by
		}
	}
	return layer, jump
}

// gap is the empty pixels from .. to-1 of a row, and its tree in a forest;
// those that reach the side of the raster are in the outside tree.
type gap struct{ from, to, tree int32 }

const outside = 0

// space is the empty pixels of a raster: the gaps of row j of layer k are
// gaps[start[k*ny+j]:start[k*ny+j+1]].
type space struct {
	gaps  []gap
	start []int
	trees raster.Forest
}

// What the search holds: a place for every row; for every gap itself, its tree
// and its number; and for every void itself and its finding.
const (
	spaceRowBytes  = 8
	spaceGapBytes  = 12 + 4 + 4
	spaceVoidBytes = 80 + 184
)

// spaceOf joins all empty pixels that share a face; what reaches the sides or the
// top of the raster is outside, what reaches its underside is not.
func spaceOf(ctx context.Context, r *raster.Raster) (*space, error) {
	nx, ny, nz := r.Size[0], r.Size[1], r.Size[2]
	total, err := r.Count(ctx, raster.EmptyRuns)
	if err != nil {
		return nil, err
	}
	need := float64(r.Bytes()) + spaceRowBytes*float64(ny)*float64(nz) + spaceGapBytes*float64(total)
	if err := r.CheckLimit(need, "the empty space"); err != nil {
		return nil, err
	}
	if total >= math.MaxInt32 {
		return nil, fmt.Errorf("the empty space of %d x %d pixels in %d layers has %d pieces, too many to join", nx, ny, nz, total)
	}

	s := &space{gaps: make([]gap, 0, total), start: make([]int, 1, ny*nz+1), trees: make(raster.Forest, 0, total+1)}
	s.trees.Plant() // outside
	room := r.NewRow()
	for k := range nz {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for j := range ny {
			border := j == 0 || j == ny-1 || k == nz-1
			for a, b := range raster.Gaps(r.ReadRow(j, k, room), nx) {
				g := gap{from: int32(a), to: int32(b), tree: outside}
				if a > 0 && b < nx {
					g.tree = int32(len(s.trees))
					s.trees.Plant()
					if border {
						s.trees.Join(g.tree, outside)
					}
				}
				s.gaps = append(s.gaps, g)
			}
			s.start = append(s.start, len(s.gaps))
			row := k*ny + j
			if j > 0 {
				s.join(row-1, row)
			}
			if k > 0 {
				s.join(row-ny, row)
			}
		}
	}
	return s, nil
}

func (s *space) row(n int) []gap { return s.gaps[s.start[n]:s.start[n+1]] }

// join joins the gaps of two rows that overlap.
func (s *space) join(m, n int) {
	a, b := s.row(m), s.row(n)
	for len(a) > 0 && len(b) > 0 {
		if a[0].from < b[0].to && b[0].from < a[0].to {
			s.trees.Join(a[0].tree, b[0].tree)
		}
		if a[0].to < b[0].to {
			a = a[1:]
		} else {
			b = b[1:]
		}
	}
}

// sealed gives a finding for every tree but the outside one.
func (s *space) sealed(r *raster.Raster) ([]Finding, error) {
	type void struct {
		lo, hi  [3]int // its box, hi not included
		pixels  int
		plate   int // pixels of it in layer 0
		longest int // its longest gap
		row     int // and the row of that
	}
	roots := 0
	for i, up := range s.trees {
		if int(up) == i {
			roots++
		}
	}
	need := float64(r.Bytes()) + spaceRowBytes*float64(len(s.start)) +
		spaceGapBytes*float64(len(s.gaps)) + spaceVoidBytes*float64(roots)
	if err := r.CheckLimit(need, "the sealed voids"); err != nil {
		return nil, err
	}
	voids := make([]void, 0, roots-1)
	number := make([]int32, len(s.trees)) // of the void of a root, plus 1
	ny := r.Size[1]
	for row := range len(s.start) - 1 {
		j, k := row%ny, row/ny
		for i := s.start[row]; i < s.start[row+1]; i++ {
			g := s.gaps[i]
			root := s.trees.Root(g.tree)
			if root == outside {
				continue
			}
			if number[root] == 0 {
				voids = append(voids, void{lo: r.Size, longest: i, row: row})
				number[root] = int32(len(voids))
			}
			v := &voids[number[root]-1]
			v.pixels += int(g.to - g.from)
			if k == 0 {
				v.plate += int(g.to - g.from)
			}
			for c, at := range [3][2]int{{int(g.from), int(g.to)}, {j, j + 1}, {k, k + 1}} {
				v.lo[c], v.hi[c] = min(v.lo[c], at[0]), max(v.hi[c], at[1])
			}
			if long := s.gaps[v.longest]; g.to-g.from > long.to-long.from {
				v.longest, v.row = i, row
			}
		}
	}
	slices.SortStableFunc(voids, func(a, b void) int { return cmp.Compare(b.pixels, a.pixels) })

	found := make([]Finding, len(voids))
	for n, v := range voids {
		i := (s.gaps[v.longest].from + s.gaps[v.longest].to) / 2
		j, k := v.row%ny, v.row/ny
		found[n] = Finding{
			Kind: SealedVoid,
			At:   r.Place(float64(i)+0.5, float64(j)+0.5, float64(k)+0.5),
			Size: [3]float64{
				float64(v.hi[0]-v.lo[0]) * r.Pixel,
				float64(v.hi[1]-v.lo[1]) * r.Pixel,
				float64(v.hi[2]-v.lo[2]) * r.Layer,
			},
			Layer: k,
			Value: float64(v.pixels) * r.Pixel * r.Pixel * r.Layer,
		}
		if v.lo[2] == 0 {
			found[n].Kind = LiddedVoid
			found[n].Area = float64(v.plate) * r.Pixel * r.Pixel
		}
	}
	return found, nil
}
