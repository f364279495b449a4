package inspect

import (
	"context"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// way is a way through solid pixels from one core to another, each a neighbour
// of the one before by a face, an edge or a corner. Its first and last pixels
// are in the cores, the others in none.
type way struct {
	from, to int // the cores
	pixels   [][3]int
}

// wayfinder finds the widest ways; it is a worker's room.
type wayfinder struct {
	solid   *Raster
	cores   *cores
	group   []int32 // of every core
	prober  *prober
	squares []float64 // the depths that a pixel outside the cores can have, squared, mm2, ascending
	waiting []queue   // pixels that were reached, by their depth
	been    visits
}

// queue is pixels by their number, first in, first out.
type queue struct {
	pixels []int
	done   int
}

func newWayfinder(solid *Raster, c *cores, group []int32, radius float64) *wayfinder {
	f := &wayfinder{solid: solid, cores: c, group: group, prober: newProber(solid, radius+2*max(solid.Pixel, solid.Layer))}
	b := newBall(radius, solid.Pixel, solid.Layer)
	for dz := range b.discs {
		for dy, half := range b.discs[dz].half {
			for dx := range half + 1 {
				x, y, z := float64(dx)*solid.Pixel, float64(dy)*solid.Pixel, float64(dz)*solid.Layer
				f.squares = append(f.squares, float64(x*x)+float64(y*y)+float64(z*z))
			}
		}
	}
	slices.Sort(f.squares)
	f.squares = slices.CompactFunc(f.squares, func(a, b float64) bool { return math.Abs(b-a) <= 1e-9*b })
	f.waiting = make([]queue, len(f.squares))
	f.been.lay(solid.Size)
	return f
}

// adjacent is the steps from a pixel to its neighbours.
var adjacent = func() (all [][3]int) {
	for n := range 27 {
		if d := [3]int{n%3 - 1, n/3%3 - 1, n/9 - 1}; d != [3]int{} {
			all = append(all, d)
		}
	}
	return all
}()

// widest gives the way from a group of cores to any other core on which the
// least depth is the greatest. It is none where nothing leads out.
//
// It goes on from what it reached where that is deepest (Prim, Shortest
// Connection Networks and Some Generalizations, Bell System Technical Journal 36
// (1957) 1389-1401): whatever it comes to first, no other way leads to by more.
func (f *wayfinder) widest(ctx context.Context, group int32) (way, bool, error) {
	defer f.forget()
	deepest := -1
	reach := func(p [3]int, by uint8) {
		n := f.number(p)
		if f.been.at(p) != 0 {
			return
		}
		f.been.set(p, by)
		_, square := f.prober.nearest([3]int{2 * p[0], 2 * p[1], 2 * p[2]})
		rank := min(sort.SearchFloat64s(f.squares, square*(1-1e-9)), len(f.squares)-1)
		f.waiting[rank].pixels = append(f.waiting[rank].pixels, n)
		deepest = max(deepest, rank)
	}
	err := f.border(ctx, group, func(p [3]int) {
		for by, d := range adjacent {
			q := [3]int{p[0] + d[0], p[1] + d[1], p[2] + d[2]}
			if f.solid.Solid(q[0], q[1], q[2]) && !f.cores.eroded.Solid(q[0], q[1], q[2]) {
				reach(q, uint8(by+1))
			}
		}
	})
	if err != nil {
		return way{}, false, err
	}
	for n := 1; deepest >= 0; n++ {
		if n%4096 == 0 {
			if ctx.Err() != nil {
				return way{}, false, ctx.Err()
			}
			if err := f.solid.checkLimit(f.bytes(), "the way from a bit"); err != nil {
				return way{}, false, err
			}
		}
		line := &f.waiting[deepest]
		if line.done == len(line.pixels) {
			deepest--
			continue
		}
		p := f.pixel(line.pixels[line.done])
		line.done++
		for by, d := range adjacent {
			q := [3]int{p[0] + d[0], p[1] + d[1], p[2] + d[2]}
			if !f.solid.Solid(q[0], q[1], q[2]) {
				continue
			}
			if !f.cores.eroded.Solid(q[0], q[1], q[2]) {
				reach(q, uint8(by+1))
			} else if to := f.cores.at(q); f.group[to] != group {
				w := f.back(p)
				w.to, w.pixels = to, append(w.pixels, q)
				return w, true, nil
			}
		}
	}
	return way{}, false, nil
}

// border calls do for every pixel of a group's cores that has a neighbour in no
// core.
func (f *wayfinder) border(ctx context.Context, group int32, do func([3]int)) error {
	e := f.cores.eroded
	for n, c := range f.cores.all {
		if f.group[n] != group {
			continue
		}
		for k := c.lo[2]; k < c.hi[2]; k++ {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			for j := c.lo[1]; j < c.hi[1]; j++ {
				for _, run := range f.cores.row(k*e.Size[1] + j) {
					if int(run.core) == n {
						f.borderOf(run, j, k, do)
					}
				}
			}
		}
	}
	return nil
}

// borderOf calls do for the pixels of a run that have a neighbour in no core.
func (f *wayfinder) borderOf(run coreRun, j, k int, do func([3]int)) {
	e := f.cores.eroded
	for w := int(run.from) / 64; w*64 < int(run.to); w++ {
		inner := ^uint64(0)
		for n := range 9 {
			y, z := j+n%3-1, k+n/3-1
			if y < 0 || z < 0 || y >= e.Size[1] || z >= e.Size[2] {
				inner = 0
				break
			}
			word := e.word(y, z, w)
			inner &= word & (word<<1 | e.word(y, z, w-1)>>63) & (word>>1 | e.word(y, z, w+1)<<63)
		}
		for i := max(w*64, int(run.from)); i < min((w+1)*64, int(run.to)); i++ {
			if inner>>(i%64)&1 == 0 {
				do([3]int{i, j, k})
			}
		}
	}
}

// back gives the way by which a pixel was reached.
func (f *wayfinder) back(p [3]int) way {
	var w way
	for {
		w.pixels = append(w.pixels, p)
		by := f.been.at(p)
		if by == 0 {
			break
		}
		d := adjacent[by-1]
		p = [3]int{p[0] - d[0], p[1] - d[1], p[2] - d[2]}
	}
	slices.Reverse(w.pixels)
	w.from = f.cores.at(w.pixels[0])
	return w
}

// bytes is what the search takes, with those of all workers, as if they were
// alike, and the two rasters.
func (f *wayfinder) bytes() float64 {
	n := cap(f.been.bytes) + 4*len(f.been.block)
	for _, line := range f.waiting {
		n += 8 * cap(line.pixels)
	}
	return 2*float64(f.solid.Bytes()) + float64(n*workers.Count(len(f.cores.all)))
}

func (f *wayfinder) number(p [3]int) int {
	return (p[2]*f.solid.Size[1]+p[1])*f.solid.Size[0] + p[0]
}

func (f *wayfinder) pixel(n int) [3]int {
	nx, ny := f.solid.Size[0], f.solid.Size[1]
	return [3]int{n % nx, n / nx % ny, n / nx / ny}
}

// forget makes ready for another search.
func (f *wayfinder) forget() {
	f.been.clear()
	for n := range f.waiting {
		f.waiting[n] = queue{pixels: f.waiting[n].pixels[:0]}
	}
}

// neck is where a way is narrowest.
type neck struct {
	thickness float64
	middle    [3]float64 // mm
	near      []int      // the pixels of the way where it is as narrow, to a pixel
}

// besides is how far from a way its neck's middle is looked for, in half pixels,
// and alongWay how many pixels on either side tell where it leads.
const (
	besides  = 2
	alongWay = 3
)

// narrowest measures a way where it is narrowest. A pixel of it gives twice the
// distance of the nearest surface, from there or the best of the places about it
// athwart the way, on borders of pixels too.
func (f *wayfinder) narrowest(w way) neck {
	depths := make([]float64, len(w.pixels))
	least := math.Inf(1)
	for n, p := range w.pixels {
		_, square := f.prober.nearest([3]int{2 * p[0], 2 * p[1], 2 * p[2]})
		depths[n] = math.Sqrt(square)
		least = min(least, depths[n])
	}
	thick := make([]neck, len(w.pixels))
	narrow := neck{thickness: math.Inf(1)}
	step := max(f.solid.Pixel, f.solid.Layer)
	for n := range w.pixels {
		thick[n].thickness = math.Inf(1)
		if depths[n] <= least+step {
			thick[n] = f.across(w, n)
		}
		narrow.thickness = min(narrow.thickness, thick[n].thickness)
	}
	for n := range thick {
		if thick[n].thickness <= narrow.thickness+step {
			narrow.near = append(narrow.near, n)
		}
	}
	// The middle of the longest stretch that is as narrow, to half a pixel.
	longest := 0
	for n := 0; n < len(thick); {
		end := n
		for end < len(thick) && thick[end].thickness <= narrow.thickness+step/2 {
			end++
		}
		if end-n > longest {
			longest = end - n
			narrow.middle = thick[n+(end-n)/2].middle
		}
		n = max(end, n+1)
	}
	return narrow
}

// ahead gives where a way leads to at one of its pixels, unit length.
func (w way) ahead(r *Raster, n int) r3.Vec {
	before, beyond := w.pixels[max(n-alongWay, 0)], w.pixels[min(n+alongWay, len(w.pixels)-1)]
	return r3.Unit(r3.Vec{
		X: float64(beyond[0]-before[0]) * r.Pixel,
		Y: float64(beyond[1]-before[1]) * r.Pixel,
		Z: float64(beyond[2]-before[2]) * r.Layer,
	})
}

// exact measures the neck of a way again, on the mesh: where it is narrowest of
// mostNear of its pixels that are as narrow. Wider than far counts as far, mm.
func (l *link) exact(r *Raster, x *Index, far float64) {
	const mostNear = 16
	best, least := -1, math.Inf(1)
	every := (len(l.neck.near) + mostNear - 1) / mostNear
	for i := len(l.neck.near) / 2 % every; i < len(l.neck.near); i += every {
		n := l.neck.near[i]
		e, f := square(l.way.ahead(r, n))
		if width, _ := x.widestBall(r3Of(r.centre(l.way.pixels[n])), e, f, far); width < least {
			best, least = n, width
		}
	}
	width, middle := x.throat(r3Of(r.centre(l.way.pixels[best])), l.way.ahead(r, best), max(r.Pixel, r.Layer), far)
	l.neck.thickness, l.neck.middle = width, [3]float64{middle.X, middle.Y, middle.Z}
}

func r3Of(p [3]float64) r3.Vec { return r3.Vec{X: p[0], Y: p[1], Z: p[2]} }

// across measures a way at one of its pixels.
func (f *wayfinder) across(w way, n int) neck {
	r := f.solid
	p, ahead := w.pixels[n], w.ahead(r, n)
	best := neck{thickness: math.Inf(-1)}
	for z := -besides; z <= besides; z++ {
		for y := -besides; y <= besides; y++ {
			for x := -besides; x <= besides; x++ {
				off := r3.Vec{X: float64(x) / 2 * r.Pixel, Y: float64(y) / 2 * r.Pixel, Z: float64(z) / 2 * r.Layer}
				if math.Abs(r3.Dot(off, ahead)) > 0.3*min(r.Pixel, r.Layer) {
					continue
				}
				at := [3]int{2*p[0] + x, 2*p[1] + y, 2*p[2] + z}
				if t := 2 * f.toSurface(at); t > best.thickness {
					best.thickness = t
					best.middle = r.place(float64(at[0]+1)/2, float64(at[1]+1)/2, float64(at[2]+1)/2)
				}
			}
		}
	}
	return best
}

// toSurface gives the distance from a place, in half pixels, to the surface, mm.
// The surface lies before the nearest empty pixel, by half a pixel where it is
// flat along the pixels, and by less where it is curved or slanting and some
// pixel's centre lies close to it. How much of the three pixels each way around
// that pixel is solid tells: so far from its centre a plane cuts them, if it
// cuts them as it would cut a prism.
func (f *wayfinder) toSurface(at [3]int) float64 {
	const wide = 3
	r := f.solid
	empty, square := f.prober.nearest(at)
	distance := math.Sqrt(square)
	if distance == 0 || math.IsInf(distance, 1) {
		return distance
	}
	solid := 0
	for z := -wide / 2; z <= wide/2; z++ {
		for y := -wide / 2; y <= wide/2; y++ {
			for x := -wide / 2; x <= wide/2; x++ {
				if r.Solid(empty[0]+x, empty[1]+y, empty[2]+z) {
					solid++
				}
			}
		}
	}
	step := 0.0 // from one plane of pixels to the next
	for d, side := range [3]float64{r.Pixel, r.Pixel, r.Layer} {
		step = max(step, math.Abs(float64(2*empty[d]-at[d]))/2*side/distance*side)
	}
	before := (0.5 - float64(solid)/(wide*wide*wide)) * wide * step
	return distance - min(max(before, 0), step)
}

// visits remembers one byte for every pixel, in blocks that are there only once
// they are needed.
type visits struct {
	nx, ny int // blocks
	block  []int32
	used   []int   // blocks that are there
	bytes  []uint8 // of those, in their order
}

// A block is 16 pixels each way.
const (
	blockBits  = 4
	blockMask  = 1<<blockBits - 1
	blockBytes = 1 << (3 * blockBits)
)

func (v *visits) lay(size [3]int) {
	v.nx, v.ny = size[0]>>blockBits+1, size[1]>>blockBits+1
	v.block = make([]int32, v.nx*v.ny*(size[2]>>blockBits+1))
}

func (v *visits) place(p [3]int) (block, within int) {
	block = ((p[2]>>blockBits)*v.ny+p[1]>>blockBits)*v.nx + p[0]>>blockBits
	within = (p[2]&blockMask)<<(2*blockBits) | (p[1]&blockMask)<<blockBits | p[0]&blockMask
	return block, within
}

func (v *visits) at(p [3]int) uint8 {
	block, within := v.place(p)
	if n := v.block[block]; n > 0 {
		return v.bytes[int(n-1)*blockBytes+within]
	}
	return 0
}

func (v *visits) set(p [3]int, value uint8) {
	block, within := v.place(p)
	if v.block[block] == 0 {
		v.used = append(v.used, block)
		v.block[block] = int32(len(v.used))
		v.bytes = append(v.bytes, make([]uint8, blockBytes)...)
	}
	v.bytes[int(v.block[block]-1)*blockBytes+within] = value
}

func (v *visits) clear() {
	for _, block := range v.used {
		v.block[block] = 0
	}
	v.used, v.bytes = v.used[:0], v.bytes[:0]
}
