package inspect

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"socle/out/inspect/raster"
	"socle/out/inspect/solids"
	"socle/out/inspect/tree"
)

func reliefOf(t require.TestingT, s solids.Shape, pixel, layer, depth, width float64, exact bool) []Finding {
	r, err := raster.Slice(context.Background(), s.Vertices, s.Triangles, raster.Grid{Pixel: pixel, Layer: layer})
	require.NoError(t, err)
	var index *tree.Index
	if exact {
		index, err = tree.New(context.Background(), s.Vertices, s.Triangles)
		require.NoError(t, err)
	}
	found, err := Relief(context.Background(), r, index, depth, width)
	require.NoError(t, err)
	return found
}

// slabWith is 12 x 10 x 2 mm, with a mark along x, 8 mm long, up or down by depth.
func slabWith(up bool, depth, width float32) solids.Shape {
	s := solids.Box([3]float32{0, 0, 0}, [3]float32{12, 10, 2})
	lo, hi := [3]float32{2, 5 - width/2, 2 - depth}, [3]float32{10, 5 + width/2, 2}
	if !up {
		return grooved(lo, hi)
	}
	hi[2], lo[2] = 2+depth, 2
	return solids.Together(s, solids.Box(lo, hi))
}

// grooved is the slab less a box that is cut into its top: boxes around it, that
// share faces, and one under it.
func grooved(lo, hi [3]float32) solids.Shape {
	return solids.Together(
		solids.Box([3]float32{0, 0, 0}, [3]float32{12, lo[1], 2}), solids.Box([3]float32{0, hi[1], 0}, [3]float32{12, 10, 2}),
		solids.Box([3]float32{0, lo[1], 0}, [3]float32{lo[0], hi[1], 2}), solids.Box([3]float32{hi[0], lo[1], 0}, [3]float32{12, hi[1], 2}),
		solids.Box([3]float32{lo[0], lo[1], 0}, [3]float32{hi[0], hi[1], lo[2]}),
	)
}

func TestReliefOnBothSidesOfItsDepth(t *testing.T) {
	for _, up := range []bool{false, true} {
		for _, c := range []struct {
			depth float32
			found bool
		}{
			{0.04, false}, {0.11, true}, {0.2, true}, {0.29, true}, {0.295, true},
			{0.305, false}, {0.31, false}, {0.6, false},
		} {
			name := fmt.Sprint(up, c)
			found := reliefOf(t, slabWith(up, c.depth, 0.4), 0.05, 0.05, 0.3, 1, true)
			if !c.found {
				require.Empty(t, found, name)
				continue
			}
			require.Len(t, found, 1, name)
			f := found[0]
			require.Equal(t, ShallowRelief, f.Kind, name)
			require.Equal(t, up, f.Raised, name)
			require.InDelta(t, float64(c.depth), f.Value, 1e-6, name)
			require.InDelta(t, 0.3, f.Limit, 0, name)
			require.InDelta(t, 8, f.Length, 0.3, name)
			require.Equal(t, 1, f.Which, name)
			require.InDelta(t, 5, f.At[1], 0.2, name)
		}
	}
}

// A mark as wide as the width is one, one two pixels wider is a step; one three
// times as long as wide counts, a shorter one does not.
func TestReliefHasAWidthAndALength(t *testing.T) {
	mark := func(lo, hi [3]float32) solids.Shape {
		return solids.Together(solids.Box([3]float32{0, 0, 0}, [3]float32{12, 10, 2}), solids.Box(lo, hi))
	}
	for _, c := range []struct {
		name  string
		shape solids.Shape
		found bool
	}{
		{"narrow groove", slabWith(false, 0.2, 1), true},
		{"wide groove", slabWith(false, 0.2, 1.1), false},
		{"narrow ridge", slabWith(true, 0.2, 1), true},
		{"wide ridge", slabWith(true, 0.2, 1.1), false},
		{"long ridge", mark([3]float32{5, 5, 2}, [3]float32{8.2, 5.8, 2.2}), true},
		{"short ridge", mark([3]float32{5, 5, 2}, [3]float32{7.7, 5.8, 2.2}), false},
		{"rivet", mark([3]float32{5, 5, 2}, [3]float32{5.8, 5.8, 2.2}), false},
		{"long groove", grooved([3]float32{2, 5, 1.8}, [3]float32{5.2, 5.8, 2}), true},
		{"short groove", grooved([3]float32{2, 5, 1.8}, [3]float32{4.7, 5.8, 2}), false},
		{"plain", solids.Box([3]float32{0, 0, 0}, [3]float32{12, 10, 2}), false},
	} {
		found := reliefOf(t, c.shape, 0.05, 0.05, 0.3, 1, false)
		if !c.found {
			require.Empty(t, found, c.name)
			continue
		}
		require.Len(t, found, 1, c.name)
		require.InDelta(t, 0.2, found[0].Value, 0.05+1e-9, c.name) // in whole layers
	}
}

