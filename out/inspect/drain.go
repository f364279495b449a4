package inspect

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"socle/sdf/workers"
)

const (
	// drainCube is how finely the air is looked at for rooms, mm, where a pixel or a
	// layer is no larger; a ball as wide as the least way out is twenty of it.
	drainCube = 0.1
	// roofed is how high the air is under a roof for there to be a room, mm.
	roofed = 0.5
)

// Drains gives the rooms that resin does not get out of, once the solid is off the
// plate: each SlowDrain, the largest first. A room is air where a ball as wide as
// the least way out fits, least, in mm, and from where it does not get outside; and
// air as large as that ball where one half as wide fits and does not get out. It
// is found as a Neck is, in the air in place of the solid: the air is eroded by the
// ball, what comes apart from the outside is a room, and the widest way from it to
// the outside is measured where it is narrowest, on the mesh of the index.
//
// Value is that width: the diameter of the largest ball that gets out; 0 where it
// is less than a cube of 0.1 mm. Size and Volume are of the room, Ways is how many
// ways out there are. What is sealed, as Voids found it, is left out.
//
// Where nothing is under a roof, it costs next to nothing. It is an error where
// least is not more than 0 and finite, and where the memory would pass the
// raster's limit (*MemoryError).
func (r *Raster) Drains(ctx context.Context, index *Index, least float64, voids []Finding) ([]Finding, error) {
	if !(least > 0) || math.IsInf(least, 1) {
		return nil, fmt.Errorf("a way out of %g mm: it must be more than 0", least)
	}
	air, ok, err := r.air(ctx, least)
	if err != nil || !ok {
		return nil, err
	}
	var found []Finding
	for _, ball := range []float64{least, least / 2} {
		rooms, err := air.trapped(ctx, index, ball)
		if err != nil {
			return nil, err
		}
		for _, f := range rooms {
			known := slices.ContainsFunc(found, func(o Finding) bool { return o.holds(f.From) || f.holds(o.From) })
			sealed := slices.ContainsFunc(voids, func(v Finding) bool { return v.Kind == SealedVoid && f.holds(v.At) })
			if known || sealed || f.Volume < math.Pi/6*least*least*least {
				continue
			}
			f.Limit = least
			found = append(found, f)
		}
	}
	return found, nil
}

// holds tells whether a place is in the box of a room, whose middle is From, or
// within a cube of it.
func (f *Finding) holds(at [3]float64) bool {
	for c := range 3 {
		if math.Abs(at[c]-f.From[c]) > f.Size[c]/2+drainCube {
			return false
		}
	}
	return true
}

// covers gives the box of the columns, hi not included, that have air under a roof,
// at least roofed high; none where hi is not above lo.
func (r *Raster) covers(ctx context.Context) (lo, hi [2]int, err error) {
	lo = [2]int{r.Size[0], r.Size[1]}
	every := max(1, int(math.Floor(roofed/2/r.Layer+1e-9)))
	roof := newPlane(r.Size[0], r.Size[1])
	var room plane
	once, twice := roof.empty(), roof.empty() // under a roof where looked at last, and the last two times
	for k := r.Size[2] - 1; k >= 0; k-- {
		if ctx.Err() != nil {
			return lo, hi, ctx.Err()
		}
		layer := r.layer(k, &room)
		for w, word := range layer.bits {
			if k%every == 0 {
				open := roof.bits[w] &^ word
				if high := open & twice.bits[w]; high != 0 {
					j, i := w/layer.stride, w%layer.stride*64
					lo, hi = [2]int{min(lo[0], i), min(lo[1], j)}, [2]int{max(hi[0], min(i+64, r.Size[0])), max(hi[1], j+1)}
				}
				twice.bits[w] = open & once.bits[w]
				once.bits[w] = open
			}
			roof.bits[w] |= word
		}
	}
	return lo, hi, nil
}

