package inspect

import (
	"context"
	"fmt"
	"math"

	"socle/sdf/workers"
)

// eroded gives the solid eroded by a closed ball: the pixels whose
// centre is more than radius, in mm, from that of every empty one; all that is
// outside the raster is empty. It is exact, but for a pixel at the very radius, which is
// lost (within 1e-9 of it).
//
// The ball is a stack of discs and a disc a stack of runs. A row is eroded by
// every run first, 64 pixels at a time; the rows so eroded, met over a disc, are
// met over the ball. Where all within reach is solid or the pixels are empty,
// nothing of that is done. The time goes with the square of the radius, in
// pixels, where it is done.
//
// It is an error where the radius is not at least 0 and finite, and where the
// memory would pass the raster's limit (*MemoryError).
func (r *Raster) eroded(ctx context.Context, radius float64) (*Raster, error) {
	if !(radius >= 0) || math.IsInf(radius, 1) {
		return nil, fmt.Errorf("an erosion by %g mm: the radius must be at least 0 and finite", radius)
	}
	// A ball that reaches past the raster leaves nothing, however far it does.
	radius = min(radius, r.Pixel*float64(max(r.Size[0], r.Size[1]))+r.Layer*float64(r.Size[2]))
	b := newBall(radius, r.Pixel, r.Layer)
	if r.packed != nil {
		rows := bandBytes / (8 * r.stride * r.Size[2])
		return r.erodedBy(ctx, b, radius, max(rows, len(b.discs[0].half)))
	}
	// Layers are done in slabs, so that no two workers write to one layer.
	slabs := (r.Size[2] + slabLayers - 1) / slabLayers
	plane := 8 * float64(r.stride*r.Size[1])
	if err := r.checkLimit(2*float64(r.Bytes())+float64(workers.Count(slabs))*plane*float64(b.widest+2), "an erosion"); err != nil {
		return nil, err
	}
	out := newRaster(r.Origin, r.Pixel, r.Layer, r.Size, r.limit)
	room := make([]*eroder, workers.Count(slabs))
	err := workers.ForEach(ctx, slabs, func(w, n int) error {
		if room[w] == nil {
			room[w] = newEroder(r, b)
		}
		room[w].slab(ctx, out, n*slabLayers, min((n+1)*slabLayers, r.Size[2]))
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// bandBytes is about what the pixels of a band take.
const bandBytes = 8 << 20

// erodedBy erodes a packed raster, band by band of so many of its rows, each with as
// many rows more as the ball reaches.
func (r *Raster) erodedBy(ctx context.Context, b ball, radius float64, high int) (*Raster, error) {
	nx, ny, nz := r.Size[0], r.Size[1], r.Size[2]
	reach := len(b.discs[0].half)
	bands := (ny + high - 1) / high
	out := &Raster{Origin: r.Origin, Pixel: r.Pixel, Layer: r.Layer, Size: r.Size, limit: r.limit, stride: r.stride, packed: make([]*packed, nz)}
	parts := make([][]*packed, bands) // of each band, by the layer
	for n := range bands {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		from, to := n*high, min((n+1)*high, ny)
		lo, hi := max(from-reach, 0), min(to+reach, ny)
		band := newWindow(r, [3]int{0, lo, 0}, [3]int{nx, hi, nz})
		band.copyOf(r)
		eroded, err := band.eroded(ctx, radius)
		if err != nil {
			return nil, err
		}
		parts[n] = make([]*packed, nz)
		for k := range nz {
			p := eroded.plane(k)
			p.bits, p.ny = p.bits[(from-lo)*p.stride:(to-lo)*p.stride], to-from
			parts[n][k] = pack(p)
		}
	}
	for k := range nz {
		of := make([]*packed, bands)
		for n := range bands {
			of[n], parts[n][k] = parts[n][k], nil
		}
		out.packed[k] = joinPacked(of)
	}
	return out, nil
}

// slabLayers is how many layers a worker erodes at a time; for each of them, the
// layers within reach above and below are looked at again.
const slabLayers = 32

// ball is a ball as runs of pixels.
type ball struct {
	discs  []disc // the disc of the middle layer, then that of the next one up ...
	widest int    // half the longest run, its middle pixel left out
}

// disc is the runs of a disc, half of each without its middle pixel: that of the
// middle row, then that of the next one ... A run that is as long in the next
// smaller disc is in wider of that only.
type disc struct {
	half  []int
	wider []int // the rows whose run is longer than in the next smaller disc
}

// newBall gives the pixels within radius, in mm, of the middle of one.
func newBall(radius, pixel, layer float64) ball {
	square := radius*radius + 1e-9*pixel*pixel
	var b ball
	for dz := 0; ; dz++ {
		left := square - float64(dz)*layer*float64(dz)*layer
		if left < 0 {
			break
		}
		var d disc
		for dy := 0; ; dy++ {
			rest := left/(pixel*pixel) - float64(dy)*float64(dy)
			if rest < 0 {
				break
			}
			d.half = append(d.half, int(math.Sqrt(rest)))
		}
		b.discs = append(b.discs, d)
	}
	for dz := range b.discs {
		d := &b.discs[dz]
		for dy, half := range d.half {
			if dz+1 == len(b.discs) || dy >= len(b.discs[dz+1].half) || half > b.discs[dz+1].half[dy] {
				d.wider = append(d.wider, dy)
			}
		}
	}
	b.widest = b.discs[0].half[0]
	return b
}

// eroder is a worker's room.
type eroder struct {
	solid *Raster
	ball  ball
	runs  [][]uint64 // a layer eroded by a run of 2n+1 pixels, for every n
	met   []uint64   // a row met over the rows of a disc
	tiles tiling
}

// tiling tells of every tile of a layer, one word by so many rows, what it is. A
// tile that is cut short by the end of the layer is not full.
type tiling struct {
	rows, high, wide int // rows in a tile, tiles up, tiles across
	reach            int // tiles to either side within the ball's reach
	is               []content
	near             []content // of the tile and all within reach
	touched          []bool    // rows of the tile are needed in runs
}

type content uint8

const (
	mixed content = iota
	full
	void
)

func newEroder(r *Raster, b ball) *eroder {
	e := &eroder{solid: r, ball: b, runs: make([][]uint64, b.widest+1), met: make([]uint64, r.stride)}
	for n := range e.runs {
		e.runs[n] = make([]uint64, r.stride*r.Size[1])
	}
	t := &e.tiles
	t.rows = max(8, b.widest)
	t.high, t.wide = (r.Size[1]+t.rows-1)/t.rows, r.stride
	t.reach = (b.widest + 63) / 64
	n := t.high * t.wide
	t.is, t.near, t.touched = make([]content, n), make([]content, n), make([]bool, n)
	return e
}

// slab erodes the layers from .. to-1.
func (e *eroder) slab(ctx context.Context, out *Raster, from, to int) {
	r, reach := e.solid, len(e.ball.discs)-1
	for k := from; k < to; k++ {
		if k >= reach && k < r.Size[2]-reach { // else it is nearer to the outside
			copy(out.plane(k).bits, r.plane(k).bits)
		}
	}
	for k := max(from-reach, 0); k < min(to+reach, r.Size[2]); k++ {
		if ctx.Err() != nil {
			return
		}
		e.layer(out, k, from, to)
	}
}

// layer takes from the layers from .. to-1 what the empty pixels of layer k
// take.
func (e *eroder) layer(out *Raster, k, from, to int) {
	t, p := &e.tiles, e.solid.plane(k)
	t.look(p)
	for row := range t.high {
		for w := range t.wide {
			if t.touched[row*t.wide+w] {
				for j := row * t.rows; j < min((row+1)*t.rows, p.ny); j++ {
					e.runsOf(p, j, w)
				}
			}
		}
	}
	for row := range t.high {
		for w := 0; w < t.wide; w++ {
			near := t.near[row*t.wide+w]
			if near == full {
				continue
			}
			end := w + 1
			for end < t.wide && t.near[row*t.wide+end] == near {
				end++
			}
			for j := row * t.rows; j < min((row+1)*t.rows, p.ny); j++ {
				if near == void {
					e.empty(out, j, k, w, end, from, to)
				} else {
					e.row(out, j, k, w, end, from, to)
				}
			}
			w = end - 1
		}
	}
}

// look tells what the tiles of a layer are.
func (t *tiling) look(p plane) {
	for row := range t.high {
		for w := range t.wide {
			all, any := ^uint64(0), uint64(0)
			for j := row * t.rows; j < min((row+1)*t.rows, p.ny); j++ {
				all &= p.bits[j*p.stride+w]
				any |= p.bits[j*p.stride+w]
			}
			is := mixed
			if all == ^uint64(0) && (row+1)*t.rows <= p.ny {
				is = full
			} else if any == 0 {
				is = void
			}
			t.is[row*t.wide+w] = is
		}
	}
	clear(t.touched)
	for row := range t.high {
		for w := range t.wide {
			near := t.is[row*t.wide+w]
			if near == full && !t.around(row, w) {
				near = mixed
			}
			t.near[row*t.wide+w] = near
			if near != mixed {
				continue
			}
			for y := max(row-1, 0); y <= min(row+1, t.high-1); y++ {
				t.touched[y*t.wide+w] = true
			}
		}
	}
}

// around tells whether all tiles within reach are full, and none is outside.
func (t *tiling) around(row, w int) bool {
	if row < 1 || row+1 >= t.high || w < t.reach || w+t.reach >= t.wide {
		return false
	}
	for y := row - 1; y <= row+1; y++ {
		for x := w - t.reach; x <= w+t.reach; x++ {
			if t.is[y*t.wide+x] != full {
				return false
			}
		}
	}
	return true
}

// runsOf erodes one word of row j by every run.
func (e *eroder) runsOf(p plane, j, w int) {
	row, at := p.row(j), j*p.stride+w
	word := row[w]
	e.runs[0][at] = word
	for n := 1; n < len(e.runs); n++ {
		if word != 0 {
			far, s := n/64, n%64
			word &= (wordOf(row, w-far)<<s | wordOf(row, w-far-1)>>(64-s)) &
				(wordOf(row, w+far)>>s | wordOf(row, w+far+1)<<(64-s))
		}
		e.runs[n][at] = word
	}
}

func wordOf(row []uint64, w int) uint64 {
	if w < 0 || w >= len(row) {
		return 0
	}
	return row[w]
}

// empty takes the words w .. end-1 of row j from all layers within reach.
func (e *eroder) empty(out *Raster, j, k, w, end, from, to int) {
	reach := len(e.ball.discs) - 1
	for z := max(k-reach, from); z <= min(k+reach, to-1); z++ {
		clear(out.row(j, z)[w:end])
	}
}

// row takes from the words w .. end-1 of row j what layer k takes, in all layers
// within reach. The discs grow towards the middle of the ball, each a part of
// the next.
func (e *eroder) row(out *Raster, j, k, w, end, from, to int) {
	ny, stride := e.solid.Size[1], e.solid.stride
	met := e.met[w:end]
	for i := range met {
		met[i] = ^uint64(0)
	}
	for dz := len(e.ball.discs) - 1; dz >= 0; dz-- {
		d := &e.ball.discs[dz]
		if j < len(d.half)-1 || j+len(d.half) > ny {
			clear(met)
		}
		for _, dy := range d.wider {
			if j < dy || j+dy >= ny {
				continue // met is empty already
			}
			run := e.runs[d.half[dy]]
			a := run[(j-dy)*stride+w:][:len(met)]
			b := run[(j+dy)*stride+w:][:len(met)]
			for i := range met {
				met[i] &= a[i] & b[i]
			}
		}
		for _, z := range [2]int{k - dz, k + dz} {
			if z < from || z >= to {
				continue
			}
			o := out.row(j, z)[w:end]
			for i := range o {
				o[i] &= met[i]
			}
		}
	}
}
