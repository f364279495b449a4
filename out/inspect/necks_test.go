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
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func necksOf(t require.TestingT, r *Raster, least, smallest float64) []Finding {
	found, err := r.Necks(context.Background(), nil, least, smallest)
	require.NoError(t, err)
	return found
}

// dumbBell is a large cube and a small one joined by a bar, square in section,
// along x; thickness is the bar's.
func dumbBell(thickness, length float32) shape {
	h := thickness / 2
	return together(
		box([3]float32{-3, -1.5, -1.5}, [3]float32{0, 1.5, 1.5}),
		box([3]float32{-0.5, -h, -h}, [3]float32{length + 0.5, h, h}),
		box([3]float32{length, -1, -1}, [3]float32{length + 2, 1, 1}),
	)
}

func TestNecksOnBothSidesOfTheLimit(t *testing.T) {
	for _, c := range []struct {
		thickness float32
		found     bool
	}{
		{0.25, true}, {0.4, true}, {0.45, true}, {0.55, false}, {0.6, false}, {0.8, false},
	} {
		for _, length := range []float32{0.3, 1, 4} {
			found := necksOf(t, sliced(t, dumbBell(c.thickness, length), 0.05, 0.05), 0.5, 0.1)
			if !c.found {
				require.Empty(t, found, "%g mm", c.thickness)
				continue
			}
			require.Len(t, found, 1, "%g mm", c.thickness)
			f := found[0]
			require.Equal(t, Neck, f.Kind)
			require.InDelta(t, float64(c.thickness), f.Value, 0.05+1e-6)
			require.InDelta(t, 0.5, f.Limit, 0)
			require.Equal(t, 1, f.Ways)
			require.InDelta(t, float64(length)/2, f.At[0], 0.06, "the middle of the bar")
			require.InDelta(t, 0, f.At[1], 0.051)
			require.InDelta(t, 0, f.At[2], 0.051)
			require.InEpsilon(t, 8, f.Volume, 0.1)
			require.Greater(t, f.From[0], float64(length))
			require.Less(t, f.To[0], 0.0)
			for d := 1; d < 3; d++ {
				require.InDelta(t, 0, f.From[d], 0.051, "along the bar")
				require.InDelta(t, 0, f.To[d], 0.051)
			}
		}
	}
}

// On the mesh a neck is as thick as it is, to the lattice: along the pixels or not,
// square, or waisted between two of them.
func TestNecksOnTheMesh(t *testing.T) {
	// As a dumb-bell, but of one surface.
	along := func(thickness float64) shape {
		across := []float64{-1.5, -1, -thickness / 2, thickness / 2, 1, 1.5}
		return blocks([]float64{-3, 0, 1, 3}, across, across, func(i, j, k int) bool {
			return i == 0 || j > 0 && j < 4 && k > 0 && k < 4 && (i == 2 || j == 2 && k == 2)
		})
	}
	slanting := func(thickness float64) shape {
		about := r3.NewRotation(0.7, r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}))
		return moved(along(thickness), about.Rotate)
	}
	// Two cones, tip to tip, cut off where they are so thick.
	glass := func(thickness float64) shape {
		r := thickness / 2
		return lathed(r2.Vec{}, 48, [2]float64{0, 0}, [2]float64{3, 0}, [2]float64{r, 2.513}, [2]float64{2, 4.5}, [2]float64{0, 4.5})
	}
	for name, make := range map[string]func(float64) shape{"along": along, "slanting": slanting, "glass": glass} {
		for _, c := range []struct {
			thickness float64
			found     bool
		}{
			{0.25, true}, {0.48, true}, {0.49, true}, {0.499, true}, {0.5, false}, {0.51, false}, {0.56, false},
		} {
			s := make(c.thickness)
			found, err := sliced(t, s, 0.05, 0.05).Necks(context.Background(), indexOf(t, s), 0.5, 0.1)
			require.NoError(t, err)
			if !c.found {
				require.Empty(t, found, "%s %g mm", name, c.thickness)
				continue
			}
			require.Len(t, found, 1, "%s %g mm", name, c.thickness)
			require.InDelta(t, c.thickness, found[0].Value, 0.001, name)
			require.True(t, within(indexOf(t, s), found[0].At))
		}
	}
}