// air gives the air about what is under a roof, in cubes, set about with more air as
// wide as it takes for a ball of least, mm, to pass round; false where nothing is
// under a roof. Each cube is as the pixel in its middle.
func (r *Raster) air(ctx context.Context, least float64) (*Raster, bool, error) {
	lo, hi, err := r.covers(ctx)
	if err != nil || lo[0] >= hi[0] {
		return nil, false, err
	}
	step := [3]int{max(1, int(math.Floor(drainCube/r.Pixel+1e-9)))}
	step[1], step[2] = step[0], max(1, int(math.Floor(drainCube/r.Layer+1e-9)))
	side := [3]float64{float64(step[0]) * r.Pixel, float64(step[1]) * r.Pixel, float64(step[2]) * r.Layer}
	margin := int(math.Ceil(least / r.Pixel))
	low, high := [3]int{max(lo[0]-margin, 0), max(lo[1]-margin, 0), 0}, [3]int{min(hi[0]+margin, r.Size[0]), min(hi[1]+margin, r.Size[1]), r.Size[2]}
	var size, pad [3]int
	words := 1.0
	for c := range 3 {
		pad[c] = int(math.Ceil(least/side[c])) + 3
		size[c] = (high[c]-low[c])/step[c] + 2*pad[c]
		words *= float64(size[c])
	}
	if err := r.checkLimit(float64(r.Bytes())+words/8, "the air of a solid"); err != nil {
		return nil, false, err
	}
	// The middle of a cube is that of a pixel.
	var from [3]float64
	for c := range 3 {
		from[c] = float64(low[c]+step[c]/2) + 0.5 - float64(step[c])*(float64(pad[c])+0.5)
	}
	air := newRaster(r.place(from[0], from[1], from[2]), side[0], side[2], size, r.limit)
	err = workers.ForEach(ctx, size[2], func(_, k int) error {
		z := (k-pad[2])*step[2] + step[2]/2 + low[2]
		room := r.room()
		for j := range size[1] {
			y := (j-pad[1])*step[1] + step[1]/2 + low[1]
			row := air.row(j, k)
			fill(row, 0, size[0])
			if y < low[1] || y >= high[1] || z < 0 || z >= r.Size[2] {
				continue
			}
			for a, b := range runs(r.line(y, z, room), r.Size[0]) {
				// The cubes whose middle pixel is from a on, and before b.
				a, b = max(a, low[0])-low[0]-step[0]/2, min(b, high[0])-low[0]-step[0]/2
				for i := (max(a, 0) + step[0] - 1) / step[0]; i*step[0] < b; i++ {
					at := i + pad[0]
					row[at/64] &^= 1 << (at % 64)
				}
			}
		}
		return nil
	})
	return air, true, err
}

// trapped gives the air that a ball, mm, does not get out of.
func (r *Raster) trapped(ctx context.Context, index *Index, ball float64) ([]Finding, error) {
	radius := (ball + min(r.Pixel, r.Layer)) / 2
	eroded, err := r.eroded(ctx, radius)
	if err != nil {
		return nil, err
	}
	c, err := coresOf(ctx, eroded)
	if err != nil || len(c.all) < 2 {
		return nil, err
	}
	out := int(math.Ceil(radius/r.Pixel)) + 1
	tree, err := r.hang(ctx, c, c.at([3]int{out, out, int(math.Ceil(radius/r.Layer)) + 1}), radius)
	if err != nil {
		return nil, err
	}
	bits, err := tree.bits(ctx, radius)
	if err != nil {
		return nil, err
	}
	ways := tree.ways(bits)
	if err := tree.exact(ctx, index, bits, 0, ball); err != nil {
		return nil, err
	}
	var found []Finding
	for n, bit := range bits {
		f := tree.finding(n, bit)
		if n == tree.body || f.Value >= ball-onLattice {
			continue
		}
		f.Kind, f.Ways, f.To = SlowDrain, max(ways[n], 1), [3]float64{}
		for d, side := range [3]float64{r.Pixel, r.Pixel, r.Layer} {
			f.From[d] = r.Origin[d] + float64(bit.lo[d]+bit.hi[d])/2*side
		}
		found = append(found, f)
	}
	slices.SortStableFunc(found, func(a, b Finding) int { return cmp.Compare(b.Volume, a.Volume) })
	return found, nil
}
