package inspect

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
)

// cellar is a room of 8 x 8 x 6 mm in a block of 12 x 12 x 9, with a slit through one
// of its walls, upright and as high as the room, or lying and as wide as it.
func cellar(slit float64, lying bool) solids.Shape {
	y, z := []float64{0, 2, 6 - slit/2, 6 + slit/2, 10, 12}, []float64{0, 1.5, 7.5, 9}
	if lying {
		y, z = []float64{0, 2, 10, 12}, []float64{0, 1.5, 4 - slit/2, 4 + slit/2, 7.5, 9}
	}
	ny, nz := len(y)-2, len(z)-2
	return blocks([]float64{0, 2, 10, 12}, y, z, func(i, j, k int) bool {
		room := i == 1 && j > 0 && j < ny && k > 0 && k < nz
		slot := i == 2 && (lying && j == 1 && k == 2 || !lying && j == 2 && k == 1)
		return !room && !slot
	})
}

func roomsOf(t *testing.T, s solids.Shape, least float64) []Finding {
	r := solids.Sliced(t, s, 0.05, 0.05)
	voids, err := Voids(t.Context(), r)
	require.NoError(t, err)
	found, err := Drains(t.Context(), r, solids.Indexed(t, s), least, voids)
	require.NoError(t, err)
	return found
}

// TestDrainsOnBothSidesOfTheLeast: a room that only a slit opens is told by the
// width of the slit, to the lattice, however the slit or the room lies.
func TestDrainsOnBothSidesOfTheLeast(t *testing.T) {
	about := r3.NewRotation(0.3, r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}))
	for _, slit := range []float64{0.2, 0.5, 1, 1.9, 1.99, 2.01, 2.3} {
		for _, lying := range []bool{false, true} {
			for name, s := range map[string]solids.Shape{"along": cellar(slit, lying), "slanting": solids.Moved(cellar(slit, lying), about.Rotate)} {
				if name == "slanting" && slit > 0.2 && slit < 1.9 {
					continue
				}
				what := fmt.Sprintf("%g %v %s", slit, lying, name)
				found := roomsOf(t, s, 2)
				if slit > 2 {
					require.Empty(t, found, what)
					continue
				}
				require.Len(t, found, 1, what)
				f := found[0]
				require.Equal(t, SlowDrain, f.Kind)
				require.InDelta(t, slit, f.Value, 0.002, what)
				require.Equal(t, 2.0, f.Limit)
				require.Equal(t, 1, f.Ways)
				require.InEpsilon(t, 8*8*6, f.Volume, 0.1, what)
				if name == "along" {
					for c, side := range []float64{8, 8, 6} {
						require.InDelta(t, side, f.Size[c], 2.5, "%s: the room and what of the slit it grew into", what)
					}
					require.InDelta(t, 11, f.At[0], 1.2, "in the slit")
				}
			}
		}
	}
}

// TestDrainsOfOtherRooms: two ways out are counted; what is open above, what is low
// and open, and a crevice are no rooms; a low room is one; a sealed one is for Voids.
func TestDrainsOfOtherRooms(t *testing.T) {
	at := []float64{0, 2, 10, 12}
	room := func(high, slit float64, ends int) solids.Shape {
		return blocks(at, []float64{0, 2, 6 - slit/2, 6 + slit/2, 10, 12}, []float64{0, 1.5, 1.5 + high, 3 + high}, func(i, j, k int) bool {
			inside := i == 1 && j > 0 && j < 4 && k == 1
			slot := j == 2 && k == 1 && (i == 2 && ends > 0 || i == 0 && ends > 1)
			return !inside && !slot
		})
	}
	for _, c := range []struct {
		what string
		s    solids.Shape
		n    int
	}{
		{"low, by a slit", room(1.5, 0.4, 1), 1},
		{"low, by a slit wider than half the least", room(1.5, 1.2, 1), 0},
		{"a crevice", room(0.6, 0.4, 1), 0},
		{"sealed", room(4, 0.4, 0), 0},
		{"by two slits", room(4, 0.4, 2), 1},
		{"open above", blocks(at, at, []float64{0, 2, 8}, func(i, j, k int) bool { return k == 0 || i != 1 || j != 1 }), 0},
		{"a bottle", blocks([]float64{0, 2, 5.5, 6.5, 10, 12}, []float64{0, 2, 5.5, 6.5, 10, 12}, []float64{0, 2, 6, 8}, func(i, j, k int) bool {
			inside := k == 1 && i > 0 && i < 4 && j > 0 && j < 4
			return !inside && !(k == 2 && i == 2 && j == 2)
		}), 1},
		{"a bridge", blocks(at, []float64{0, 4}, []float64{0, 2, 5, 6}, func(i, j, k int) bool { return k != 1 || i != 1 }), 0},
		{"a hollow underside", blocks(at, at, []float64{0, 4, 6}, func(i, j, k int) bool { return k == 1 || i != 1 || j != 1 }), 0},
	} {
		found := roomsOf(t, c.s, 2)
		require.Len(t, found, c.n, c.what)
		if c.what == "by two slits" {
			require.Equal(t, 2, found[0].Ways)
		}
		if c.what == "a bottle" {
			require.InDelta(t, 1, found[0].Value, 0.002)
			require.InDelta(t, 7, found[0].At[2], 1.3)
		}
	}
	_, err := Drains(t.Context(), solids.Sliced(t, cellar(1, false), 0.1, 0.1), nil, math.Inf(1), nil)
	require.Error(t, err)
}

// TestInspectTellsOfRooms whatever the workers, and not where nothing drains.
func TestInspectTellsOfRooms(t *testing.T) {
	s := cellar(0.5, false)
	job := usualJob()
	job.Grid = raster.Grid{Pixel: 0.05, Layer: 0.05}
	var first *Result
	for _, workers := range []int{1, 3} {
		before := runtime.GOMAXPROCS(workers)
		r, err := Inspect(t.Context(), s.Vertices, s.Triangles, job)
		runtime.GOMAXPROCS(before)
		require.NoError(t, err)
		require.Contains(t, kindsOf(r.Findings), SlowDrain)
		if first == nil {
			first = r
		}
		require.Equal(t, first, r)
	}
	require.Equal(t, "drain", SlowDrain.Check())
	i := slices.IndexFunc(first.Findings, func(f Finding) bool { return f.Kind == SlowDrain })
	require.Contains(t, first.Findings[i].Measured(), "its way out 0.50 mm wide, least 2.00")
	job.Vent = VentLimits{}
	r, err := Inspect(t.Context(), s.Vertices, s.Triangles, job)
	require.NoError(t, err)
	require.NotContains(t, kindsOf(r.Findings), SlowDrain)
}
