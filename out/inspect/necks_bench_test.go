package inspect

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out/inspect/hanging"
	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
	"socle/out/inspect/tree"
)

// A 60 mm base at pixel and layer 0.05, with a hundred knobs that hang by a neck
// of 0.35 mm and a grid of grooves, held against 0.5 mm and 0.3 mm.
func BenchmarkNecks60(b *testing.B) {
	s := solids.Rough(60, 4, 400)
	for n := range 100 {
		x, y := float32(n%10)*6-27, float32(n/10)*6-27
		x, y = x+32, y+32 // clear of the gallery's pillars
		s = solids.Together(s,
			solids.Box([3]float32{x, y, 3}, [3]float32{x + 0.35, y + 0.35, 7}),
			solids.Box([3]float32{x - 0.3, y - 0.3, 6}, [3]float32{x + 0.7, y + 0.7, 7}),
			solids.Inward(solids.Box([3]float32{x - 0.5, y - 1.5, 3.8}, [3]float32{x + 4, y - 1.2, 9})),
		)
	}
	r, err := raster.Slice(context.Background(), s.Vertices, s.Triangles, raster.Grid{Pixel: 0.05, Layer: 0.05})
	require.NoError(b, err)
	counters := func(b *testing.B, found int) {
		b.ReportMetric(float64(r.Bytes())/8, "words")
		b.ReportMetric(float64(r.Bytes()), "raster-bytes")
		b.ReportMetric(float64(found), "found")
		b.ReportAllocs()
	}
	b.Run("erosion", func(b *testing.B) {
		for b.Loop() {
			_, err := r.Eroded(context.Background(), 0.275)
			require.NoError(b, err)
		}
		counters(b, 0)
	})
	b.Run("cores", func(b *testing.B) {
		e := solids.Eroded(b, r, 0.275)
		found := 0
		for b.Loop() {
			c, err := hanging.CoresOf(context.Background(), e)
			require.NoError(b, err)
			found = len(c.All)
		}
		counters(b, found)
	})
	b.Run("necks", func(b *testing.B) {
		found := 0
		for b.Loop() {
			f, err := Necks(context.Background(), r, nil, 0.5, 0.02)
			require.NoError(b, err)
			found = len(f)
		}
		counters(b, found)
	})
	b.Run("relief", func(b *testing.B) {
		index, err := tree.New(context.Background(), s.Vertices, s.Triangles)
		require.NoError(b, err)
		for b.Loop() {
			_, err := Relief(context.Background(), r, index, 0.3, 1)
			require.NoError(b, err)
		}
		counters(b, 0)
	})
}
