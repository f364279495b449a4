// Package raster holds a solid as layers of pixels at the printer's own pixel and layer
// height, a bit each: how a mesh is sliced into them, and erosion, distances, regions and
// windows.
//
// A pixel is solid where its centre, at half the height of its layer, is inside
// the mesh. Nothing is smoothed and nothing is guessed in between, so what is
// smaller than a pixel or a layer can pass unseen. Everything else is exact on
// those pixels: areas, contacts and connections are counted, and distances are
// true Euclidean distances between pixel centres.
package raster

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

	Limit  int64 // bytes that work on the raster may take
	Stride int   // words in a row
	Bits   []uint64
	packed []*packed // in place of bits: layers that are only read
}

// New gives an empty raster.
func New(origin [3]float64, pixel, layer float64, size [3]int, limit int64) *Raster {
	stride := (size[0] + 63) / 64
	return &Raster{
		Origin: origin, Pixel: pixel, Layer: layer, Size: size,
		Limit: limit, Stride: stride, Bits: make([]uint64, stride*size[1]*size[2]),
	}
}

// Solid tells whether a pixel is solid; outside the raster none is.
func (r *Raster) Solid(i, j, k int) bool {
	if i < 0 || j < 0 || k < 0 || i >= r.Size[0] || j >= r.Size[1] || k >= r.Size[2] {
		return false
	}
	return r.Word(j, k, i/64)>>(i%64)&1 == 1
}

// Bytes is the memory that the pixels take.
func (r *Raster) Bytes() int64 {
	bytes := int64(len(r.Bits)) * 8
	for _, l := range r.packed {
		bytes += l.bytes()
	}
	return bytes
}

// Areas gives the solid area of every layer, mm2.
func (r *Raster) Areas() []float64 {
	areas := make([]float64, r.Size[2])
	var room Plane
	for k := range areas {
		n := 0
		for _, word := range r.ReadPlane(k, &room).Bits {
			n += bits.OnesCount64(word)
		}
		areas[k] = float64(n) * r.Pixel * r.Pixel
	}
	return areas
}

// Place gives the point of the raster's frame, counted in pixels and layers, in
// mm.
func (r *Raster) Place(x, y, z float64) [3]float64 {
	return [3]float64{r.Origin[0] + x*r.Pixel, r.Origin[1] + y*r.Pixel, r.Origin[2] + z*r.Layer}
}

// Row gives the words of a row, to be written to; of a packed raster a copy.
func (r *Raster) Row(j, k int) []uint64 {
	if r.packed != nil {
		return r.ReadRow(j, k, r.NewRow())
	}
	at := (k*r.Size[1] + j) * r.Stride
	return r.Bits[at : at+r.Stride]
}

// Plane gives layer k, sharing its bits; of a packed raster a copy.
func (r *Raster) Plane(k int) Plane {
	if r.packed != nil {
		return r.ReadPlane(k, &Plane{})
	}
	at, n := k*r.Size[1]*r.Stride, r.Size[1]*r.Stride
	return Plane{Nx: r.Size[0], Ny: r.Size[1], Stride: r.Stride, Bits: r.Bits[at : at+n]}
}

// CheckLimit is an error where work needs more memory than the raster allows.
func (r *Raster) CheckLimit(need float64, what string) error {
	if need <= float64(r.Limit) {
		return nil
	}
	return &MemoryError{What: what, Size: r.Size, Need: need, Limit: r.Limit}
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

// Plane is one layer of bits.
type Plane struct {
	Nx, Ny, Stride int
	Bits           []uint64
}

// NewPlane gives an empty layer of so many pixels.
func NewPlane(nx, ny int) Plane {
	stride := (nx + 63) / 64
	return Plane{Nx: nx, Ny: ny, Stride: stride, Bits: make([]uint64, stride*ny)}
}

// Empty gives a layer of the same size without a pixel.
func (p Plane) Empty() Plane { return NewPlane(p.Nx, p.Ny) }

// Row gives the words of a row.
func (p Plane) Row(j int) []uint64 { return p.Bits[j*p.Stride : (j+1)*p.Stride] }

// At tells whether a pixel is solid.
func (p Plane) At(i, j int) bool { return p.Row(j)[i/64]>>(i%64)&1 == 1 }

// Grown gives p together with those pixels of into that can be reached from it
// in so many steps, each to one of the eight neighbours, through into alone.
func (p Plane) Grown(into Plane, steps int) Plane {
	now, next := p.Empty(), p.Empty()
	copy(now.Bits, p.Bits)
	for range steps {
		changed := false
		for j := range p.Ny {
			for w := range p.Stride {
				at := j*p.Stride + w
				word := now.Bits[at]
				if into.Bits[at]&^word == 0 {
					next.Bits[at] = word
					continue
				}
				for y := max(j-1, 0); y <= min(j+1, p.Ny-1); y++ {
					row := now.Row(y)
					around := row[w] | row[w]<<1 | row[w]>>1
					if w > 0 {
						around |= row[w-1] >> 63
					}
					if w+1 < p.Stride {
						around |= row[w+1] << 63
					}
					word |= around & into.Bits[at]
				}
				changed = changed || word != now.Bits[at]
				next.Bits[at] = word
			}
		}
		now, next = next, now
		if !changed {
			break
		}
	}
	return now
}

// Fill sets the pixels a .. b-1 of a row.
func Fill(row []uint64, a, b int) {
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

// Find gives the first pixel at or after from, of the n in the row, whose bit is
// set (or clear, where flip is all ones); n where there is none.
func Find(row []uint64, n, from int, flip uint64) int {
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
	SolidRuns = uint64(0)
	EmptyRuns = ^uint64(0)
)

// Count gives how many runs there are in all rows.
func (r *Raster) Count(ctx context.Context, flip uint64) (total int, err error) {
	counts := make([]int, r.Size[2])
	err = workers.ForEach(ctx, r.Size[2], func(_, k int) error {
		room := r.NewRow()
		for j := range r.Size[1] {
			for range stretches(r.ReadRow(j, k, room), r.Size[0], flip) {
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

// Runs gives the solid runs a .. b-1 among the n pixels of a row, in order.
func Runs(row []uint64, n int) iter.Seq2[int, int] { return stretches(row, n, SolidRuns) }

// Gaps gives the empty runs a .. b-1 among the n pixels of a row, in order.
func Gaps(row []uint64, n int) iter.Seq2[int, int] { return stretches(row, n, EmptyRuns) }

func stretches(row []uint64, n int, flip uint64) iter.Seq2[int, int] {
	return func(yield func(a, b int) bool) {
		for a := Find(row, n, 0, flip); a < n; {
			b := Find(row, n, a, ^flip)
			if !yield(a, b) {
				return
			}
			a = Find(row, n, b, flip)
		}
	}
}
