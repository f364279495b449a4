package inspect

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
)

// The bench's solid is closed and as large as it should be: the waves come out
// even, more or less.
func TestRoughGround(t *testing.T) {
	r := solids.Sliced(t, solids.Rough(10, 4, 20), 0.1, 0.1)
	volume := 0.0
	for _, area := range r.Areas() {
		volume += area * 0.1
	}
	require.InEpsilon(t, 10*10*4+6*6*1+2*4*4, volume, 0.1)
}

func BenchmarkBase60(b *testing.B) {
	s := solids.Rough(60, 4, 400)
	slice := func(b *testing.B) *raster.Raster {
		r, err := raster.Slice(context.Background(), s.Vertices, s.Triangles, raster.Grid{Pixel: 0.05, Layer: 0.05})
		require.NoError(b, err)
		return r
	}
	r := slice(b)
	n := 0
	for k := range r.Size[2] {
		for j := range r.Size[1] {
			for range raster.Runs(r.Row(j, k), r.Size[0]) {
				n++
			}
		}
	}
	counters := func(b *testing.B, layers int) {
		b.ReportMetric(float64(r.Size[0]*r.Size[1]*layers), "pixels")
		b.ReportMetric(float64(n), "runs")
		b.ReportMetric(float64(r.Bytes()), "raster-bytes")
		b.ReportMetric(float64(len(s.Triangles)), "triangles")
		b.ReportAllocs()
	}
	b.Run("slice", func(b *testing.B) {
		for b.Loop() {
			slice(b)
		}
		counters(b, r.Size[2])
	})
	b.Run("unsupported", func(b *testing.B) {
		found := 0
		for b.Loop() {
			f, err := Unsupported(context.Background(), r, 0.5)
			require.NoError(b, err)
			found = len(f)
		}
		counters(b, r.Size[2])
		b.ReportMetric(float64(found), "findings")
	})
	b.Run("voids", func(b *testing.B) {
		for b.Loop() {
			_, err := Voids(context.Background(), r)
			require.NoError(b, err)
		}
		counters(b, r.Size[2])
	})
	b.Run("all of it", func(b *testing.B) {
		job := usualJob()
		job.Grid = raster.Grid{Pixel: 0.05, Layer: 0.05}
		found := 0
		for b.Loop() {
			all, err := Inspect(context.Background(), s.Vertices, s.Triangles, job)
			require.NoError(b, err)
			found = len(all.Findings)
		}
		counters(b, r.Size[2])
		b.ReportMetric(float64(found), "findings")
	})
}