// The volume that counts is that of the bit, on both sides of the smallest.
func TestNecksHaveASmallestBit(t *testing.T) {
	r := sliced(t, dumbBell(0.3, 1), 0.05, 0.05)
	volume := necksOf(t, r, 0.5, 0)[0].Volume
	require.InDelta(t, 8+0.25*0.09, volume, 0.05)
	require.Len(t, necksOf(t, r, 0.5, volume), 1)
	require.Empty(t, necksOf(t, r, 0.5, volume+1e-6))
}

// Bars of any thickness, round or square, lying along the pixels or not, with
// layers of another height than the pixels: the thickness is true to a pixel.
func TestNeckThickness(t *testing.T) {
	turned := func(s shape, about, up float64) shape {
		sin, cos := math.Sincos(about)
		sinUp, cosUp := math.Sincos(up)
		out := shape{triangles: s.triangles}
		for _, v := range s.vertices {
			x, y, z := float64(v[0]), float64(v[1]), float64(v[2])
			x, z = x*cosUp-z*sinUp, x*sinUp+z*cosUp
			out.vertices = append(out.vertices, [3]float32{float32(x*cos - y*sin), float32(x*sin + y*cos), float32(z)})
		}
		return out
	}
	round := func(thickness float64) shape { // along z
		moved := func(s shape, up float32) shape {
			for n := range s.vertices {
				s.vertices[n][2] += up
			}
			return s
		}
		return together(
			moved(frustum(0, 0, 1.4, 1.4, 3, 48), -3),
			moved(frustum(0, 0, thickness/2, thickness/2, 2, 48), -0.5),
			moved(frustum(0, 0, 1.1, 1.1, 2, 48), 1),
		)
	}
	for _, thickness := range []float64{0.22, 0.38, 0.53} {
		for _, c := range []struct{ about, up, layer float64 }{
			{0, 0, 0.05}, {0.4, 0, 0.05}, {math.Pi / 4, 0.5, 0.05}, {0.4, 1.3, 0.05}, {0, 0, 0.03}, {0.4, 0.5, 0.03},
		} {
			for name, s := range map[string]shape{"square": dumbBell(float32(thickness), 1), "round": round(thickness)} {
				found := necksOf(t, sliced(t, turned(s, c.about, c.up), 0.05, c.layer), 0.6, 0.1)
				require.Len(t, found, 1, "%s %g, %v", name, thickness, c)
				require.InDelta(t, thickness, found[0].Value, 0.05+1e-6, "%s, %v", name, c)
			}
		}
	}
}

// Two blocks that share a corner of 0.3 x 0.3 mm hang by its diagonal;
// at the edge of a notch a neck can measure two pixels too much.
func TestANeckAtACorner(t *testing.T) {
	for _, side := range []float32{0.15, 0.2, 0.3} {
		s := together(box([3]float32{0, 0, 0}, [3]float32{3, 3, 2}), box([3]float32{3 - side, 3 - side, 0}, [3]float32{5, 5, 2}))
		found := necksOf(t, sliced(t, s, 0.05, 0.05), 0.6, 0)
		require.Len(t, found, 1)
		require.InDelta(t, float64(side)*math.Sqrt2, found[0].Value, 0.1)
		require.GreaterOrEqual(t, found[0].Value, float64(side)*math.Sqrt2-0.05)
	}
}

