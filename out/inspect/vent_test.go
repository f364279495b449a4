package inspect

import (
	"context"
	"math"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
)

var drains = VentLimits{Least: 2, Single: 3}

func ventsOf(t require.TestingT, r *raster.Raster) ([]VentFit, []Finding) {
	fits, found, err := Vents(context.Background(), r, drains)
	require.NoError(t, err)
	return fits, found
}

// hollowed is a base of 18 x 14 mm with a wall of 2 mm round a hollow so high,
// under a roof of 1.5 mm, with ribs in it, and boxes taken out of all: vents.
func hollowed(high float64, ribs [][2][3]float64, out ...[2][3]float64) solids.Shape {
	cuts := [3]map[float64]bool{{-9: true, -7: true, 7: true, 9: true}, {-7: true, -5: true, 5: true, 7: true}, {0: true, high: true, high + 1.5: true}}
	for _, o := range slices.Concat(ribs, out) {
		for _, corner := range o {
			for c := range 3 {
				cuts[c][corner[c]] = true
			}
		}
	}
	var at [3][]float64
	for c, set := range cuts {
		for v := range set {
			at[c] = append(at[c], v)
		}
		slices.Sort(at[c])
	}
	within := func(p [3]float64, lo, hi [3]float64) bool {
		for c := range 3 {
			if p[c] < lo[c] || p[c] > hi[c] {
				return false
			}
		}
		return true
	}
	return ofCells(at[0], at[1], at[2], func(i, j, k int) bool {
		p := [3]float64{(at[0][i] + at[0][i+1]) / 2, (at[1][j] + at[1][j+1]) / 2, (at[2][k] + at[2][k+1]) / 2}
		if !within(p, [3]float64{-9, -7, 0}, [3]float64{9, 7, high + 1.5}) {
			return false
		}
		for _, o := range out {
			if within(p, o[0], o[1]) {
				return false
			}
		}
		for _, rib := range ribs {
			if within(p, rib[0], rib[1]) {
				return true
			}
		}
		return !within(p, [3]float64{-7, -5, 0}, [3]float64{7, 5, high})
	})
}

// east and west are open notches in the foot of the wall.
func east(wide, high float64) [2][3]float64 {
	return [2][3]float64{{6, 0.31 - wide/2, 0}, {9, 0.31 + wide/2, high}}
}

func west(wide, high float64) [2][3]float64 {
	return [2][3]float64{{-9, 0.31 - wide/2, 0}, {-6, 0.31 + wide/2, high}}
}

func TestAVentOnBothSidesOfItsLimits(t *testing.T) {
	up := func(wide float64) [2][3]float64 { // through the roof
		return [2][3]float64{{1.01 - wide/2, 0.31 - wide/2, 3}, {1.01 + wide/2, 0.31 + wide/2, 6}}
	}
	hole := func(wide, from float64) [2][3]float64 { // through the wall, over the plate
		return [2][3]float64{{6, 0.31 - wide/2, from}, {9, 0.31 + wide/2, from + wide}}
	}
	for name, c := range map[string]struct {
		high  float64
		out   [][2][3]float64
		width float64
		ways  int
		kind  Kind
	}{
		"wide enough":            {3.9, [][2][3]float64{east(3.2, 4.5)}, 3.2, 1, -1},
		"one under 3":            {3.9, [][2][3]float64{east(2.6, 3.9)}, 2.6, 1, NoVent},
		"two under 3":            {3.9, [][2][3]float64{east(2.6, 3.9), west(2.3, 4.5)}, 2.6, 2, -1},
		"the other too small":    {3.9, [][2][3]float64{east(2.6, 3.9), west(1.6, 4.5)}, 2.6, 1, NoVent},
		"just wide enough":       {3.9, [][2][3]float64{east(2.2, 4.5), west(2.2, 4.5)}, 2.2, 2, -1},
		"too narrow":             {3.9, [][2][3]float64{east(1.6, 4.5)}, 1.6, 0, NarrowVent},
		"two too narrow":         {3.9, [][2][3]float64{east(1.6, 4.5), west(1.6, 4.5)}, 1.6, 0, NarrowVent},
		"too low":                {3.9, [][2][3]float64{east(6, 1.6)}, 1.6, 0, NarrowVent},
		"a low hollow":           {1.6, [][2][3]float64{east(6, 1.6), west(6, 1.6)}, 1.6, 0, NarrowVent},
		"low but two":            {2.5, [][2][3]float64{east(3, 2.5), west(3, 2.5)}, 2.5, 2, -1},
		"low and one":            {2.5, [][2][3]float64{east(3, 2.5)}, 2.5, 1, NoVent},
		"a slot as good as two":  {2.5, [][2][3]float64{east(9, 2.5)}, 2.5, 2, -1},
		"a hole in the wall":     {3.9, [][2][3]float64{hole(3.2, 1)}, 3.2, 1, -1},
		"a small hole in it":     {3.9, [][2][3]float64{hole(1.6, 1.4)}, 1.6, 0, NarrowVent},
		"a hole in the roof":     {3.9, [][2][3]float64{up(3.2)}, 3.2, 1, -1},
		"a small hole in it too": {3.9, [][2][3]float64{up(1.6)}, 1.6, 0, NarrowVent},
	} {
		t.Run(name, func(t *testing.T) {
			fits, found := ventsOf(t, solids.Sliced(t, hollowed(c.high, nil, c.out...), 0.15, 0.15))
			require.Len(t, fits, 1)
			require.InDelta(t, c.width, fits[0].Width, 0.2)
			require.Equal(t, c.ways, fits[0].Ways)
			if c.kind < 0 {
				require.Empty(t, found)
				return
			}
			require.Len(t, found, 1)
			require.Equal(t, c.kind, found[0].Kind)
			require.Greater(t, found[0].Limit, found[0].Value)
			switch c.kind {
			case NoVent:
				require.InDelta(t, 1, found[0].Value, 0)
			case NarrowVent:
				require.InDelta(t, c.width, found[0].Value, 0.2)
			}
		})
	}
}

