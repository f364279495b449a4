package inspect

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out/inspect/solids"
)

// The two sizes that the whole inspection is timed on: a base of 60 mm, and a
// square with the triangles of an oval of 170 x 109.
func BenchmarkThin(b *testing.B) {
	for _, size := range []struct {
		name string
		side float64
		n    int
	}{{"base of 60", 60, 400}, {"oval of 170", 136, 520}} {
		s := solids.Rough(size.side, 4, size.n)
		x := solids.Indexed(b, s)
		b.Run(size.name, func(b *testing.B) {
			found := 0
			for b.Loop() {
				f, err := Thin(context.Background(), x, usual)
				require.NoError(b, err)
				found = len(f)
			}
			b.ReportMetric(float64(len(s.Triangles)), "triangles")
			b.ReportMetric(float64(found), "findings")
			b.ReportAllocs()
		})
	}
}