func TestWhatIsNoNeck(t *testing.T) {
	base := box([3]float32{0, 0, 0}, [3]float32{6, 6, 2})
	post := func(x, y float32) shape { return box([3]float32{x, y, 1.5}, [3]float32{x + 0.4, y + 0.4, 5.5}) }
	deck := box([3]float32{0, 0, 5}, [3]float32{6, 6, 6})
	stout := box([3]float32{0, 0, 1.5}, [3]float32{1, 1, 5.5})
	for name, c := range map[string]struct {
		shape shape
		ways  []int
	}{
		"a block":                   {base, nil},
		"a spike":                   {together(base, post(2, 2)), nil},
		"a pin joined at both ends": {together(base, post(2, 2), deck, stout), nil},
		"a deck on one thin post":   {together(base, post(2, 2), deck), []int{1}},
		"a deck on four thin posts": {together(base, post(0, 0), post(0, 5), post(5, 0), post(5, 5), deck), []int{4}},
		"a knot in a pin":           {together(base, post(4, 4), deck, stout, box([3]float32{3.5, 3.5, 3}, [3]float32{4.9, 4.9, 4})), []int{2}},
		"a knot on a spike":         {together(base, post(4, 4), box([3]float32{3.5, 3.5, 3}, [3]float32{4.9, 4.9, 4})), []int{1}},
		"a knot on a spike on a table": {together(base, post(2, 2), deck, stout,
			box([3]float32{3, 3, 6}, [3]float32{3.4, 3.4, 7.2}), box([3]float32{2.5, 2.5, 7}, [3]float32{4, 4, 8})), []int{1}},
		"a leaf":                        {together(base, box([3]float32{2, 2, 1.5}, [3]float32{4, 2.3, 4})), nil},
		"nothing thick enough anywhere": {box([3]float32{0, 0, 0}, [3]float32{6, 6, 0.4}), nil},
	} {
		var ways []int
		for _, f := range necksOf(t, sliced(t, c.shape, 0.05, 0.05), 0.5, 0) {
			ways = append(ways, f.Ways)
			require.InDelta(t, 0.4, f.Value, 0.05+1e-6, name)
		}
		require.Equal(t, c.ways, ways, name)
	}
}

// In a chain each bit has its own neck, and the volume of all beyond it.
func TestAChainOfBits(t *testing.T) {
	cube := func(x float32) shape { return box([3]float32{x, -1, -1}, [3]float32{x + 2, 1, 1}) }
	bar := func(x, h float32) shape { return box([3]float32{x, -h, -h}, [3]float32{x + 2, h, h}) }
	s := together(box([3]float32{-4, -2, -2}, [3]float32{0, 2, 2}), bar(-0.5, 0.1), cube(1), bar(2.5, 0.2), cube(4))
	found := necksOf(t, sliced(t, s, 0.05, 0.05), 0.5, 0)
	require.Len(t, found, 2)
	require.InDelta(t, 16, found[0].Volume, 0.2)
	require.InDelta(t, 0.2, found[0].Value, 0.051)
	require.InDelta(t, 0.5, found[0].At[0], 0.06)
	require.InDelta(t, 5, found[0].Size[0], 0.5)
	require.InDelta(t, 8, found[1].Volume, 0.1)
	require.InDelta(t, 0.4, found[1].Value, 0.051)
	require.InDelta(t, 3.5, found[1].At[0], 0.06)
}

func TestALooseBit(t *testing.T) {
	s := together(box([3]float32{0, 0, 0}, [3]float32{4, 4, 2}), box([3]float32{5, 1, 0}, [3]float32{6, 2, 1}))
	found := necksOf(t, sliced(t, s, 0.05, 0.05), 0.5, 0)
	require.Len(t, found, 1)
	require.Zero(t, found[0].Value)
	require.Zero(t, found[0].Ways)
	require.InDelta(t, 1, found[0].Volume, 1e-6)
	require.InDeltaSlice(t, []float64{5.5, 1.5, 0.5}, found[0].At[:], 1e-6)
}

