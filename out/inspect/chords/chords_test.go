package chords

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out/inspect/solids"
)

// What lies between the surface and the features of it: points that lines start at,
// chords, and places. The sizes are those of the benchmark of Thin.
func BenchmarkChords(b *testing.B) {
	for _, size := range []struct {
		name string
		side float64
		n    int
	}{{"base of 60", 60, 400}, {"oval of 170", 136, 520}} {
		s := solids.Rough(size.side, 4, size.n)
		x := solids.Indexed(b, s)
		area := 0.0
		for i := range s.Triangles {
			area += x.Area(i)
		}
		for name, m := range map[string]Medium{
			"inside":  {Index: x, Inside: true, Least: 0.8, Wall: Wavers, Far: 2},
			"outside": {Index: x, Least: 0.3, Wall: Wavers * 0.3, Far: Wavers * 0.3},
		} {
			b.Run(size.name+", "+name, func(b *testing.B) {
				met, places := 0, 0
				for b.Loop() {
					c, err := m.chords(b.Context())
					require.NoError(b, err)
					p, err := m.places(b.Context(), c)
					require.NoError(b, err)
					met, places = len(c), len(p)
				}
				b.ReportMetric(area/m.spacing()/m.spacing()/float64(len(s.Triangles)), "points/triangle")
				b.ReportMetric(float64(met), "chords")
				b.ReportMetric(float64(places), "places")
			})
		}
	}
}
