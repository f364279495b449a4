package inspect

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
	"pgregory.net/rapid"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
)

func voids(t require.TestingT, r *raster.Raster) []Finding {
	found, err := Voids(context.Background(), r)
	require.NoError(t, err)
	return found
}

func TestASealedVoid(t *testing.T) {
	shell := solids.Box([3]float32{0, 0, 0}, [3]float32{10, 8, 6})
	hollow := solids.Inward(solids.Box([3]float32{1, 2, 1}, [3]float32{9, 6, 5}))
	small := solids.Inward(solids.Box([3]float32{1, 7, 1}, [3]float32{2, 7.5, 2}))
	found := voids(t, solids.Sliced(t, solids.Together(shell, small, hollow), 0.1, 0.05))
	require.Len(t, found, 2)
	require.Equal(t, SealedVoid, found[0].Kind)
	require.InDelta(t, 8*4*4, found[0].Value, 1e-9)
	require.InDeltaSlice(t, []float64{8, 4, 4}, found[0].Size[:], 1e-9)
	require.InDelta(t, 5, found[0].At[0], 0.1)
	require.Equal(t, SealedVoid, found[1].Kind)
	require.InDelta(t, 0.5, found[1].Value, 1e-9)
}

// cup stands upside down on the plate: 10 x 10 x 5 mm, hollowed from below to 8
// x 8 x 4 mm, and pierced by vents.
func cup(vents ...[2][3]float32) solids.Shape {
	walls := []solids.Shape{
		solids.Box([3]float32{0, 0, 4}, [3]float32{10, 10, 5}),
		solids.Box([3]float32{0, 0, 0}, [3]float32{10, 1, 4}), solids.Box([3]float32{0, 9, 0}, [3]float32{10, 10, 4}),
		solids.Box([3]float32{0, 1, 0}, [3]float32{1, 9, 4}), solids.Box([3]float32{9, 1, 0}, [3]float32{10, 9, 4}),
	}
	for _, v := range vents {
		walls = append(walls, solids.Inward(solids.Box(v[0], v[1])))
	}
	return solids.Together(walls...)
}

func TestACupOnThePlateIsClosedByIt(t *testing.T) {
	found := voids(t, solids.Sliced(t, cup(), 0.1, 0.1))
	require.Len(t, found, 1)
	require.Equal(t, LiddedVoid, found[0].Kind)
	require.InDelta(t, 8*8*4, found[0].Value, 1e-9)
	require.InDelta(t, 5, found[0].At[0], 0.1)
}

func TestAVentOpensTheCup(t *testing.T) {
	side := [2][3]float32{{9, 4, 2}, {10, 6, 3}}
	top := [2][3]float32{{4, 4, 4}, {6, 6, 5}}
	low := [2][3]float32{{9, 4, 0}, {10, 6, 0.1}} // one layer high, on the plate
	blind := [2][3]float32{{9.1, 4, 2}, {10, 6, 3}}
	require.Empty(t, voids(t, solids.Sliced(t, cup(side), 0.1, 0.1)))
	require.Empty(t, voids(t, solids.Sliced(t, cup(top), 0.1, 0.1)))
	require.Empty(t, voids(t, solids.Sliced(t, cup(low), 0.1, 0.1)))
	require.Len(t, voids(t, solids.Sliced(t, cup(blind), 0.1, 0.1)), 1)
}

// What meets at an edge only does not drain.
func TestAnEdgeIsNoVent(t *testing.T) {
	full := "#### #### #### ####"
	require.Len(t, voids(t, solids.Drawn(full, "#### #.## ##.# ####", full)), 2)
	require.Len(t, voids(t, solids.Drawn(full, "#### #.## ##.. ####", full)), 1)
	require.Empty(t, voids(t, solids.Drawn(full, "#### #..# ##.. ####", full)))
	require.Len(t, voids(t, solids.Drawn(full, "#### #.## #### ####", "#### ##.# #### ####", full)), 2)
	require.Len(t, voids(t, solids.Drawn(full, "#### #.## #### ####", "#### #..# #### ####", full)), 1)
}