// The cores against connected components of a graph, and the widest way from
// each against the components that are left at every depth.
func TestWidestWayAgainstGraphComponents(t *testing.T) {
	linked, loose := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r := bitty(t)
		radius := rapid.SampledFrom([]float64{0.05, 0.07, 0.1, 0.11}).Draw(t, "radius")
		c, err := coresOf(context.Background(), eroded(t, r, radius))
		require.NoError(t, err)
		d, err := r.Depths(context.Background(), 0, r.Size[2], 100)
		require.NoError(t, err)

		// components of what is more than so deep, each by its lowest pixel
		number := func(p [3]int) int64 { return int64((p[2]*r.Size[1]+p[1])*r.Size[0] + p[0]) }
		components := func(deeper float64) map[int64]int64 {
			g := simple.NewUndirectedGraph()
			for k := range r.Size[2] {
				for j := range r.Size[1] {
					for i := range r.Size[0] {
						if d.At(i, j, k) <= deeper {
							continue
						}
						p := [3]int{i, j, k}
						if g.Node(number(p)) == nil {
							g.AddNode(simple.Node(number(p)))
						}
						for _, by := range adjacent {
							q := [3]int{i + by[0], j + by[1], k + by[2]}
							if r.Solid(q[0], q[1], q[2]) && d.At(q[0], q[1], q[2]) > deeper {
								g.SetEdge(simple.Edge{F: simple.Node(number(p)), T: simple.Node(number(q))})
							}
						}
					}
				}
			}
			of := map[int64]int64{}
			for _, nodes := range topo.ConnectedComponents(g) {
				lowest := slices.MinFunc(nodes, func(a, b graph.Node) int { return cmp.Compare(a.ID(), b.ID()) })
				for _, n := range nodes {
					of[n.ID()] = lowest.ID()
				}
			}
			return of
		}
		first := make([]int64, len(c.all)) // pixel of every core
		want := components(radius + 1e-7)
		sizes := map[int64]int{}
		for _, lowest := range want {
			sizes[lowest]++
		}
		require.Len(t, c.all, len(sizes))
		for k := range r.Size[2] {
			for j := range r.Size[1] {
				for i := range r.Size[0] {
					p := [3]int{i, j, k}
					if lowest, ok := want[number(p)]; ok {
						n := c.at(p)
						first[n] = lowest
						require.Equal(t, sizes[lowest], c.all[n].pixels)
					}
				}
			}
		}
		if len(c.all) < 2 {
			return
		}

		groups := make([]int32, len(c.all))
		for n := range groups {
			groups[n] = int32(n)
		}
		f := newWayfinder(r, c, groups, radius)
		for n := range c.all {
			w, ok, err := f.widest(context.Background(), int32(n))
			require.NoError(t, err)
			joined := func(deeper float64) bool {
				of := components(deeper)
				for m := range c.all {
					if m != n && of[first[m]] == of[first[n]] {
						return true
					}
				}
				return false
			}
			if !ok {
				require.False(t, joined(0))
				loose++
				continue
			}
			least := math.Inf(1)
			for i, p := range w.pixels {
				least = min(least, d.At(p[0], p[1], p[2]))
				if i > 0 {
					q := w.pixels[i-1]
					require.LessOrEqual(t, max(abs(p[0]-q[0]), abs(p[1]-q[1]), abs(p[2]-q[2])), 1, "a way has no gap")
				}
			}
			require.Equal(t, n, w.from)
			require.Equal(t, n, c.at(w.pixels[0]))
			require.Equal(t, w.to, c.at(w.pixels[len(w.pixels)-1]))
			require.NotEqual(t, n, w.to)
			require.True(t, joined(least*(1-1e-6)))
			require.False(t, joined(least*(1+1e-6)), "no way is wider")
			linked++
		}
	})
	require.Greater(t, linked, 10)
	require.Greater(t, loose, 10)
}

func abs(n int) int { return max(n, -n) }

