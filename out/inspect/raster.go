package inspect

import (
	"context"
	"fmt"
	"iter"
	"math"
	"math/bits"

	"socle/sdf/workers"
)

// Raster is a solid as layers of pixels, one bit each. Pixel (i, j) of layer k
// covers Pixel x Pixel x Layer mm, with its lower corner at Origin plus
// (i, j, k) of these. What lies outside the raster is empty; the plate is below
// layer 0.
type Raster struct {
	Origin [3]float64 // lower corner, mm
	Pixel  float64    // side of a pixel, mm
	Layer  float64    // height of a layer, mm
	Size   [3]int     // pixels in x and in y, layers

	limit  int64 // bytes that work on the raster may take
	stride int   // words in a row
	bits   []uint64
	packed []*packed // in place of bits: layers that are only read
}

// newRaster gives an empty raster.
func newRaster(origin [3]float64, pixel, layer float64, size [3]int, limit int64) *Raster {
	stride := (size[0] + 63) / 64
	return &Raster{
		Origin: origin, Pixel: pixel, Layer: layer, Size: size,
		limit: limit, stride: stride, bits: make([]uint64, stride*size[1]*size[2]),
	}
}

// Solid tells whether a pixel is solid; outside the raster none is.
func (r *Raster) Solid(i, j, k int) bool {
	if i < 0 || j < 0 || k < 0 || i >= r.Size[0] || j >= r.Size[1] || k >= r.Size[2] {
		return false
	}
	return r.word(j, k, i/64)>>(i%64)&1 == 1
}

// Bytes is the memory that the pixels take.
func (r *Raster) Bytes() int64 {
	bytes := int64(len(r.bits)) * 8
	for _, l := range r.packed {
		bytes += l.bytes()
	}
	return bytes
}

// Areas gives the solid area of every layer, mm2.
func (r *Raster) Areas() []float64 {
	areas := make([]float64, r.Size[2])
	var room plane
	for k := range areas {
		n := 0
		for _, word := range r.layer(k, &room).bits {
			n += bits.OnesCount64(word)
		}
		areas[k] = float64(n) * r.Pixel * r.Pixel
	}
	return areas
}

// place gives the point of the raster's frame, counted in pixels and layers, in
// mm.
func (r *Raster) place(x, y, z float64) [3]float64 {
	return [3]float64{r.Origin[0] + x*r.Pixel, r.Origin[1] + y*r.Pixel, r.Origin[2] + z*r.Layer}
}

// row gives the words of a row, to be written to; of a packed raster a copy.
func (r *Raster) row(j, k int) []uint64 {
	if r.packed != nil {
		return r.line(j, k, r.room())
	}
	at := (k*r.Size[1] + j) * r.stride
	return r.bits[at : at+r.stride]
}

// plane gives layer k, sharing its bits; of a packed raster a copy.
func (r *Raster) plane(k int) plane {
	if r.packed != nil {
		return r.layer(k, &plane{})
	}
	at, n := k*r.Size[1]*r.stride, r.Size[1]*r.stride
	return plane{nx: r.Size[0], ny: r.Size[1], stride: r.stride, bits: r.bits[at : at+n]}
}

// checkLimit is an error where work needs more memory than the raster allows.
func (r *Raster) checkLimit(need float64, what string) error {
	if need <= float64(r.limit) {
		return nil
	}
	return &MemoryError{What: what, Size: r.Size, Need: need, Limit: r.limit}
}

// MemoryError says that work was not begun, since it would take too much.
type MemoryError struct {
	What  string  // the work
	Size  [3]int  // pixels in x and in y, layers
	Need  float64 // bytes
	Limit int64   // bytes
}

func (e *MemoryError) Error() string {
	const mib = 1 << 20
	return fmt.Sprintf("%s of %d x %d pixels in %d layers takes %.0f MiB, more than the limit of %.0f MiB",
		e.What, e.Size[0], e.Size[1], e.Size[2], math.Ceil(e.Need/mib), float64(e.Limit)/mib)
}

