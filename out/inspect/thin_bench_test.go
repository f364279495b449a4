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
			area := 0.0
			for i := range s.Triangles {
				area += x.Area(i)
			}
			inside := medium{index: x, inside: true, least: usual.WallJoined, wall: wavers * usual.WallFree, far: stout * usual.Pin}
			outside := medium{index: x, least: usual.Gap, wall: wavers * usual.Gap, far: wavers * usual.Gap}
			points, chords, places := 0.0, 0, 0
			for _, m := range []medium{inside, outside} {
				c, err := m.chords(context.Background())
				require.NoError(b, err)
				p, err := m.places(context.Background(), c)
				require.NoError(b, err)
				points += area / m.spacing() / m.spacing()
				chords += len(c)
				places += len(p)
			}
			b.ReportMetric(float64(len(s.Triangles)), "triangles")
			b.ReportMetric(points/float64(len(s.Triangles)), "points/triangle")
			b.ReportMetric(float64(chords), "chords")
			b.ReportMetric(float64(places), "places")
			b.ReportMetric(float64(found), "findings")
			b.ReportAllocs()
		})
	}
}
