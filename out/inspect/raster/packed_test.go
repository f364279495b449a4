package raster

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
	r := New([3]float64{-3, 2, 0.5}, 0.05, rapid.SampledFrom([]float64{0.05, 0.025, 0.13}).Draw(t, "layer"), size, DefaultLimit)
	odds := rapid.IntRange(1, 20).Draw(t, "odds")
	for n := range size[0] * size[1] * size[2] {
		if i := n % size[0]; rapid.IntRange(0, 20).Draw(t, "pixel") < odds {
			Fill(r.Bits[n/size[0]*r.Stride:][:r.Stride], i, i+1)
		}
	}
	return r
}

// packedOf packs a raster.
func packedOf(r *Raster) *Raster {
	p := *r
	p.Bits = nil
	for k := range r.Size[2] {
		p.packed = append(p.packed, pack(r.Plane(k)))
	}
	return &p
}

// unpacked gives all words of a raster.
func unpacked(r *Raster) (all []uint64) {
	for k := range r.Size[2] {
		all = append(all, r.Plane(k).Bits...)
	}
	return all
}

// TestPackedIsTheSame: word by word, row by row and layer by layer, joined of bands,
// and eroded.
func TestPackedIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := noise(t)
		p := packedOf(r)
		require.Equal(t, r.Bits, unpacked(p))
		room := p.NewRow()
		for k := range r.Size[2] {
			for j := range r.Size[1] {
				require.Equal(t, r.Row(j, k), p.ReadRow(j, k, room))
				for w := -1; w <= r.Stride; w++ {
					require.Equal(t, r.Word(j, k, w), p.Word(j, k, w))
				}
			}
			layer := r.Plane(k)
			at := rapid.IntRange(0, r.Size[1]).Draw(t, "cut")
			low, high := layer, layer
			low.Bits, low.Ny = layer.Bits[:at*layer.Stride], at
			high.Bits, high.Ny = layer.Bits[at*layer.Stride:], layer.Ny-at
			require.Equal(t, p.packed[k].words, joinPacked([]*packed{pack(low), pack(high)}).words)
			require.Equal(t, p.packed[k].first, joinPacked([]*packed{pack(low), pack(high)}).first)
		}
		radius := rapid.Float64Range(0, 0.4).Draw(t, "radius")
		dense, err := r.Eroded(t.Context(), radius)
		require.NoError(t, err)
		small, err := p.Eroded(t.Context(), radius)
		require.NoError(t, err)
		require.Equal(t, dense.Bits, unpacked(small))
		banded, err := p.erodedBy(t.Context(), NewBall(radius, r.Pixel, r.Layer), radius, 3)
		require.NoError(t, err)
		require.Equal(t, dense.Bits, unpacked(banded), "band by band")
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
