package inspect

import (
	"cmp"
	"context"
	"math"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/graph"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
	"pgregory.net/rapid"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
)

func unsupported(t require.TestingT, r *raster.Raster, reach float64) []Finding {
	found, err := Unsupported(context.Background(), r, reach)
	require.NoError(t, err)
	return found
}

func TestIslandsCountedByHand(t *testing.T) {
	r := solids.Drawn(
		`#####...
		 #####...
		 ........
		 ........`,
		`#####...
		 ....##..
		 ......#.
		 ##......`, // a stair held by its first pixel, and two that nothing holds
		`........
		 ........
		 .#.....#
		 #.......`, // a pair held by what is over the island, and one only beside what is below
	)
	require.Equal(t, []Finding{
		{Kind: Island, At: [3]float64{1.5, 3.5, 1}, Size: [3]float64{2, 1, 1}, Layer: 1, Value: 2},
		{Kind: Island, At: [3]float64{7.5, 2.5, 2}, Size: [3]float64{1, 1, 1}, Layer: 2, Value: 1},
	}, unsupported(t, r, 5))
}

// A block that floats over a table, and one that stands on it: in the mesh, not
// on the pixels.
func TestAFloatingBlockIsAnIsland(t *testing.T) {
	plate := solids.Box([3]float32{0, 0, 0}, [3]float32{10, 10, 1})
	stands := solids.Box([3]float32{1, 1, 1}, [3]float32{3, 3, 2})
	floats := solids.Box([3]float32{5, 6, 1.5}, [3]float32{8, 8, 2})
	r := solids.Sliced(t, solids.Together(plate, stands, floats), 0.1, 0.05)
	found := unsupported(t, r, 1)
	require.Len(t, found, 1)
	require.Equal(t, Island, found[0].Kind)
	require.Equal(t, 30, found[0].Layer)
	require.InDelta(t, 6, found[0].Value, 1e-9)
	require.InDeltaSlice(t, []float64{6.5, 7, 1.5}, found[0].At[:], 0.1)
	require.InDeltaSlice(t, []float64{3, 2, 0.05}, found[0].Size[:], 1e-9)
}

// islandsByGraph labels the regions of a layer by another road: a graph of its
// pixels and gonum's connected components. It gives the area of each region
// that shares no pixel with the layer below.
func islandsByGraph(r *raster.Raster, k int) (areas []float64) {
	g := simple.NewUndirectedGraph()
	nx := r.Size[0]
	for j := range r.Size[1] {
		for i := range nx {
			if !r.Solid(i, j, k) {
				continue
			}
			if g.Node(int64(j*nx+i)) == nil {
				g.AddNode(simple.Node(j*nx + i))
			}
			for _, d := range [][2]int{{1, 0}, {-1, 1}, {0, 1}, {1, 1}} {
				if x, y := i+d[0], j+d[1]; r.Solid(x, y, k) {
					g.SetEdge(simple.Edge{F: simple.Node(j*nx + i), T: simple.Node(y*nx + x)})
				}
			}
		}
	}
	for _, nodes := range topo.ConnectedComponents(g) {
		if !slices.ContainsFunc(nodes, func(n graph.Node) bool {
			return r.Solid(int(n.ID())%nx, int(n.ID())/nx, k-1)
		}) {
			areas = append(areas, float64(len(nodes))*r.Pixel*r.Pixel)
		}
	}
	return areas
}

func TestIslandsAgainstGraphComponents(t *testing.T) {
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		r := solids.Noise(t)
		found := unsupported(t, r, 0.1)
		for k := 1; k < r.Size[2]; k++ {
			var got []float64
			for _, f := range found {
				if f.Layer != k || f.Kind != Island {
					continue
				}
				got = append(got, f.Value)
				i := int(math.Floor((f.At[0] - r.Origin[0]) / r.Pixel))
				j := int(math.Floor((f.At[1] - r.Origin[1]) / r.Pixel))
				require.True(t, r.Solid(i, j, k) && !r.Solid(i, j, k-1), "the place is in the island")
			}
			want := islandsByGraph(r, k)
			slices.SortFunc(got, cmp.Compare)
			slices.SortFunc(want, cmp.Compare)
			require.Len(t, got, len(want))
			if len(want) > 0 {
				require.InDeltaSlice(t, want, got, 1e-12)
			}
			seen += len(want)
		}
	})
	require.Greater(t, seen, 100, "islands were met")
}

