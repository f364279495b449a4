package inspect

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// noise draws a raster of pixels that have nothing to do with each other.
func noise(t *rapid.T) *Raster {
	size := [3]int{
		rapid.OneOf(rapid.IntRange(1, 12), rapid.IntRange(60, 70)).Draw(t, "nx"), // within a word, and over its end
		rapid.IntRange(1, 7).Draw(t, "ny"), rapid.IntRange(1, 6).Draw(t, "nz"),
	}
	r := newRaster([3]float64{-3, 2, 0.5}, 0.05, rapid.SampledFrom([]float64{0.05, 0.025, 0.13}).Draw(t, "layer"), size, DefaultLimit)
	odds := rapid.IntRange(1, 20).Draw(t, "odds")
	for n := range size[0] * size[1] * size[2] {
		if i := n % size[0]; rapid.IntRange(0, 20).Draw(t, "pixel") < odds {
			fill(r.bits[n/size[0]*r.stride:][:r.stride], i, i+1)
		}
	}
	return r
}

// packedOf packs a raster.
func packedOf(r *Raster) *Raster {
	p := *r
	p.bits = nil
	for k := range r.Size[2] {
		p.packed = append(p.packed, pack(r.plane(k)))
	}
	return &p
}

// unpacked gives all words of a raster.
func unpacked(r *Raster) (all []uint64) {
	for k := range r.Size[2] {
		all = append(all, r.plane(k).bits...)
	}
	return all
}

// TestPackedIsTheSame: word by word, row by row and layer by layer, joined of bands,
// and eroded.
func TestPackedIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := noise(t)
		p := packedOf(r)
		require.Equal(t, r.bits, unpacked(p))
		room := p.room()
		for k := range r.Size[2] {
			for j := range r.Size[1] {
				require.Equal(t, r.row(j, k), p.line(j, k, room))
				for w := -1; w <= r.stride; w++ {
					require.Equal(t, r.word(j, k, w), p.word(j, k, w))
				}
			}
			layer := r.plane(k)
			at := rapid.IntRange(0, r.Size[1]).Draw(t, "cut")
			low, high := layer, layer
			low.bits, low.ny = layer.bits[:at*layer.stride], at
			high.bits, high.ny = layer.bits[at*layer.stride:], layer.ny-at
			require.Equal(t, p.packed[k].words, joinPacked([]*packed{pack(low), pack(high)}).words)
			require.Equal(t, p.packed[k].first, joinPacked([]*packed{pack(low), pack(high)}).first)
		}
		radius := rapid.Float64Range(0, 0.4).Draw(t, "radius")
		dense, err := r.eroded(t.Context(), radius)
		require.NoError(t, err)
		small, err := p.eroded(t.Context(), radius)
		require.NoError(t, err)
		require.Equal(t, dense.bits, unpacked(small))
		banded, err := p.erodedBy(t.Context(), newBall(radius, r.Pixel, r.Layer), radius, 3)
		require.NoError(t, err)
		require.Equal(t, dense.bits, unpacked(banded), "band by band")
	})
}

func TestSamplesAfterAPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := axis{
			origin: rapid.Float64Range(-100, 100).Draw(t, "origin"),
			step:   rapid.Float64Range(0.01, 3).Draw(t, "step"),
			n:      rapid.IntRange(1, 2000).Draw(t, "n"),
		}
		x := a.centre(rapid.IntRange(-3, a.n+3).Draw(t, "at"))
		if rapid.Bool().Draw(t, "beside") {
			x += rapid.Float64Range(-3, 3).Draw(t, "by")
		}
		i := a.after(x)
		require.True(t, i == 0 || a.centre(i-1) <= x)
		require.True(t, i == a.n || a.centre(i) > x)
	})
}
