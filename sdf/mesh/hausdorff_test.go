package mesh

import (
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// triangleGrid finds the triangles near a point: cubes of space, and which triangles reach
// into each. Only tests use it.
type triangleGrid struct {
	pitch float64
	cubes map[[3]int32][]int32
	m     *Mesh
}

func newTriangleGrid(m *Mesh, pitch float64) *triangleGrid {
	g := &triangleGrid{pitch: pitch, cubes: map[[3]int32][]int32{}, m: m}
	for i := range m.Triangles {
		a, b, c := cornersOf(m, i)
		lo, hi := g.cube(minVec(a, b, c)), g.cube(r3.Scale(-1, minVec(r3.Scale(-1, a), r3.Scale(-1, b), r3.Scale(-1, c))))
		for x := lo[0]; x <= hi[0]; x++ {
			for y := lo[1]; y <= hi[1]; y++ {
				for z := lo[2]; z <= hi[2]; z++ {
					g.cubes[[3]int32{x, y, z}] = append(g.cubes[[3]int32{x, y, z}], int32(i))
				}
			}
		}
	}
	return g
}

func minVec(a, b, c r3.Vec) r3.Vec {
	return r3.Vec{X: min(a.X, b.X, c.X), Y: min(a.Y, b.Y, c.Y), Z: min(a.Z, b.Z, c.Z)}
}

func (g *triangleGrid) cube(p r3.Vec) [3]int32 {
	return [3]int32{int32(math.Floor(p.X / g.pitch)), int32(math.Floor(p.Y / g.pitch)), int32(math.Floor(p.Z / g.pitch))}
}

// cornersOf gives the corners of a triangle.
func cornersOf(m *Mesh, i int) (a, b, c r3.Vec) {
	at := func(k int) r3.Vec {
		v := m.Vertices[m.Triangles[i][k]]
		return r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
	}
	return at(0), at(1), at(2)
}

// distance is from p to the mesh, looked for no further than a pitch away.
func (g *triangleGrid) distance(p r3.Vec) float64 {
	best, at := math.Inf(1), g.cube(p)
	for k := range int32(27) {
		for _, i := range g.cubes[[3]int32{at[0] + k%3 - 1, at[1] + k/3%3 - 1, at[2] + k/9 - 1}] {
			a, b, c := cornersOf(g.m, int(i))
			best = min(best, distance2(p, a, b, c))
		}
	}
	return math.Sqrt(best)
}

// strays samples one mesh, more the larger a triangle is, and gives the distances to the
// other, sorted.
func strays(m *Mesh, to *triangleGrid, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	var off []float64
	for i := range m.Triangles {
		a, b, c := cornersOf(m, i)
		for range 3 + int(r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))/2/0.02) {
			u, v := r.Float64(), r.Float64()
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			off = append(off, to.distance(r3.Add(a, r3.Add(r3.Scale(u, r3.Sub(b, a)), r3.Scale(v, r3.Sub(c, a))))))
		}
	}
	slices.Sort(off)
	return off
}

// Neither surface is further from the other than the tolerance: at the vertices and the
// middles of sides, which the reduction looks after, and between them but for one point
// in two thousand, which may be off by up to twice as much.
func TestReductionKeepsItsTolerance(t *testing.T) {
	f, box := referenceSolid(930)
	const tolerance = 0.005
	before := mustBuild(t, f, Options{Cell: 0.4, Tolerance: -1, Box: box})
	after := mustBuild(t, f, Options{Cell: 0.4, Tolerance: tolerance, Box: box})
	oldGrid, newGrid := newTriangleGrid(&before.Mesh, 0.5), newTriangleGrid(&after.Mesh, 0.5)
	for _, v := range before.Vertices {
		p := r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
		require.LessOrEqual(t, newGrid.distance(p), tolerance+unit, "at a vertex")
	}
	for _, c := range []struct {
		name string
		off  []float64
	}{
		{"to the unreduced", strays(&after.Mesh, oldGrid, 1)}, {"from the unreduced", strays(&before.Mesh, newGrid, 2)},
	} {
		n := len(c.off)
		over := n - sort.SearchFloat64s(c.off, tolerance)
		t.Logf("%s: %d to %d triangles, %d samples, 99 %% within %.5f mm, %d over %g, worst %.5f",
			c.name, len(before.Triangles), len(after.Triangles), n, c.off[n*99/100], over, tolerance, c.off[n-1])
		require.LessOrEqual(t, 2000*over, n)
		require.LessOrEqual(t, c.off[n-1], 2*tolerance)
	}
}
