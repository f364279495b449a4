package hanging

import (
	"cmp"
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/graph"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
	"pgregory.net/rapid"

	"socle/out/inspect/solids"
)

// The cores against connected components of a graph, and the widest way from
// each against the components that are left at every depth.
func TestWidestWayAgainstGraphComponents(t *testing.T) {
	linked, loose := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		r := solids.Bitty(t)
		radius := rapid.SampledFrom([]float64{0.05, 0.07, 0.1, 0.11}).Draw(t, "radius")
		c, err := CoresOf(context.Background(), solids.Eroded(t, r, radius))
		require.NoError(t, err)
		d, err := solids.Depths(context.Background(), r, 0, r.Size[2], 100)
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
		first := make([]int64, len(c.All)) // pixel of every core
		want := components(radius + 1e-7)
		sizes := map[int64]int{}
		for _, lowest := range want {
			sizes[lowest]++
		}
		require.Len(t, c.All, len(sizes))
		for k := range r.Size[2] {
			for j := range r.Size[1] {
				for i := range r.Size[0] {
					p := [3]int{i, j, k}
					if lowest, ok := want[number(p)]; ok {
						n := c.At(p)
						first[n] = lowest
						require.Equal(t, sizes[lowest], c.All[n].pixels)
					}
				}
			}
		}
		if len(c.All) < 2 {
			return
		}

		groups := make([]int32, len(c.All))
		for n := range groups {
			groups[n] = int32(n)
		}
		f := newWayfinder(r, c, groups, radius)
		for n := range c.All {
			w, ok, err := f.widest(context.Background(), int32(n))
			require.NoError(t, err)
			joined := func(deeper float64) bool {
				of := components(deeper)
				for m := range c.All {
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
			for i, p := range w.Pixels {
				least = min(least, d.At(p[0], p[1], p[2]))
				if i > 0 {
					q := w.Pixels[i-1]
					require.LessOrEqual(t, max(abs(p[0]-q[0]), abs(p[1]-q[1]), abs(p[2]-q[2])), 1, "a way has no gap")
				}
			}
			require.Equal(t, n, w.from)
			require.Equal(t, n, c.At(w.Pixels[0]))
			require.Equal(t, w.to, c.At(w.Pixels[len(w.Pixels)-1]))
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