// bitty draws two blocks, and a few boxes on and between them.
func bitty(t *rapid.T) *Raster {
	size := [3]int{rapid.SampledFrom([]int{20, 20, 66}).Draw(t, "nx"), 8, 8}
	r := newRaster([3]float64{}, 0.05, rapid.SampledFrom([]float64{0.05, 0.03}).Draw(t, "layer"), size, DefaultLimit)
	put := func(lo, hi [3]int) {
		for k := lo[2]; k < hi[2]; k++ {
			for j := lo[1]; j < hi[1]; j++ {
				fill(r.row(j, k), lo[0], hi[0])
			}
		}
	}
	put([3]int{0, 0, 0}, [3]int{7, 7, 8})
	put([3]int{12, 1, 1}, [3]int{19, 8, 7})
	for range rapid.SampledFrom([]int{3, 5, 7, 9}).Draw(t, "boxes") {
		var lo, hi [3]int
		for d, most := range [3]int{9, 7, 7} {
			side := min(rapid.SampledFrom([]int{1, 2, 3, 5, 6, 7}).Draw(t, "side"), most)
			lo[d] = rapid.SampledFrom([]int{0, 1, 2, 3, 4, 6, 8, 10, 11, 58, 61}).Draw(t, "from") % (size[d] - side + 1)
			hi[d] = lo[d] + side
		}
		put(lo, hi)
	}
	return r
}

// One by one against Depths, and in between pixels against every pair.
func TestNearestAgainstEveryPair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := randomRaster(t)
		reach := rapid.SampledFrom([]float64{0.06, 0.12, 0.3}).Draw(t, "reach")
		p := newProber(r, reach)
		for range 30 {
			at := [3]int{
				rapid.IntRange(-1, 2*r.Size[0]-1).Draw(t, "x"),
				rapid.IntRange(-1, 2*r.Size[1]-1).Draw(t, "y"),
				rapid.IntRange(-1, 2*r.Size[2]-1).Draw(t, "z"),
			}
			away := func(e [3]int) float64 {
				x, y := float64(2*e[0]-at[0])/2*r.Pixel, float64(2*e[1]-at[1])/2*r.Pixel
				z := float64(2*e[2]-at[2]) / 2 * r.Layer
				return x*x + y*y + z*z
			}
			want := math.Inf(1)
			for k := -1; k <= r.Size[2]; k++ {
				for j := -1; j <= r.Size[1]; j++ {
					for i := -1; i <= r.Size[0]; i++ {
						if !r.Solid(i, j, k) {
							want = min(want, away([3]int{i, j, k}))
						}
					}
				}
			}
			empty, got := p.nearest(at)
			if math.Sqrt(want) > reach+1e-9 {
				require.Greater(t, got, reach*reach)
				continue
			}
			require.InDelta(t, want, got, 1e-12)
			require.InDelta(t, want, away(empty), 1e-12)
			require.False(t, r.Solid(empty[0], empty[1], empty[2]))
		}
	})
}

func TestSameNecksOnAnyNumberOfWorkers(t *testing.T) {
	s := dumbBell(0.3, 1)
	for x := range 3 {
		for y := range 3 {
			x, y := float32(x)*0.7-3, float32(y)*0.8-1.2
			s = together(s, box([3]float32{x, y, 1}, [3]float32{x + 0.2, y + 0.3, 2}), box([3]float32{x - 0.1, y - 0.1, 2}, [3]float32{x + 0.5, y + 0.6, 2.7}))
		}
	}
	r := sliced(t, s, 0.05, 0.05)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := necksOf(t, r, 0.5, 0)
	require.Greater(t, len(one), 5)
	runtime.GOMAXPROCS(3)
	require.Equal(t, one, necksOf(t, r, 0.5, 0))
}

func TestNecksRefuse(t *testing.T) {
	r := sliced(t, dumbBell(0.3, 1), 0.05, 0.05)
	for _, c := range [][2]float64{{0, 0}, {-1, 0}, {math.NaN(), 0}, {math.Inf(1), 0}, {1, -1}, {1, math.NaN()}} {
		_, err := r.Necks(context.Background(), nil, c[0], c[1])
		require.ErrorContains(t, err, "must be")
	}
	require.Empty(t, necksOf(t, r, 1e300, 0))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := r.Necks(ctx, nil, 0.5, 0)
	require.ErrorIs(t, err, context.Canceled)
	for _, limit := range []int64{r.Bytes(), 2*r.Bytes() + 1<<15} {
		r.limit = limit
		_, err = r.Necks(context.Background(), nil, 0.5, 0)
		require.ErrorAs(t, err, new(*MemoryError))
	}
}
