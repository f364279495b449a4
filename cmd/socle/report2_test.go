package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A report that is filed says where its files lie in its folder, and nothing that
// differs from one run to the next; the one that is told stays as it was.
func TestAReportIsFiledWithoutTimes(t *testing.T) {
	r := &report{
		Bases:    []baseReport{{Name: "a", fileReport: fileReport{File: "build/quay/a.stl"}, Seconds: 3}},
		Set:      &fileReport{File: "build/quay/quay.3mf"},
		Pictures: []pictureReport{{"a", "top", fileReport{File: "build/quay/pictures/a/top.png"}}},
	}
	f := r.filed(filepath.Join("build", "quay"))
	require.Equal(t, "a.stl", f.Bases[0].File)
	require.Zero(t, f.Bases[0].Seconds)
	require.Equal(t, "quay.3mf", f.Set.File)
	require.Equal(t, "pictures/a/top.png", f.Pictures[0].File)
	require.Equal(t, "build/quay/a.stl", r.Bases[0].File)
	require.Equal(t, "build/quay/quay.3mf", r.Set.File)
	require.EqualValues(t, 3, r.Bases[0].Seconds)
}
