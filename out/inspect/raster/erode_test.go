package raster_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
)

// bulkyRaster draws solids with room for a ball: a block with holes, wide enough
// for several tiles.
func bulkyRaster(t *rapid.T) *raster.Raster {
	size := [3]int{
		rapid.IntRange(1, 270).Draw(t, "nx"),
		rapid.IntRange(1, 40).Draw(t, "ny"),
		rapid.IntRange(1, 40).Draw(t, "nz"),
	}
	layer := rapid.SampledFrom([]float64{0.05, 0.025, 0.13}).Draw(t, "layer")
	r := raster.New([3]float64{-3, 2, 0.5}, 0.05, layer, size, raster.DefaultLimit)
	for i := range r.Bits {
		row := i / r.Stride * r.Stride
		raster.Fill(r.Bits[row:row+r.Stride], 0, size[0])
	}
	for range rapid.IntRange(0, 12).Draw(t, "holes") {
		i := rapid.IntRange(0, size[0]-1).Draw(t, "i")
		j := rapid.IntRange(0, size[1]-1).Draw(t, "j")
		k := rapid.IntRange(0, size[2]-1).Draw(t, "k")
		for n := range rapid.IntRange(1, 9).Draw(t, "across") {
			if i+n < size[0] {
				r.Row(j, k)[(i+n)/64] &^= 1 << ((i + n) % 64)
			}
		}
	}
	return r
}

func TestErosionIsAThresholdOfDepth(t *testing.T) {
	kept, lost := 0, 0
	check := func(t *rapid.T, r *raster.Raster, radius float64) {
		e := solids.Eroded(t, r, radius)
		d, err := solids.Depths(context.Background(), r, 0, r.Size[2], radius+1)
		require.NoError(t, err)
		for k := range r.Size[2] {
			for j := range r.Size[1] {
				for i := range r.Size[0] {
					depth := d.At(i, j, k)
					if want := depth > radius+1e-7; want != e.Solid(i, j, k) {
						require.Equal(t, want, e.Solid(i, j, k), "pixel %d %d %d at depth %g, radius %g", i, j, k, depth, radius)
					} else if want {
						kept++
					} else if depth > 0 {
						lost++
					}
				}
			}
		}
		for n, word := range e.Bits {
			require.Zero(t, word&^r.Bits[n], "nothing is added, past the last pixel of a row either")
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		if rapid.Bool().Draw(t, "small") {
			check(t, solids.Noise(t), rapid.SampledFrom([]float64{0, 0.02, 0.05, 0.06, 0.1, 0.12}).Draw(t, "radius"))
		} else {
			check(t, bulkyRaster(t), rapid.SampledFrom([]float64{0, 0.05, 0.11, 0.25, 0.275, 0.5, 1}).Draw(t, "radius"))
		}
	})
	require.Greater(t, kept, 1000)
	require.Greater(t, lost, 1000)
}

// A ball wider than a word of pixels, and wider than a tile.
func TestErosionByAWideBall(t *testing.T) {
	r := raster.New([3]float64{}, 0.1, 0.1, [3]int{300, 145, 141}, raster.DefaultLimit)
	for k := range r.Size[2] {
		for j := range r.Size[1] {
			raster.Fill(r.Row(j, k), 0, r.Size[0])
		}
	}
	r.Row(70, 71)[200/64] &^= 1 << (200 % 64)
	e := solids.Eroded(t, r, 6.6)
	n := 0
	for k := range r.Size[2] {
		for j := range r.Size[1] {
			for i := range r.Size[0] {
				border := min(i+1, r.Size[0]-i, j+1, r.Size[1]-j, k+1, r.Size[2]-k)
				hole := (i-200)*(i-200) + (j-70)*(j-70) + (k-71)*(k-71)
				if want := border > 66 && hole > 66*66; want != e.Solid(i, j, k) {
					require.Equal(t, want, e.Solid(i, j, k), "%d %d %d", i, j, k)
				} else if want {
					n++
				}
			}
		}
	}
	require.Greater(t, n, 5000)
}