// plane is one layer of bits.
type plane struct {
	nx, ny, stride int
	bits           []uint64
}

func newPlane(nx, ny int) plane {
	stride := (nx + 63) / 64
	return plane{nx: nx, ny: ny, stride: stride, bits: make([]uint64, stride*ny)}
}

// empty gives a layer of the same size without a pixel.
func (p plane) empty() plane { return newPlane(p.nx, p.ny) }

func (p plane) row(j int) []uint64 { return p.bits[j*p.stride : (j+1)*p.stride] }

func (p plane) at(i, j int) bool { return p.row(j)[i/64]>>(i%64)&1 == 1 }

// grown gives p together with those pixels of into that can be reached from it
// in so many steps, each to one of the eight neighbours, through into alone.
func (p plane) grown(into plane, steps int) plane {
	now, next := p.empty(), p.empty()
	copy(now.bits, p.bits)
	for range steps {
		changed := false
		for j := range p.ny {
			for w := range p.stride {
				at := j*p.stride + w
				word := now.bits[at]
				if into.bits[at]&^word == 0 {
					next.bits[at] = word
					continue
				}
				for y := max(j-1, 0); y <= min(j+1, p.ny-1); y++ {
					row := now.row(y)
					around := row[w] | row[w]<<1 | row[w]>>1
					if w > 0 {
						around |= row[w-1] >> 63
					}
					if w+1 < p.stride {
						around |= row[w+1] << 63
					}
					word |= around & into.bits[at]
				}
				changed = changed || word != now.bits[at]
				next.bits[at] = word
			}
		}
		now, next = next, now
		if !changed {
			break
		}
	}
	return now
}

// fill sets the pixels a .. b-1 of a row.
func fill(row []uint64, a, b int) {
	for w := a / 64; w*64 < b; w++ {
		word := ^uint64(0)
		if from := a - w*64; from > 0 {
			word <<= from
		}
		if over := (w+1)*64 - b; over > 0 {
			word &= ^uint64(0) >> over
		}
		row[w] |= word
	}
}

// find gives the first pixel at or after from, of the n in the row, whose bit is
// set (or clear, where flip is all ones); n where there is none.
func find(row []uint64, n, from int, flip uint64) int {
	for from < n {
		if word := (row[from/64] ^ flip) >> (from % 64); word != 0 {
			return min(n, from+bits.TrailingZeros64(word))
		}
		from += 64 - from%64
	}
	return n
}

// What is turned over in the bits of a row, so that what is looked for is set.
const (
	solidRuns = uint64(0)
	emptyRuns = ^uint64(0)
)

// count gives how many runs there are in all rows.
func (r *Raster) count(ctx context.Context, flip uint64) (total int, err error) {
	counts := make([]int, r.Size[2])
	err = workers.ForEach(ctx, r.Size[2], func(_, k int) error {
		room := r.room()
		for j := range r.Size[1] {
			for range stretches(r.line(j, k, room), r.Size[0], flip) {
				counts[k]++
			}
		}
		return nil
	})
	for _, n := range counts {
		total += n
	}
	return total, err
}

// runs gives the solid runs a .. b-1 among the n pixels of a row, in order.
func runs(row []uint64, n int) iter.Seq2[int, int] { return stretches(row, n, solidRuns) }

// gaps gives the empty runs a .. b-1 among the n pixels of a row, in order.
func gaps(row []uint64, n int) iter.Seq2[int, int] { return stretches(row, n, emptyRuns) }

func stretches(row []uint64, n int, flip uint64) iter.Seq2[int, int] {
	return func(yield func(a, b int) bool) {
		for a := find(row, n, 0, flip); a < n; {
			b := find(row, n, a, ^flip)
			if !yield(a, b) {
				return
			}
			a = find(row, n, b, flip)
		}
	}
}