// The sides of a deep groove are no shallow marks; a shallow groove that runs
// into it is one, as far as it is not beside it.
func TestReliefBesideADeepGroove(t *testing.T) {
	slab := solids.Box([3]float32{0, 0, 0}, [3]float32{12, 10, 2})
	deep := solids.Inward(solids.Box([3]float32{6, 0, 1}, [3]float32{6.4, 10, 2.5}))
	bench := solids.Inward(solids.Box([3]float32{5.8, 0, 1.8}, [3]float32{6, 10, 2.5})) // a shoulder of it
	require.Empty(t, reliefOf(t, solids.Together(slab, deep, bench), 0.05, 0.05, 0.3, 1, false))

	shallow := solids.Inward(solids.Box([3]float32{0, 5, 1.8}, [3]float32{6, 5.4, 2.5}))
	found := reliefOf(t, solids.Together(slab, deep, shallow), 0.05, 0.05, 0.3, 1, false)
	require.Len(t, found, 1)
	require.InDelta(t, 5, found[0].Length, 0.2)
}

// All marks of a kind are one finding, which tells the shallowest.
func TestReliefTellsTheShallowest(t *testing.T) {
	s := solids.Together(
		solids.Box([3]float32{0, 0, 0}, [3]float32{12, 12, 2}),
		solids.Box([3]float32{1, 2, 2}, [3]float32{11, 2.4, 2.22}),
		solids.Box([3]float32{1, 5, 2}, [3]float32{7, 5.4, 2.16}),
		solids.Box([3]float32{1, 8, 2}, [3]float32{11, 8.4, 2.26}),
		solids.Box([3]float32{1, 10, 2}, [3]float32{11, 10.4, 3}), // no shallow one
	)
	found := reliefOf(t, s, 0.05, 0.05, 0.3, 1, true)
	require.Len(t, found, 1)
	require.Equal(t, 3, found[0].Which)
	require.InDelta(t, 0.16, found[0].Value, 1e-6)
	require.InDelta(t, 26, found[0].Length, 0.5)
	require.InDelta(t, 5.2, found[0].At[1], 0.2)
	require.InDelta(t, 2.16, found[0].At[2], 1e-6)
	require.InDeltaSlice(t, []float64{10, 6.4}, found[0].Size[:2], 1e-6)
}

// Closing and opening against the least of the greatest, pixel by pixel.
func TestSmoothingAgainstEveryPair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := solids.Noise(t)
		width := rapid.SampledFrom([]float64{0.05, 0.1, 0.2, 0.3}).Draw(t, "width")
		m, err := heightsOf(context.Background(), r, width)
		require.NoError(t, err)
		for j := range r.Size[1] {
			for i := range r.Size[0] {
				top := 0
				for k := range r.Size[2] {
					if r.Solid(i, j, k) {
						top = k + 1
					}
				}
				require.Equal(t, uint16(top), m.high[(j+m.border)*m.nx+i+m.border])
			}
		}
		high := make([]int32, len(m.high))
		for i, h := range m.high {
			high[i] = int32(h)
		}
		radius := (width + r.Pixel) / 2 / r.Pixel
		slow := func(in []int32, greatest bool) []int32 {
			out := make([]int32, len(in))
			n := int(radius) + 1
			for j := range m.ny {
				for i := range m.nx {
					best := in[j*m.nx+i]
					for v := max(j-n, 0); v <= min(j+n, m.ny-1); v++ {
						for u := max(i-n, 0); u <= min(i+n, m.nx-1); u++ {
							if math.Hypot(float64(u-i), float64(v-j)) > radius+1e-9 {
								continue
							}
							if x := in[v*m.nx+u]; x > best == greatest {
								best = x
							}
						}
					}
					out[j*m.nx+i] = best
				}
			}
			return out
		}
		for _, raised := range []bool{false, true} {
			// Band by band, whatever rows they are of.
			one := strip{heightMap: m}
			rows := rapid.IntRange(1, m.ny).Draw(t, "rows")
			var got []int32
			for from := 0; from < m.ny; from += rows {
				smooth, _ := one.smooth(from, min(from+rows, m.ny), raised)
				got = append(got, smooth...)
			}
			require.Equal(t, slow(slow(high, !raised), raised), got)
		}
	})
}