// dilated is the other half of an opening: an erosion of what is empty, in a
// raster with the ball's room all round.
func dilated(t *testing.T, r *raster.Raster, radius float64) *raster.Raster {
	t.Helper()
	room := int(radius/min(r.Pixel, r.Layer)) + 2
	across, up := (room+63)/64*64, room
	wide := raster.New(r.Origin, r.Pixel, r.Layer, [3]int{r.Size[0] + 2*across, r.Size[1] + 2*across, r.Size[2] + 2*up}, raster.DefaultLimit)
	for k := range wide.Size[2] {
		for j := range wide.Size[1] {
			raster.Fill(wide.Row(j, k), 0, wide.Size[0])
		}
	}
	for k := range r.Size[2] {
		for j := range r.Size[1] {
			for a, b := range raster.Runs(r.Row(j, k), r.Size[0]) {
				for i := a; i < b; i++ {
					wide.Row(j+across, k+up)[(i+across)/64] &^= 1 << (i % 64)
				}
			}
		}
	}
	e := solids.Eroded(t, wide, radius)
	out := raster.New(r.Origin, r.Pixel, r.Layer, r.Size, raster.DefaultLimit)
	for k := range r.Size[2] {
		for j := range r.Size[1] {
			for i := range r.Size[0] {
				if !e.Solid(i+across, j+across, k+up) {
					raster.Fill(out.Row(j, k), i, i+1)
				}
			}
		}
	}
	return out
}

func volumeOf(r *raster.Raster) float64 {
	v := 0.0
	for _, area := range r.Areas() {
		v += area * r.Layer
	}
	return v
}

// The opening of a box by a ball is the box with all edges rounded (Steiner;
// references.md, section 9), and its erosion the core; a thin fin on it goes.
func TestTheOpenedBodyAgainstClosedForms(t *testing.T) {
	// The radius ends half way between pixels, and between layers: so the faces of
	// what is left are those of the closed form, and no pixel is on the brink.
	const a, b, c, radius, pixel, layer = 6.0, 4.0, 3.0, 0.825, 0.05, 0.03
	solid := solids.Together(
		solids.Box([3]float32{0, 0, 0}, [3]float32{a, b, c}),
		solids.Box([3]float32{2, 1, c}, [3]float32{2.4, 3, c + 2}), // the fin
	)
	r := solids.Sliced(t, solid, pixel, layer)
	core := solids.Eroded(t, r, radius)
	// Its faces lie between the outermost pixels that stay and the ball's reach, a
	// half of a pixel nearer.
	x, y, z := a-2*radius+pixel, b-2*radius+pixel, c-2*radius+layer
	require.InEpsilon(t, x*y*z, volumeOf(core), 0.005)

	opened := dilated(t, core, radius)
	x, y, z = a-2*radius, b-2*radius, c-2*radius
	steiner := x*y*z + 2*radius*(x*y+y*z+z*x) + math.Pi*radius*radius*(x+y+z) + 4*math.Pi*radius*radius*radius/3
	require.InEpsilon(t, steiner, volumeOf(opened), 0.003)
	require.Greater(t, math.Abs(a*b*c-steiner), 0.02*a*b*c, "else the corners say nothing")
	all := words(r)
	for n, word := range words(opened) {
		require.Zero(t, word&^all[n], "an opening is a part of the solid")
	}
}

func TestErosionRefuses(t *testing.T) {
	r := solids.Drawn("##", "##")
	for _, radius := range []float64{-1, math.NaN(), math.Inf(1)} {
		_, err := r.Eroded(context.Background(), radius)
		require.ErrorContains(t, err, "at least 0 and finite")
	}
	e := solids.Eroded(t, r, 1e300)
	require.Zero(t, volumeOf(e))
	r.Limit = 8
	_, err := r.Eroded(context.Background(), 1)
	require.ErrorAs(t, err, new(*raster.MemoryError))
}

// words gives all words of a raster.
func words(r *raster.Raster) (all []uint64) {
	for k := range r.Size[2] {
		all = append(all, r.Plane(k).Bits...)
	}
	return all
}
