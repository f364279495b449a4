package inspect

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

// A 60 mm base at pixel and layer 0.05, and what a printer that asks for 0.5 mm
// makes of it.
func BenchmarkNecks60(b *testing.B) {
	s := rough(60, 4, 400)
	r, err := Slice(context.Background(), s.vertices, s.triangles, Grid{Pixel: 0.05, Layer: 0.05})
	require.NoError(b, err)
	counters := func(b *testing.B) {
		b.ReportMetric(float64(len(r.bits)), "words")
		b.ReportMetric(float64(r.Bytes()), "raster-bytes")
		b.ReportAllocs()
	}
	b.Run("erosion", func(b *testing.B) {
		for b.Loop() {
			_, err := r.eroded(context.Background(), 0.275)
			require.NoError(b, err)
		}
		counters(b)
	})
}