func TestReliefRefuses(t *testing.T) {
	r := solids.Drawn("##", "##")
	for _, c := range [][2]float64{{0, 1}, {1, 0}, {math.NaN(), 1}, {1, math.Inf(1)}} {
		_, err := Relief(context.Background(), r, nil, c[0], c[1])
		require.ErrorContains(t, err, "more than 0 and finite")
	}
	found, err := Relief(context.Background(), r, nil, 1e300, 1e300)
	require.NoError(t, err)
	require.Empty(t, found)

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = Relief(ctx, r, nil, 1, 1)
	require.ErrorIs(t, err, context.Canceled)
	r.Limit = 16
	_, err = Relief(context.Background(), r, nil, 1, 1)
	require.ErrorAs(t, err, new(*raster.MemoryError))

	// Room for the map, and none for the marks.
	groove := slabWith(false, 0.2, 0.4)
	r = solids.Sliced(t, groove, 0.1, 0.05)
	m, err := heightsOf(context.Background(), r, 1)
	require.NoError(t, err)
	r.Limit = int64(m.bytes()) + 1
	_, err = Relief(context.Background(), r, nil, 0.3, 1)
	require.ErrorContains(t, err, "shallow marks")
}

// Distances to what is not set, and what lies beside another plane, against those
// of all pixels at once.
func TestDistancesByStripsAndBands(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nx, ny := rapid.SampledFrom([]int{1, 5, 64, 65, 130, 200}).Draw(t, "nx"), rapid.SampledFrom([]int{1, 3, 40, 150}).Draw(t, "ny")
		odds, seed := rapid.IntRange(0, 9).Draw(t, "odds"), rapid.Uint64().Draw(t, "seed")
		rng := rand.New(rand.NewPCG(seed, 1))
		p, others, other := raster.NewPlane(nx, ny), raster.NewPlane(nx, ny), raster.NewPlane(nx, ny)
		for j := range ny {
			for i := range nx {
				if rng.IntN(10) < odds {
					raster.Fill(p.Row(j), i, i+1)
				} else {
					raster.Fill(others.Row(j), i, i+1)
				}
				if rng.IntN(300) == 0 {
					raster.Fill(other.Row(j), i, i+1)
				}
			}
		}
		squares := make([]float64, nx*ny)
		raster.DistancesTo(others, squares, &raster.Envelope{})
		away, err := toOthers(t.Context(), p)
		require.NoError(t, err)
		for j := range ny {
			for a, b := range raster.Runs(p.Row(j), nx) {
				for i := a; i < b; i++ {
					require.Equal(t, min(squares[j*nx+i], math.MaxUint32), float64(away[j][rank(p.Row(j), i)]))
				}
			}
		}
		near := rapid.Float64Range(0, 20).Draw(t, "near")
		raster.DistancesTo(other, squares, &raster.Envelope{})
		left := p.Empty()
		copy(left.Bits, p.Bits)
		require.NoError(t, keepNear(t.Context(), left, other, near))
		for j := range ny {
			for i := range nx {
				require.Equal(t, p.At(i, j) && squares[j*nx+i] > near*near, left.At(i, j))
			}
		}
	})
}
