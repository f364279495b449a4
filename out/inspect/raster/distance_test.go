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

func TestDepthsAgainstEveryPair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := solids.Noise(t)
		nx, ny, nz := r.Size[0], r.Size[1], r.Size[2]
		from := rapid.IntRange(0, nz-1).Draw(t, "from")
		to := rapid.IntRange(from+1, nz).Draw(t, "to")
		reach := rapid.SampledFrom([]float64{0.05, 0.1, 0.25, 10}).Draw(t, "reach")
		d, err := solids.Depths(context.Background(), r, from, to, reach)
		require.NoError(t, err)

		var empty [][3]int
		for k := -1; k <= nz; k++ {
			for j := -1; j <= ny; j++ {
				for i := -1; i <= nx; i++ {
					if !r.Solid(i, j, k) {
						empty = append(empty, [3]int{i, j, k})
					}
				}
			}
		}
		for k := from; k < to; k++ {
			for j := range ny {
				for i := range nx {
					want := math.Inf(1)
					for _, e := range empty {
						x, y := float64(i-e[0])*r.Pixel, float64(j-e[1])*r.Pixel
						z := float64(k-e[2]) * r.Layer
						want = min(want, x*x+y*y+z*z)
					}
					if want = math.Sqrt(want); want > reach+1e-9 {
						want = math.Inf(1)
					}
					got := d.At(i, j, k)
					if math.IsInf(want, 1) {
						require.Equal(t, want, got, "pixel %d %d %d", i, j, k)
					} else {
						require.InDelta(t, want, got, 1e-6*(1+want), "pixel %d %d %d", i, j, k)
					}
				}
			}
		}
	})
}

func TestDistancesToAgainstEveryPair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := solids.Noise(t).Plane(0)
		got := make([]float64, p.Nx*p.Ny)
		raster.DistancesTo(p, got, &raster.Envelope{})
		for j := range p.Ny {
			for i := range p.Nx {
				want := math.Inf(1)
				for y := range p.Ny {
					for x := range p.Nx {
						if p.At(x, y) {
							want = min(want, float64((x-i)*(x-i)+(y-j)*(y-j)))
						}
					}
				}
				require.Equal(t, want, got[j*p.Nx+i], "pixel %d %d", i, j)
			}
		}
	})
}

// A block's middle lies as deep as half its height, and a slab of one layer says
// the same as the whole.
func TestDepthsOfABlock(t *testing.T) {
	r := solids.Sliced(t, solids.Box([3]float32{0, 0, 0}, [3]float32{4, 3, 2}), 0.1, 0.05)
	whole, err := solids.Depths(context.Background(), r, 0, r.Size[2], 5)
	require.NoError(t, err)
	deepest := 0.0
	for k := range r.Size[2] {
		slab, err := solids.Depths(context.Background(), r, k, k+1, 5)
		require.NoError(t, err)
		for j := range r.Size[1] {
			for i := range r.Size[0] {
				require.Equal(t, whole.At(i, j, k), slab.At(i, j, k))
				deepest = max(deepest, whole.At(i, j, k))
			}
		}
	}
	require.InDelta(t, 1, deepest, 0.05/2+1e-9) // half the height, within half a layer
}

func TestDepthsRefuse(t *testing.T) {
	b := solids.Box([3]float32{0, 0, 0}, [3]float32{4, 3, 2})
	r, err := raster.Slice(context.Background(), b.Vertices, b.Triangles, raster.Grid{Pixel: 0.05, Layer: 0.05, Limit: 1 << 19})
	require.NoError(t, err)
	for _, c := range []struct {
		from, to int
		reach    float64
		says     string
	}{
		{-1, 3, 1, "not among"}, {0, 41, 1, "not among"}, {3, 3, 1, "not among"},
		{0, 3, 0, "more than 0"}, {0, 3, math.NaN(), "more than 0"}, {0, 3, math.Inf(1), "finite"},
		{0, 40, 2, "more than the limit of"},
	} {
		_, err := solids.Depths(context.Background(), r, c.from, c.to, c.reach)
		require.ErrorContains(t, err, c.says)
	}
	_, err = solids.Depths(context.Background(), r, 0, 3, 0.2)
	require.NoError(t, err)
}
