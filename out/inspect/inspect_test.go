package inspect

import (
	"context"
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
)

// faulty is a plate of 30 x 20 x 3 with a fin of 0.4, a shelf that stands out by 3
// on a post of 1, and a square pocket of 4 x 4 x 1.5 in its underside.
func faulty() solids.Shape {
	xs := []float64{0, 3, 3.4, 13, 17, 20, 21, 24, 30}
	ys := []float64{0, 8, 9, 12, 16, 20}
	zs := []float64{0, 1.5, 3, 6, 7}
	return blocks(xs, ys, zs, func(i, j, k int) bool {
		fin, post, shelf := i == 1, i == 5 && j == 1, i >= 5 && i <= 6 && j == 1
		switch k {
		case 0:
			return !(i == 3 && j == 3)
		case 1:
			return true
		case 2:
			return fin || post
		default:
			return shelf
		}
	})
}

func usualJob() Job {
	return Job{
		Grid:     raster.Grid{Pixel: 0.1, Layer: 0.1},
		Least:    Least{WallJoined: 0.5, WallFree: 1, Pin: 0.8, Gap: 0.3, Slender: 10},
		Overhang: 1.5, Bridge: 3, Island: 0.05, Void: 0.1, Neck: 0.5, Bit: 0.02, Relief: 0.3,
		Vent: VentLimits{Least: 2, Single: 3},
	}
}

func kindsOf(found []Finding) (kinds []Kind) {
	for _, f := range found {
		kinds = append(kinds, f.Kind)
	}
	return slices.Compact(kinds)
}

func TestInspect(t *testing.T) {
	s := faulty()
	r, err := Inspect(t.Context(), s.Vertices, s.Triangles, usualJob())
	require.NoError(t, err)
	require.Equal(t, []Kind{Overhang, Bridge, LiddedVoid, ThinWall}, kindsOf(r.Findings), "%+v", r.Findings)
	for _, f := range r.Findings {
		if f.Kind == ThinWall {
			require.InDelta(t, 0.4, f.Value, 1e-5)
			require.Equal(t, 1.0, f.Limit)
		}
	}

	job := usualJob()
	job.Tilted = true
	r, err = Inspect(t.Context(), s.Vertices, s.Triangles, job)
	require.NoError(t, err)
	require.Equal(t, []Kind{ThinWall}, kindsOf(r.Findings), "on supports neither the plate nor what hangs is judged")

	job = usualJob()
	job.Pockets = []Pocket{{At: r2.Vec{X: 15, Y: 14}, Magnet: [2]float64{3.9, 1.4}, Clearance: [2]float64{0.1, 0.1}, Skin: 0.8}}
	r, err = Inspect(t.Context(), s.Vertices, s.Triangles, job)
	require.NoError(t, err)
	require.NotContains(t, kindsOf(r.Findings), LiddedVoid, "what was meant as a pocket is no trap")
}

// TestInspectToTheLattice: relief just under the least shows, and just so does not.
func TestInspectToTheLattice(t *testing.T) {
	for _, up := range []bool{false, true} {
		for depth, shallow := range map[float32]bool{0.28: true, 0.299: true, 0.3: false, 0.31: false} {
			s := slabWith(up, depth, 0.4)
			r, err := Inspect(t.Context(), s.Vertices, s.Triangles, Job{Grid: raster.Grid{Pixel: 0.05, Layer: 0.05}, Overhang: 1.5, Bridge: 3, Relief: 0.3})
			require.NoError(t, err)
			require.Equal(t, shallow, slices.Contains(kindsOf(r.Findings), ShallowRelief), "%v %g", up, depth)
		}
	}
}

func TestInspectIsTheSameForAnyWorkers(t *testing.T) {
	s := faulty()
	var first *Result
	for _, workers := range []int{1, 2, 5} {
		before := runtime.GOMAXPROCS(workers)
		r, err := Inspect(t.Context(), s.Vertices, s.Triangles, usualJob())
		runtime.GOMAXPROCS(before)
		require.NoError(t, err)
		if first == nil {
			first = r
		}
		require.Equal(t, first, r)
	}
}

func TestInspectEndsWithItsContext(t *testing.T) {
	s := solids.Rough(30, 4, 100)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Inspect(ctx, s.Vertices, s.Triangles, usualJob())
	require.ErrorIs(t, err, context.Canceled)
	ctx, cancel = context.WithTimeout(t.Context(), 30*time.Millisecond)
	defer cancel()
	_, err = Inspect(ctx, s.Vertices, s.Triangles, usualJob())
	require.ErrorIs(t, err, context.DeadlineExceeded)
}

func TestGridWithinMemory(t *testing.T) {
	g := raster.Grid{Pixel: 0.05, Layer: 0.05, Limit: 1 << 30}
	require.Equal(t, g, coarser(g, [3]float64{}, [3]float64{60, 60, 20}))
	coarse := coarser(g, [3]float64{}, [3]float64{200, 200, 20})
	require.Equal(t, raster.Grid{Pixel: 0.1, Layer: 0.1, Limit: 1 << 30}, coarse)
}
