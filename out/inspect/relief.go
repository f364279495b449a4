package inspect

import (
	"context"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// Relief looks for marks on the top surface that are too shallow to show once
// they are printed: grooves, and ridges, no wider than width, in mm, and less
// deep, or high, than depth. It gives at most two findings, each ShallowRelief
// and for all such marks together: first that of the grooves, then, with Raised
// set, that of the ridges. At is the deepest place of the shallowest of them and
// Value its depth there, Length that of all of them, Which their number, and
// Size the box about all.
//
// The top surface is the highest solid pixel of every column. A groove is what a
// disc of diameter width, laid flat, does not get down to from above (a closing
// of the heights less themselves), and a ridge what it does not get up to from
// below (themselves less an opening): Serra, Image Analysis and Mathematical
// Morphology, 1982. Widths are told to a pixel.
//
// A mark is a region of such pixels that are two layers deep or more, since one
// may be the step of a slope; within width of a place that is deep enough, it is
// the side of that. Its width is its mean one, as that of a strip whose pixels lie
// as far inside it, its length its area over that, and only what is at least
// three times as long as wide, and as long as three times the width asked for,
// counts: so rivets, pores and most of the grain of stone do not. These two
// limits are our own, no source.
//
// The depth of a mark is that at its deepest pixel, from there to the nearest
// that is as high as its rim. With an index of the mesh that the raster is of,
// it is measured on the mesh, vertically, at up to 64 of the pixels that are as
// deep in layers, and the deepest counts; with none it is in whole layers.
//
// It is an error where depth or width is not more than 0 and finite, and where
// the memory would pass the raster's limit (*MemoryError).
func (r *Raster) Relief(ctx context.Context, index *Index, depth, width float64) ([]Finding, error) {
	for _, x := range []float64{depth, width} {
		if !(x > 0) || math.IsInf(x, 1) {
			return nil, fmt.Errorf("relief under %g mm deep, up to %g mm wide: both must be more than 0 and finite", depth, width)
		}
	}
	m, err := r.heights(ctx, width)
	if err != nil {
		return nil, err
	}
	var found []Finding
	for _, raised := range []bool{false, true} {
		marks, err := m.marks(ctx, raised, depth, width)
		if err != nil {
			return nil, err
		}
		if f, ok := m.shallow(marks, raised, index, depth); ok {
			found = append(found, f)
		}
	}
	return found, nil
}

// heightMap is how many layers high every column of a raster is, with a border
// as wide as the disc, all 0.
type heightMap struct {
	raster *Raster
	disc   []int // half the run of its middle row, without the middle pixel; of the next one ...
	border int
	nx, ny int
	high   []uint16
}

// What is held for every pixel of the map: its height and four planes of bits; of
// every pixel that may be of a mark its depth, how far it is from others, and a
// place for the deepest; and for every run of those itself twice, its tree and its
// region, where room may be half empty.
const (
	heightBytes    = 2 + 4.0/8
	markRunBytes   = 2*16 + 4 + 2*(96+64)
	markPixelBytes = 2 + 4 + 16
	// bandRows is how many rows of the map are smoothed at a time, and stripBytes
	// what a worker holds for each of their pixels, and for those about them: heights,
	// smoothed once, twice and along a row, and a distance.
	bandRows, stripBytes = 128, 4*4 + 8
)

// heights gives the height map, for a disc of a diameter in mm.
func (r *Raster) heights(ctx context.Context, width float64) (*heightMap, error) {
	radius := (width + r.Pixel) / 2
	radius = min(radius, r.Pixel*float64(r.Size[0]+r.Size[1]))
	m := &heightMap{raster: r, disc: newBall(radius, r.Pixel, 2*radius+1).discs[0].half}
	m.border = len(m.disc)
	m.nx, m.ny = r.Size[0]+2*m.border, r.Size[1]+2*m.border
	if r.Size[2] > math.MaxUint16 {
		return nil, fmt.Errorf("relief of %d layers: at most %d", r.Size[2], math.MaxUint16)
	}
	if err := r.checkLimit(m.bytes(), "relief"); err != nil {
		return nil, err
	}
	m.high = make([]uint16, m.nx*m.ny)
	return m, workers.ForEach(ctx, r.Size[1], func(_, j int) error {
		row := m.high[(j+m.border)*m.nx+m.border:][:r.Size[0]]
		for w := range r.stride {
			open := ^uint64(0)
			if n := r.Size[0] - w*64; n < 64 {
				open = 1<<n - 1
			}
			for k := r.Size[2] - 1; k >= 0 && open != 0; k-- {
				top := r.word(j, k, w) & open
				open &^= top
				for ; top != 0; top &= top - 1 {
					row[w*64+bits.TrailingZeros64(top)] = uint16(k + 1)
				}
			}
		}
		return nil
	})
}

// bytes is what the map takes, with its raster and the strips of all workers.
func (m *heightMap) bytes() float64 {
	strips := float64(workers.Count(m.ny)*min(m.ny, bandRows+4*m.border)) * stripBytes
	return float64(m.raster.Bytes()) + (heightBytes*float64(m.ny)+strips)*float64(m.nx)
}

// strip is some rows of a map, on their own.
type strip struct {
	*heightMap
	ny                       int
	high, once, twice, along []int32
	room                     []int32
}

// smooth gives the opening of the heights of the rows from .. to-1 where raised is
// set, else their closing, and their heights. Rows further than two discs off do
// not matter to them.
func (s *strip) smooth(from, to int, raised bool) (smooth, high []int32) {
	m := s.heightMap
	lo, hi := max(from-2*m.border, 0), min(to+2*m.border, m.ny)
	s.ny = hi - lo
	n := s.ny * m.nx
	if cap(s.high) < n {
		s.high, s.once, s.twice, s.along = make([]int32, n), make([]int32, n), make([]int32, n), make([]int32, n)
	}
	s.high, s.once, s.twice, s.along = s.high[:n], s.once[:n], s.twice[:n], s.along[:n]
	for i, h := range m.high[lo*m.nx : hi*m.nx] {
		s.high[i] = int32(h)
	}
	s.extremes(s.high, s.once, !raised)
	s.extremes(s.once, s.twice, raised)
	return s.twice[(from-lo)*m.nx : (to-lo)*m.nx], s.high[(from-lo)*m.nx : (to-lo)*m.nx]
}

// extremes gives the greatest height within the disc about every column, or the
// least; what lies beyond the strip is left out.
func (s *strip) extremes(in, out []int32, greatest bool) {
	copy(out, in)
	nx := s.nx
	for first := 0; first < len(s.disc); {
		half, last := s.disc[first], first
		for last+1 < len(s.disc) && s.disc[last+1] == half {
			last++
		}
		for j := range s.ny {
			s.room = slide(in[j*nx:(j+1)*nx], s.along[j*nx:(j+1)*nx], half, greatest, s.room)
		}
		for j := range s.ny {
			for dy := first; dy <= last; dy++ {
				for _, y := range [2]int{j - dy, j + dy} {
					if y >= 0 && y < s.ny {
						extreme(out[j*nx:(j+1)*nx], s.along[y*nx:(y+1)*nx], greatest)
					}
				}
			}
		}
		first = last + 1
	}
}

// extreme keeps the greater of two heights, or the lesser, in the first row.
func extreme(row, other []int32, greatest bool) {
	other = other[:len(row)]
	if greatest {
		for i := range row {
			row[i] = max(row[i], other[i])
		}
		return
	}
	for i := range row {
		row[i] = min(row[i], other[i])
	}
}

// slide gives the greatest or the least of up to half places to either side, by
// runs that double in length. It gives back the room that it needs.
func slide(in, out []int32, half int, greatest bool, room []int32) []int32 {
	none := int32(math.MaxInt32)
	if greatest {
		none = math.MinInt32
	}
	room = room[:0]
	for range half {
		room = append(room, none)
	}
	room = append(room, in...)
	for range half {
		room = append(room, none)
	}
	n := 1 // room[i] is of the places i .. i+n-1
	for ; 2*n <= 2*half+1; n *= 2 {
		extreme(room[:len(room)-n], room[n:], greatest)
	}
	copy(out, room[:len(in)])
	extreme(out, room[2*half+1-n:], greatest)
	return room
}

// mark is a groove or a ridge.
type mark struct {
	region
	layers  int32    // how deep it is
	deepest [][2]int // pixels of the map that are, mostDeepest at most, spread over all
	length  float64  // mm
}

// mostDeepest is at how many places a mark is measured, at most.
const mostDeepest = 64

// depths is which pixels of a map are deep, or some layers deep, and how deep the
// latter are: of every row one after the other.
type depths struct {
	deep, some plane
	by         [][]uint16
}

// depths finds the pixels that are deeper than most, in layers, and those that are
// two layers deep or more.
func (m *heightMap) depths(ctx context.Context, raised bool, most int32) (*depths, error) {
	d := &depths{deep: newPlane(m.nx, m.ny), some: newPlane(m.nx, m.ny), by: make([][]uint16, m.ny)}
	bands := (m.ny + bandRows - 1) / bandRows
	strips := make([]strip, workers.Count(bands))
	return d, workers.ForEach(ctx, bands, func(w, n int) error {
		strips[w].heightMap = m
		from, to := n*bandRows, min((n+1)*bandRows, m.ny)
		smooth, high := strips[w].smooth(from, to, raised)
		for j := from; j < to; j++ {
			deep, some := d.deep.row(j), d.some.row(j)
			for i := range m.nx {
				by := smooth[(j-from)*m.nx+i] - high[(j-from)*m.nx+i]
				if raised {
					by = -by
				}
				switch {
				case by > most:
					deep[i/64] |= 1 << (i % 64)
				case by > 1:
					some[i/64] |= 1 << (i % 64)
					d.by[j] = append(d.by[j], uint16(by))
				}
			}
		}
		return nil
	})
}

// rank is how many pixels of a row are set before one.
func rank(row []uint64, i int) int {
	n := bits.OnesCount64(row[i/64] & (1<<(i%64) - 1))
	for _, word := range row[:i/64] {
		n += bits.OnesCount64(word)
	}
	return n
}

// beside takes those pixels of p from it that are within so many pixels of one of
// another plane.
func (p plane) beside(ctx context.Context, other plane, near float64) error {
	far := int(near) + 1
	bands := (p.ny + bandRows - 1) / bandRows
	return workers.ForEach(ctx, bands, func(_, n int) error {
		from, to := n*bandRows, min((n+1)*bandRows, p.ny)
		lo, hi := max(from-far, 0), min(to+far, p.ny)
		part := plane{nx: p.nx, ny: hi - lo, stride: p.stride, bits: other.bits[lo*p.stride : hi*p.stride]}
		if !slices.ContainsFunc(part.bits, func(word uint64) bool { return word != 0 }) {
			return nil
		}
		squares := make([]float64, part.nx*part.ny)
		distancesTo(part, squares, &envelope{})
		for j := from; j < to; j++ {
			row := p.row(j)
			for a, b := range runs(slices.Clone(row), p.nx) {
				for i := a; i < b; i++ {
					if squares[(j-lo)*p.nx+i] <= near*near {
						row[i/64] &^= 1 << (i % 64)
					}
				}
			}
		}
		return nil
	})
}

// toOthers gives the squared distance, in pixels, of every set pixel to the nearest
// that is not: of every row one after the other, +Inf as MaxUint32.
func (p plane) toOthers(ctx context.Context) ([][]uint32, error) {
	away, others := make([][]uint32, p.ny), p.empty()
	for j := range away {
		for a, b := range gaps(p.row(j), p.nx) {
			fill(others.row(j), a, b)
		}
		away[j] = make([]uint32, rank(p.row(j), p.nx-1)+1)
	}
	return away, workers.ForEach(ctx, p.stride, func(_, w int) error {
		p.distances(w, others, func(i, j int, square float64) {
			away[j][rank(p.row(j), i)] = uint32(min(square, math.MaxUint32))
		})
		return nil
	})
}

// marks gives the marks that may be under depth, in mm.
func (m *heightMap) marks(ctx context.Context, raised bool, depth, width float64) ([]mark, error) {
	most := int32(min(math.Ceil(depth/m.raster.Layer), math.MaxUint16)) // what is deeper than this is deep enough
	d, err := m.depths(ctx, raised, most)
	if err != nil {
		return nil, err
	}
	some := d.some.empty()
	copy(some.bits, d.some.bits)
	if err := some.beside(ctx, d.deep, min(width/m.raster.Pixel, float64(m.nx+m.ny))); err != nil {
		return nil, err
	}

	pixels, lines := 0, 0
	for j := range m.ny {
		for a, b := range runs(some.row(j), m.nx) {
			pixels, lines = pixels+b-a, lines+1
		}
	}
	need := m.bytes() + markRunBytes*float64(lines) + markPixelBytes*float64(pixels)
	if err := m.raster.checkLimit(need, "shallow marks"); err != nil {
		return nil, err
	}
	away, err := some.toOthers(ctx)
	if err != nil {
		return nil, err
	}

	var found []mark
	var deepest [][2]int
	for _, g := range some.regions() {
		k := mark{region: g}
		sum := 0.0
		for _, s := range g.runs {
			j := int(s.row)
			squares := away[j][rank(some.row(j), int(s.from)):]
			depths := d.by[j][rank(d.some.row(j), int(s.from)):]
			for i := int(s.from); i < int(s.to); i++ {
				sum += math.Sqrt(float64(squares[i-int(s.from)]))
				if by := int32(depths[i-int(s.from)]); by > k.layers {
					k.layers, deepest = by, deepest[:0]
				} else if by < k.layers {
					continue
				}
				deepest = append(deepest, [2]int{i, j})
			}
		}
		// In a strip of an even number n of pixels the mean is (n/2 + 1) / 2; where
		// n is odd, 1/n of a pixel more comes out.
		across := max(4*sum/float64(g.area)-2, 1) * m.raster.Pixel
		k.length = float64(g.area) * m.raster.Pixel * m.raster.Pixel / across
		if k.length >= leastLength*max(across, width) {
			every := (len(deepest) + mostDeepest - 1) / mostDeepest
			for n := 0; n < len(deepest); n += every {
				k.deepest = append(k.deepest, deepest[n])
			}
			found = append(found, k)
		}
	}
	return found, nil
}

// leastLength is how often a width goes into the length of a mark.
const leastLength = 3

// shallow gives the finding for all marks that are under depth, in mm.
func (m *heightMap) shallow(marks []mark, raised bool, index *Index, depth float64) (Finding, bool) {
	r := m.raster
	f := Finding{Kind: ShallowRelief, Value: math.Inf(1), Limit: depth, Raised: raised}
	x0, y0, x1, y1 := m.nx, m.ny, 0, 0
	for _, k := range marks {
		by, at := m.measured(k, raised, index)
		if by <= r.Layer*(1+1e-9) || by >= depth-1e-9 {
			continue
		}
		f.Which++
		f.Length += k.length
		x0, y0, x1, y1 = min(x0, k.x0), min(y0, k.y0), max(x1, k.x1), max(y1, k.y1)
		if by < f.Value {
			f.Value, f.At = by, at
		}
	}
	f.Size = [3]float64{float64(x1-x0) * r.Pixel, float64(y1-y0) * r.Pixel, f.Value}
	f.Layer = min(max(int((f.At[2]-r.Origin[2])/r.Layer), 0), r.Size[2]-1)
	return f, f.Which > 0
}

// measured gives how deep a mark is, mm, and where: of the places that are as
// deep, the middle one.
func (m *heightMap) measured(k mark, raised bool, index *Index) (by float64, at [3]float64) {
	r := m.raster
	middle := k.deepest[len(k.deepest)/2]
	at = m.top(middle[0], middle[1])
	for _, p := range k.deepest {
		x, y, ok := m.rim(k.layers, raised, p[0], p[1])
		if index == nil || !ok {
			break
		}
		place := m.top(p[0], p[1])
		low, here := exactTop(index, place, r.Layer)
		high, there := exactTop(index, m.top(x, y), r.Layer)
		if deep := math.Abs(high - low); here && there && deep > by {
			by, at = deep, place
			at[2] = low
		}
	}
	if by == 0 {
		by = float64(k.layers) * r.Layer
	}
	return by, at
}

// top gives the top of a column, mm.
func (m *heightMap) top(i, j int) [3]float64 {
	r := m.raster
	return r.place(float64(i-m.border)+0.5, float64(j-m.border)+0.5, float64(m.high[j*m.nx+i]))
}

// rim gives the column nearest to one, so many layers deep, that is as high as the
// disc rests there, or as low.
func (m *heightMap) rim(by int32, raised bool, i, j int) (x, y int, ok bool) {
	level := int32(m.high[j*m.nx+i]) + by
	if raised {
		level -= 2 * by
	}
	reach := 2 * len(m.disc)
	nearest := math.MaxInt
	for v := max(j-reach, 0); v <= min(j+reach, m.ny-1); v++ {
		for u := max(i-reach, 0); u <= min(i+reach, m.nx-1); u++ {
			high := int32(m.high[v*m.nx+u])
			if raised && high > level || !raised && high < level {
				continue
			}
			if square := (u-i)*(u-i) + (v-j)*(v-j); square < nearest {
				nearest, x, y = square, u, v
			}
		}
	}
	return x, y, nearest < math.MaxInt
}

// exactTop gives how high the mesh is at the top of a column; not where that is
// over a layer off, since something is there that no layer shows.
func exactTop(index *Index, top [3]float64, layer float64) (z float64, ok bool) {
	from := r3.Vec{X: top[0], Y: top[1], Z: top[2] + layer}
	t, _, ok := index.Hit(from, r3.Vec{Z: -1}, 2*layer)
	return from.Z - t, ok
}