// Rooms parted by a rib: each has to drain, the one through the other if need be.
func TestRoomsBehindRibs(t *testing.T) {
	rib := [2][3]float64{{-1, -5, 0}, {1, 5, 4.5}}
	ribbed := func(passage float64, out ...[2][3]float64) ([]VentFit, []Finding) {
		if passage > 0 {
			out = append(out, [2][3]float64{{-1, 0.31 - passage/2, 0}, {1, 0.31 + passage/2, 4.5}})
		}
		return ventsOf(t, solids.Sliced(t, hollowed(3.9, [][2][3]float64{rib}, out...), 0.15, 0.15))
	}
	// Both vented, and no way between them: two rooms.
	fits, found := ribbed(0, east(3.3, 4.5), west(3.3, 4.5))
	require.Len(t, fits, 2)
	require.Empty(t, found)
	// The same, one too narrow.
	fits, found = ribbed(0, east(3.3, 4.5), west(1.6, 4.5))
	require.Len(t, fits, 2)
	require.Len(t, found, 1)
	require.Equal(t, NarrowVent, found[0].Kind)
	require.InDelta(t, -8, found[0].At[0], 1.2)
	require.Equal(t, 0, found[0].Which, "the western room is found first")
	// The one that is not vented is closed.
	fits, found = ribbed(0, east(3.3, 4.5))
	require.Len(t, fits, 1)
	require.Empty(t, found)
	// It drains through the other.
	fits, found = ribbed(3.3, east(3.3, 4.5))
	require.NotEmpty(t, fits)
	require.Empty(t, found)
	// It does so too slowly.
	_, found = ribbed(1.5, east(3.3, 4.5))
	require.Len(t, found, 1)
	require.Equal(t, NarrowVent, found[0].Kind)
	require.InDelta(t, 1.5, found[0].Value, 0.2)
	require.InDelta(t, 0, found[0].At[0], 1.2, "in the rib")
}

func TestWhatHasNoRoomToVent(t *testing.T) {
	for _, s := range []solids.Shape{
		solids.Box([3]float32{-15, -10, 0}, [3]float32{15, 10, 4}),
		pocketed(5.2, 2.2, 4),
		rimmed(0.4, 0.4, 1),
		hollowed(4.5, nil), // closed: Voids tells
		hollowed(0.6, nil, east(3, 0.6)),
	} {
		fits, found := ventsOf(t, solids.Sliced(t, s, 0.1, 0.1))
		require.Empty(t, fits)
		require.Empty(t, found)
	}
	require.Len(t, voids(t, solids.Sliced(t, hollowed(4.5, nil), 0.1, 0.1)), 1)
	_, _, err := Vents(context.Background(), solids.Sliced(t, hollowed(4.5, nil), 0.2, 0.2), VentLimits{Least: 2})
	require.Error(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err = Vents(ctx, solids.Sliced(t, hollowed(4.5, nil), 0.2, 0.2), drains)
	require.ErrorIs(t, err, context.Canceled)
}

func TestTheWidthOfAnyVent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wide := rapid.Float64Range(0.5, 4).Draw(t, "wide")
		high := rapid.Float64Range(0.8, 4.4).Draw(t, "high")
		s := hollowed(4.5, nil, east(wide, high))
		r, err := raster.Slice(context.Background(), s.Vertices, s.Triangles, raster.Grid{Pixel: 0.25, Layer: 0.25})
		require.NoError(t, err)
		fits, _ := ventsOf(t, r)
		require.Len(t, fits, 1)
		require.InDelta(t, min(wide, high, 4.3), fits[0].Width, 0.4)
		require.InDelta(t, 8, fits[0].At[0], 1.6, "in the wall")
		require.InDelta(t, 0.31, fits[0].At[1], wide/2)
	})
}

