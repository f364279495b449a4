package inspect

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

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
		r := randomRaster(t)
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

// TestPackedIsSmall: a flat slab of 100 mm takes an eighth of its pixels' bits.
func TestPackedIsSmall(t *testing.T) {
	r := sliced(t, box([3]float32{0, 0, 0}, [3]float32{100.01, 100.01, 2}), 0.05, 0.05)
	require.Less(t, r.Bytes(), int64(2001*2001*40/8/8))
}

// TestLargeBasesInLittleMemory: every check of a flat base of 100 x 100 x 4 mm, at
// pixels and layers of 0.05, says that it takes less than a ninth of 400 MB, as one of
// 300 mm takes less than those.
func TestLargeBasesInLittleMemory(t *testing.T) {
	s := box([3]float32{0, 0, 0}, [3]float32{100, 100, 4})
	r := sliced(t, s, 0.05, 0.05)
	r.limit = 44e6
	_, err := r.Unsupported(t.Context(), 1.5)
	require.NoError(t, err)
	voids, err := r.Voids(t.Context())
	require.NoError(t, err)
	x := indexOf(t, s)
	_, err = r.Drains(t.Context(), x, 2, voids)
	require.NoError(t, err)
	_, _, err = r.Vents(t.Context(), VentLimits{Least: 2, Single: 3})
	require.NoError(t, err)
	_, _, err = r.Suction(0.3, 0.5)
	require.NoError(t, err)
	_, err = r.Necks(t.Context(), x, 0.5, 0.02)
	require.NoError(t, err)
	_, err = r.Relief(t.Context(), x, 0.3, 1)
	require.NoError(t, err)

	// And what is allocated in all, garbage included, is a small share of what whole
	// layers of pixels would take at once for every check.
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err = r.Necks(t.Context(), x, 0.5, 0.02)
	require.NoError(t, err)
	runtime.ReadMemStats(&after)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(200<<20))
}