// The reach of an overhang, region by region, against every pair of pixels.
func TestReachAgainstEveryPair(t *testing.T) {
	seen := 0
	rapid.Check(t, func(t *rapid.T) {
		r := solids.Noise(t)
		reach := rapid.SampledFrom([]float64{0.01, 0.06, 0.1, 0.15, 0.24}).Draw(t, "reach")
		found := unsupported(t, r, reach)
		for k := 1; k < r.Size[2]; k++ {
			layer, below := r.Plane(k), r.Plane(k-1)
			loose := layer.Empty()
			for w := range loose.Bits {
				loose.Bits[w] = layer.Bits[w] &^ below.Bits[w]
			}
			var want, got []float64
			for _, g := range loose.Regions() {
				var own, touched [][2]int
				for _, s := range g.Runs {
					for i := int(s.From); i < int(s.To); i++ {
						own = append(own, [2]int{i, int(s.Row)})
					}
				}
				for _, p := range own {
					for d := range 9 {
						if x, y := p[0]+d%3-1, p[1]+d/3-1; r.Solid(x, y, k) && r.Solid(x, y, k-1) {
							touched = append(touched, [2]int{x, y})
						}
					}
				}
				furthest := 0.0
				for _, p := range own {
					nearest := math.Inf(1)
					for _, q := range touched {
						nearest = min(nearest, math.Hypot(float64(p[0]-q[0]), float64(p[1]-q[1])))
					}
					furthest = max(furthest, nearest*r.Pixel)
				}
				if len(touched) > 0 && furthest >= reach*(1-1e-12) {
					want = append(want, furthest)
				}
			}
			for _, f := range found {
				if f.Layer == k && f.Kind == Overhang {
					got = append(got, f.Value)
				} else if f.Layer == k && f.Kind == Bridge {
					got = append(got, f.Value/2)
				}
			}
			slices.Sort(want)
			slices.Sort(got)
			require.Len(t, got, len(want))
			for n := range want { // a bridge may be told from a pixel that lies less than a pixel nearer
				require.InDelta(t, want[n], got[n], 1e-9)
			}
			seen += len(want)
		}
	})
	require.Greater(t, seen, 100, "overhangs were met")
}

// onPillars is a deck over some pillars, 2 mm up.
func onPillars(deck solids.Shape, pillars ...solids.Shape) solids.Shape {
	return solids.Together(append(pillars, deck)...)
}

func TestOverhangsAndBridgesOfKnownSize(t *testing.T) {
	const pixel = 0.1
	pillar := func(x0, y0, x1, y1 float32) solids.Shape {
		return solids.Box([3]float32{x0, y0, 0}, [3]float32{x1, y1, 2})
	}
	deck := func(x0, y0, x1, y1 float32) solids.Shape {
		return solids.Box([3]float32{x0, y0, 2}, [3]float32{x1, y1, 3})
	}
	innerCorner := func(to float32) solids.Shape { // a narrow ledge along both sides of it
		return onPillars(solids.Together(deck(0, 0, to, 8), deck(0, 0, 8, to)), pillar(0, 0, 3, 8), pillar(0, 0, 8, 3))
	}
	for name, c := range map[string]struct {
		solids.Shape
		kind  Kind
		value float64
	}{
		"ledge":           {onPillars(deck(0, 0, 5, 4), pillar(0, 0, 3, 4)), Overhang, 2},
		"short ledge":     {onPillars(deck(0, 0, 3.2, 4), pillar(0, 0, 3, 4)), Overhang, 0.2},
		"corner ledge":    {onPillars(deck(0, 0, 5, 5), pillar(0, 0, 3, 5), pillar(0, 0, 5, 3)), Overhang, 2},
		"inner corner, 2": {innerCorner(3.2), Overhang, 0.2},
		"inner corner, 3": {innerCorner(3.3), Overhang, 0.3},
		"ledge all round": {onPillars(deck(0, 0, 6, 6), pillar(2, 2, 4, 4)), Overhang, math.Hypot(2, 2)},
		"beam":            {onPillars(deck(0, 0, 10, 1), pillar(0, 0, 2, 1), pillar(8, 0, 10, 1)), Bridge, 6},
		"beam, odd span":  {onPillars(deck(0, 0, 10, 1), pillar(0, 0, 2.1, 1), pillar(8, 0, 10, 1)), Bridge, 5.9},
		"three sides":     {onPillars(deck(0, 0, 8, 6), pillar(0, 0, 2, 6), pillar(6, 0, 8, 6), pillar(0, 0, 8, 2)), Bridge, 4},
		"lid": {onPillars(deck(0, 0, 8, 7), pillar(0, 0, 2, 7), pillar(6, 0, 8, 7),
			pillar(0, 0, 8, 2), pillar(0, 5, 8, 7)), Bridge, 3},
	} {
		found := unsupported(t, solids.Sliced(t, c.Shape, pixel, 0.1), 0.15)
		require.Len(t, found, 1, name)
		require.Equal(t, c.kind, found[0].Kind, name)
		require.Equal(t, 20, found[0].Layer, name)
		require.InDelta(t, c.value, found[0].Value, pixel+1e-9, name)
		if c.kind == Bridge {
			require.GreaterOrEqual(t, found[0].Value, c.value-1e-9, name)
		}
	}
}

