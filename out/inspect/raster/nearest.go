package raster

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// Prober gives distances from places in a solid to the nearest empty pixel, one
// by one.
type Prober struct {
	solid *Raster
	most  int             // pixels that the search goes to either side
	rows  [2][2][]nearRow // by whether y and z are on a border between pixels
}

// nearRow is a row of pixels, beside a place.
type nearRow struct {
	dy, dz int     // in half pixels and half layers
	square float64 // of the distance to the row, mm2
}

// NewProber gives distances up to reach, in mm.
func NewProber(r *Raster, reach float64) *Prober {
	p := &Prober{solid: r, most: int(reach/r.Pixel) + 1}
	up := int(reach/r.Layer) + 1
	for odd := range 4 {
		var rows []nearRow
		for z := -up; z <= up; z++ {
			for y := -p.most; y <= p.most; y++ {
				row := nearRow{dy: 2*y + odd&1, dz: 2*z + odd>>1}
				a, b := float64(row.dy)/2*r.Pixel, float64(row.dz)/2*r.Layer
				row.square = float64(a*a) + float64(b*b)
				if row.square <= reach*reach*(1+1e-9) {
					rows = append(rows, row)
				}
			}
		}
		slices.SortStableFunc(rows, func(a, b nearRow) int { return cmp.Compare(a.square, b.square) })
		p.rows[odd&1][odd>>1] = rows
	}
	return p
}

// Nearest gives the empty pixel whose centre is the nearest to a place, and the
// square of its distance, mm2; +Inf where none is within reach. The place is in
// half pixels and half layers: even ones are in the middle of a pixel, whose
// number is half of them, odd ones are on the border to the next.
func (p *Prober) Nearest(at [3]int) (empty [3]int, square float64) {
	square = math.Inf(1)
	r := p.solid
	for _, row := range p.rows[at[1]&1][at[2]&1] {
		if row.square >= square {
			break
		}
		j, k := (at[1]+row.dy)>>1, (at[2]+row.dz)>>1
		i, ok := at[0]>>1, true
		if j >= 0 && k >= 0 && j < r.Size[1] && k < r.Size[2] {
			i, ok = r.nearestGap(j, k, at[0], p.most)
		}
		if !ok {
			continue
		}
		dx := float64(2*i-at[0]) / 2 * r.Pixel
		if s := row.square + float64(dx*dx); s < square {
			empty, square = [3]int{i, j, k}, s
		}
	}
	return empty, square
}

// nearestGap gives the empty pixel of a row nearest to x, in half pixels, if one
// is within so many pixels; all beside the row is empty. Of two as near it is
// the one on the left.
func (r *Raster) nearestGap(j, k, x, most int) (i int, ok bool) {
	n := r.Size[0]
	left, right := x>>1, (x+1)>>1
	for ; left >= 0 && left < n && x-2*left <= 2*most; left-- {
		word := ^r.Word(j, k, left/64) << (63 - left%64)
		if skip := bits.LeadingZeros64(word); skip <= left%64 {
			left -= skip
			break
		}
		left -= left % 64 // the rest of this word is solid
	}
	for ; right >= 0 && right < n && 2*right-x <= 2*most; right++ {
		word := ^r.Word(j, k, right/64) >> (right % 64)
		if word != 0 {
			right = min(n, right+bits.TrailingZeros64(word))
			break
		}
		right += 63 - right%64
	}
	before, after := x-2*left, 2*right-x
	if min(before, after) > 2*most {
		return 0, false
	}
	if before <= after {
		return left, true
	}
	return right, true
}