// What is measured is the same, whatever the number of workers.
func TestFitsWhateverTheWorkers(t *testing.T) {
	s := hollowed(3.9, [][2][3]float64{{{-1, -5, 0}, {1, 5, 3.9}}}, east(2.6, 3.9), west(1.6, 3.9))
	measure := func(workers int) (all []any) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(workers))
		ctx := context.Background()
		x, r := solids.Indexed(t, s), solids.Sliced(t, s, 0.15, 0.15)
		add := func(err error, more ...any) {
			require.NoError(t, err)
			all = append(all, more...)
		}
		vents, found, err := Vents(ctx, r, drains)
		add(err, vents, found)
		foot, found, err := Foot(ctx, x, 0.4)
		add(err, foot, found)
		slab, found, err := FindBow(ctx, x, 6, 10)
		add(err, slab, found)
		flat, found, ok, err := Flattest(ctx, x, 8, -1)
		add(err, flat, found, ok)
		pads, found, err := Pads(ctx, x, []Pad{{Round: 8, Top: 5, Clear: 20}, {At: r2.Vec{X: 2}, Round: 6, Top: 5.4, Clear: 20}})
		add(err, pads, found)
		fits, found, err := Pockets(ctx, x, []Pocket{magnet5x2, {At: r2.Vec{X: 3}, Magnet: [2]float64{4, 2}, Skin: 3}})
		add(err, fits, found)
		risers, found, err := Flights(ctx, x, []Flight{treadsAt([]float64{5, 5.4}, 0)}, 0.1)
		add(err, risers, found)
		return all
	}
	one := measure(1)
	require.NotEmpty(t, one)
	require.Equal(t, one, measure(2))
	require.Equal(t, one, measure(5))
}

// Work ends when it is told to.
func TestFitsEndWithTheirContext(t *testing.T) {
	x := solids.Indexed(t, hollowed(4.5, nil))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err := Foot(ctx, x, 0.4)
	require.ErrorIs(t, err, context.Canceled)
	_, _, err = FindBow(ctx, x, 2, 60)
	require.ErrorIs(t, err, context.Canceled)
	_, _, err = Pads(ctx, x, []Pad{{Round: 8, Top: 5, Clear: 20}})
	require.ErrorIs(t, err, context.Canceled)
	_, _, err = Pockets(ctx, x, []Pocket{magnet5x2})
	require.ErrorIs(t, err, context.Canceled)
	_, _, err = Flights(ctx, x, []Flight{treadsAt([]float64{5, 5.4}, 0)}, 0.1)
	require.ErrorIs(t, err, context.Canceled)
}

func TestWhatCannotBeMeasured(t *testing.T) {
	ctx := context.Background()
	s := hollowed(2.5, nil, east(3, 2.5))
	x := solids.Indexed(t, s)
	for _, p := range []Pocket{
		{}, {Magnet: [2]float64{math.Inf(1), 2}}, {Magnet: [2]float64{5, math.NaN()}}, {At: r2.Vec{X: math.Inf(1)}, Magnet: [2]float64{5, 2}},
	} {
		_, _, err := Pockets(ctx, x, []Pocket{magnet5x2, p})
		require.Error(t, err)
	}
	for _, p := range []Pad{{}, {Round: math.Inf(1)}, {Round: 5, At: r2.Vec{Y: math.NaN()}}, {Round: 5, Top: math.NaN()}, {Round: 5, Clear: -1}} {
		_, _, err := Pads(ctx, x, []Pad{p})
		require.Error(t, err)
	}
	for _, c := range []float64{-1, math.Inf(1), 11} {
		_, _, err := Foot(ctx, x, c)
		require.Error(t, err)
	}
	_, _, err := OnPlate(s.Vertices, nil, PlateLimits{Plate: [2]float64{100, 100}})
	require.Error(t, err)

	// Far more room than memory.
	r := solids.Sliced(t, s, 0.1, 0.1)
	r.Limit = r.Bytes() + 1
	_, _, err = Vents(ctx, r, drains)
	require.ErrorAs(t, err, new(*raster.MemoryError))
	r.Limit = r.Bytes() + 1<<20
	_, _, err = Vents(ctx, r, drains)
	require.ErrorAs(t, err, new(*raster.MemoryError))
}

// Solids of any size are measured in bounded time and memory.
func TestAVastSolid(t *testing.T) {
	ctx := context.Background()
	x := solids.Indexed(t, solids.Box([3]float32{-1e6, -1e6, 0}, [3]float32{1e6, 1e6, 4}))
	_, found, err := Foot(ctx, x, 0)
	require.NoError(t, err)
	require.Empty(t, found)
	_, _, err = FindBow(ctx, x, 2, 60)
	require.NoError(t, err)
	fit, _, ok, err := Flattest(ctx, x, 12, 0.5)
	require.NoError(t, err)
	require.True(t, ok)
	require.Zero(t, fit.Relief)
	_, _, err = Pads(ctx, x, []Pad{{Round: 1000, Top: 4, Clear: 40}})
	require.NoError(t, err)
}