func TestVoidsAgainstGraphComponents(t *testing.T) {
	seen := map[Kind]int{}
	rapid.Check(t, func(t *rapid.T) {
		r := solids.Noise(t)
		nx, ny, nz := r.Size[0], r.Size[1], r.Size[2]
		// The graph has the empty pixels, and a ring of them around all but the
		// underside.
		id := func(i, j, k int) simple.Node { return simple.Node((k*(ny+2)+j+1)*(nx+2) + i + 1) }
		g := simple.NewUndirectedGraph()
		for k := range nz + 1 {
			for j := -1; j <= ny; j++ {
				for i := -1; i <= nx; i++ {
					if r.Solid(i, j, k) {
						continue
					}
					if g.Node(id(i, j, k).ID()) == nil {
						g.AddNode(id(i, j, k))
					}
					for _, d := range [][3]int{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} {
						x, y, z := i+d[0], j+d[1], k+d[2]
						if x <= nx && y <= ny && z <= nz && !r.Solid(x, y, z) {
							g.SetEdge(simple.Edge{F: id(i, j, k), T: id(x, y, z)})
						}
					}
				}
			}
		}
		want := map[Kind]float64{}
		number := map[Kind]int{}
		for _, nodes := range topo.ConnectedComponents(g) {
			kind, open := SealedVoid, false
			for _, n := range nodes {
				open = open || n == id(-1, -1, 0)
				if n.ID() < int64((nx+2)*(ny+2)) {
					kind = LiddedVoid
				}
			}
			if !open {
				want[kind] += float64(len(nodes)) * r.Pixel * r.Pixel * r.Layer
				number[kind]++
				seen[kind]++
			}
		}
		for _, f := range voids(t, r) {
			i := int((f.At[0] - r.Origin[0]) / r.Pixel)
			j := int((f.At[1] - r.Origin[1]) / r.Pixel)
			require.False(t, r.Solid(i, j, f.Layer), "the place is in the void")
			want[f.Kind] -= f.Value
			number[f.Kind]--
		}
		for _, kind := range []Kind{SealedVoid, LiddedVoid} {
			require.Zero(t, number[kind])
			require.InDelta(t, 0, want[kind], 1e-9)
		}
	})
	require.Greater(t, seen[SealedVoid], 50)
	require.Greater(t, seen[LiddedVoid], 50)
}

func TestLargestJump(t *testing.T) {
	r := solids.Sliced(t, cup(), 1, 1)
	layer, jump := LargestJump(r.Areas())
	require.Equal(t, 4, layer)
	require.InDelta(t, 64, jump, 1e-9)

	for _, c := range []struct {
		areas []float64
		layer int
		jump  float64
	}{
		{nil, 0, 0}, {[]float64{5}, 0, 0}, {[]float64{5, 5}, 0, 0},
		{[]float64{5, 7, 5}, 1, 2}, {[]float64{1, 2, 9, 1}, 3, -8},
	} {
		layer, jump := LargestJump(c.areas)
		require.Equal(t, c.layer, layer)
		require.InDelta(t, c.jump, jump, 0)
	}
}

func TestVoidsRefuse(t *testing.T) {
	b := solids.Box([3]float32{0, 0, 0}, [3]float32{60, 60, 0.2})
	r, err := raster.Slice(context.Background(), b.Vertices, b.Triangles, raster.Grid{Pixel: 0.1, Layer: 0.1})
	require.NoError(t, err)
	r.Limit = r.Bytes() + 1000
	_, err = Voids(context.Background(), r)
	require.ErrorAs(t, err, new(*raster.MemoryError))

	// There is room for the space, but not for the two voids in it.
	full := "##### ##### #####"
	r = solids.Drawn(full, "##### #.#.# #####", full)
	r.Limit = r.Bytes() + 9*spaceRowBytes + 2*spaceGapBytes + spaceVoidBytes
	_, err = Voids(context.Background(), r)
	require.ErrorAs(t, err, new(*raster.MemoryError))
	r.Limit += 3 * spaceVoidBytes
	require.Len(t, voids(t, r), 2)

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Voids(ctx, solids.Drawn("##", "##"))
	require.ErrorIs(t, err, context.Canceled)
}