// The sieve before the measuring, against one step at a time for each pixel.
func TestGrownAgainstSingleSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := solids.Noise(t)
		into := r.Plane(0)
		from := into.Empty()
		for range rapid.IntRange(1, 3).Draw(t, "pixels") {
			i := rapid.IntRange(0, into.Nx-1).Draw(t, "i")
			if rapid.Bool().Draw(t, "at the end of a word") {
				i = min(into.Nx-1, 63+i%2)
			}
			raster.Fill(from.Row(rapid.IntRange(0, into.Ny-1).Draw(t, "j")), i, i+1)
		}
		steps := rapid.IntRange(0, 4).Draw(t, "steps")
		got := from.Grown(into, steps)
		now := map[[2]int]bool{}
		for j := range from.Ny {
			for i := range from.Nx {
				now[[2]int{i, j}] = from.At(i, j)
			}
		}
		for range steps {
			next := map[[2]int]bool{}
			for at, set := range now {
				next[at] = set
				for d := range 9 {
					next[at] = next[at] || into.At(at[0], at[1]) && now[[2]int{at[0] + d%3 - 1, at[1] + d/3 - 1}]
				}
			}
			now = next
		}
		for at, set := range now {
			require.Equal(t, set, got.At(at[0], at[1]), at)
		}
	})
}

func TestLoosestAgainstTheRuns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := solids.Noise(t)
		wantRuns, wantPixels := 0, 0
		for k := 1; k < r.Size[2]; k++ {
			n, pixels := 0, 0
			for j := range r.Size[1] {
				for i := range r.Size[0] {
					loose := func(i int) bool { return r.Solid(i, j, k) && !r.Solid(i, j, k-1) }
					if loose(i) {
						pixels++
						if !loose(i - 1) {
							n++
						}
					}
				}
			}
			wantRuns, wantPixels = max(wantRuns, n), max(wantPixels, pixels)
		}
		n, pixels, err := loosest(context.Background(), r)
		require.NoError(t, err)
		require.Equal(t, [2]int{wantRuns, wantPixels}, [2]int{n, pixels})
	})
}

// The limit on both sides: a ledge of 0.5 mm is found at 0.5 and not above.
func TestReachHasALimit(t *testing.T) {
	ledge := onPillars(solids.Box([3]float32{0, 0, 2}, [3]float32{3.5, 4, 3}), solids.Box([3]float32{0, 0, 0}, [3]float32{3, 4, 2}))
	r := solids.Sliced(t, ledge, 0.05, 0.05)
	require.Len(t, unsupported(t, r, 0.5), 1)
	require.Empty(t, unsupported(t, r, 0.51))
}

func TestUnsupportedRefuses(t *testing.T) {
	b := solids.Box([3]float32{0, 0, 0}, [3]float32{60, 60, 0.2})
	r, err := raster.Slice(context.Background(), b.Vertices, b.Triangles, raster.Grid{Pixel: 0.1, Layer: 0.1, Limit: 1 << 20})
	require.NoError(t, err)
	_, err = Unsupported(context.Background(), r, 1)
	require.ErrorAs(t, err, new(*raster.MemoryError))
	_, err = Unsupported(context.Background(), r, math.NaN())
	require.ErrorContains(t, err, "more than 0")

	r = solids.Drawn("##", "##")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Unsupported(ctx, r, 1)
	require.ErrorIs(t, err, context.Canceled)
}

func TestSameFindingsOnAnyNumberOfWorkers(t *testing.T) {
	r := solids.Sliced(t, solids.Frustum(0, 0, 2, 6, 2, 31), 0.1, 0.1)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := unsupported(t, r, 0.05)
	require.NotEmpty(t, one)
	runtime.GOMAXPROCS(3)
	require.Equal(t, one, unsupported(t, r, 0.05))
}
