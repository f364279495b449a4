package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/parts/assembly"
)

func TestFormatsAreWhatIsWritten(t *testing.T) {
	require.NoError(t, formats(allFormats).check())
	require.True(t, formats(allFormats).solids())
	require.False(t, formats{formatPNG, formatSVG, formatHTML, formatJSON}.solids())
	require.True(t, formats{formatJSON}.report())
	require.False(t, formats{formatSTL, formatPNG}.report())
	require.ErrorContains(t, formats{formatSTL, "obj"}.check(), `"obj"`)
	require.Error(t, formats{}.check())
}

func TestPlacesWithinAFolder(t *testing.T) {
	require.Equal(t, "walker.stl", within(filepath.Join("build", "quay"), "build/quay/walker.stl"))
	require.Equal(t, "pictures/walker/top.png", within("build/quay/", "build/quay/pictures/walker/top.png"))
	require.Equal(t, "walker.stl", within(".", "walker.stl"))
}

func TestFootprintsAreCounted(t *testing.T) {
	require.Equal(t, "oval 120 x 92; 2 of round 25 mm", footprints([]assembly.Piece{
		{Footprint: "oval 120 x 92"}, {Footprint: "round 25"}, {Footprint: "round 25"},
	}))
}

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

func TestNumbersAreOfWhatHasAPlace(t *testing.T) {
	at := [3]float64{1, 2, 3}
	all := []concern{{At: &at}, {}, {At: &at}}
	number(all)
	require.Equal(t, []int{1, 0, 2}, []int{all[0].Number, all[1].Number, all[2].Number})
}
