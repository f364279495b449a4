package piece

import (
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set"
	"socle/cmd/set/look"
)

// BenchmarkLook draws all pictures of the largest base of the quay, for its files and
// for the report, once it is meshed and inspected.
func BenchmarkLook(b *testing.B) {
	s, err := set.Open(b.Context(), nil, "saltmere-quay", set.Selection{})
	require.NoError(b, err)
	cell := 0.4
	require.NoError(b, s.Settle(&set.Options{Setting: set.SettingDraft, Cell: &cell}))
	set, err := s.Cut([]string{"walker"})
	require.NoError(b, err)
	p := &set.Pieces[0]
	m := inspecting(set, nil)(b.Context(), p, func(float64) {})
	require.NoError(b, m.Err)
	a := &look.Renderer{Set: set, Size: image.Pt(1200, 900), Png: true, Page: true}
	var l *look.Drawn
	b.ResetTimer()
	for range b.N {
		l, err = m.draw(b.Context(), p, a)
		require.NoError(b, err)
	}
	b.StopTimer()
	var files, small int
	for _, shot := range l.Shots {
		files += len(shot.Png)
		small += len(shot.Small.JPEG)
	}
	for _, place := range l.Places {
		small += len(place.JPEG)
	}
	b.ReportMetric(float64(len(m.Solid.Triangles)), "triangles")
	b.ReportMetric(float64(len(l.Shots)), "pictures")
	b.ReportMetric(float64(len(l.Places)), "places")
	b.ReportMetric(float64(files), "PNG-bytes")
	b.ReportMetric(float64(small), "JPEG-bytes")
	b.ReportMetric(float64(len(l.Solid.Triangles)), "turned")
}
