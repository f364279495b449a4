package inspect

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"socle/out/inspect/solids"
)

// TestLargeBasesInLittleMemory: every check of a flat base of 100 x 100 x 4 mm, at
// pixels and layers of 0.05, says that it takes less than a ninth of 400 MB, as one of
// 300 mm takes less than those.
func TestLargeBasesInLittleMemory(t *testing.T) {
	s := solids.Box([3]float32{0, 0, 0}, [3]float32{100, 100, 4})
	r := solids.Sliced(t, s, 0.05, 0.05)
	r.Limit = 44e6
	_, err := Unsupported(t.Context(), r, 1.5)
	require.NoError(t, err)
	voids, err := Voids(t.Context(), r)
	require.NoError(t, err)
	x := solids.Indexed(t, s)
	_, err = Drains(t.Context(), r, x, 2, voids)
	require.NoError(t, err)
	_, _, err = Vents(t.Context(), r, VentLimits{Least: 2, Single: 3})
	require.NoError(t, err)
	_, _, err = FindSuction(r, 0.3, 0.5)
	require.NoError(t, err)
	_, err = Necks(t.Context(), r, x, 0.5, 0.02)
	require.NoError(t, err)
	_, err = Relief(t.Context(), r, x, 0.3, 1)
	require.NoError(t, err)

	// And what is allocated in all, garbage included, is a small share of what whole
	// layers of pixels would take at once for every check.
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err = Necks(t.Context(), r, x, 0.5, 0.02)
	require.NoError(t, err)
	runtime.ReadMemStats(&after)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(200<<20))
}
