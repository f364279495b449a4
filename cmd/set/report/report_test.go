package report

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/output"
)

// A report that is filed says where its files lie in its folder, and nothing that
// differs from one run to the next; the one that is told stays as it was.
func TestAReportIsFiledWithoutTimes(t *testing.T) {
	r := &Report{
		Bases:    []Base{{Name: "a", File: output.File{Path: "build/quay/a.stl"}, Seconds: 3}},
		Set:      &output.File{Path: "build/quay/quay.3mf"},
		Pictures: []Picture{{"a", "top", output.File{Path: "build/quay/pictures/a/top.png"}}},
	}
	f := r.Filed(filepath.Join("build", "quay"))
	require.Equal(t, "a.stl", f.Bases[0].Path)
	require.Zero(t, f.Bases[0].Seconds)
	require.Equal(t, "quay.3mf", f.Set.Path)
	require.Equal(t, "pictures/a/top.png", f.Pictures[0].Path)
	require.Equal(t, "build/quay/a.stl", r.Bases[0].Path)
	require.Equal(t, "build/quay/quay.3mf", r.Set.Path)
	require.EqualValues(t, 3, r.Bases[0].Seconds)
}
