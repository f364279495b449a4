package main

import (
	"image"
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkLook draws all pictures of the largest base of the quay, for its files and
// for the report, once it is meshed and inspected.
func BenchmarkLook(b *testing.B) {
	s, err := openScene(b.Context(), nil, "saltmere-quay", Selection{})
	require.NoError(b, err)
	cell := 0.4
	require.NoError(b, s.settle(&Options{Setting: settingDraft, Cell: &cell}))
	set, err := s.cut([]string{"walker"})
	require.NoError(b, err)
	p := &set.pieces[0]
	m := set.inspecting()(b.Context(), p, func(float64) {})
	require.NoError(b, m.err)
	a := &artist{scene: set, size: image.Pt(1200, 900), png: true, page: true}
	var l *look
	b.ResetTimer()
	for range b.N {
		l, err = m.drawn(b.Context(), p, a)
		require.NoError(b, err)
	}
	b.StopTimer()
	var files, small int
	for _, shot := range l.shots {
		files += len(shot.png)
		small += len(shot.small.JPEG)
	}
	for _, place := range l.places {
		small += len(place.JPEG)
	}
	b.ReportMetric(float64(len(m.solid.Triangles)), "triangles")
	b.ReportMetric(float64(len(l.shots)), "pictures")
	b.ReportMetric(float64(len(l.places)), "places")
	b.ReportMetric(float64(files), "PNG-bytes")
	b.ReportMetric(float64(small), "JPEG-bytes")
	b.ReportMetric(float64(len(l.solid.Triangles)), "turned")
}
