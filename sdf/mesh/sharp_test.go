package mesh

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// offEdges measures how far a mesh strays from known straight edges: distances
// in mm from points along them to the nearest triangle, sorted.
func offEdges(m *Mesh, edges [][2]r3.Vec) (off []float64, worst r3.Vec) {
	near := newTriangleGrid(m, 0.5)
	most := -1.0
	for _, e := range edges {
		n := int(r3.Norm(r3.Sub(e[1], e[0])) / 0.02)
		for i := range n + 1 {
			p := r3.Add(e[0], r3.Scale(float64(i)/float64(n), r3.Sub(e[1], e[0])))
			d := near.distance(p)
			off = append(off, d)
			if d > most {
				most, worst = d, p
			}
		}
	}
	slices.Sort(off)
	return off, worst
}

func boxEdges(size r3.Vec, pose sdf.Pose) (edges [][2]r3.Vec) {
	at := func(i int) r3.Vec {
		s := func(b int, x float64) float64 { return (float64(b&1) - 0.5) * x }
		return pose.Apply(sdf.V(s(i, size.X), s(i>>1, size.Y), s(i>>2, size.Z)))
	}
	for i := range 8 {
		for a := range 3 {
			if i>>a&1 == 0 {
				edges = append(edges, [2]r3.Vec{at(i), at(i | 1<<a)})
			}
		}
	}
	return edges
}

// The sharpness of straight 90-degree edges, turned any way against the grid, before
// and after a reduction to within 0.005 mm.
func TestSharpEdges(t *testing.T) {
	const cell = 0.4
	size := sdf.V(20, 14, 9)
	for _, turn := range []float64{0, 2, 7, 13, 25, 33, 45, 60, 71, 90} {
		pose := sdf.Turn(sdf.V(1, 2, 3), turn)
		edges := boxEdges(size, pose)
		for _, tolerance := range []float64{-1, 0.005} {
			s, err := Build(context.Background(), sdf.Place(sdf.Box(size, 0), pose), Options{Cell: cell, Tolerance: tolerance})
			require.NoError(t, err)
			off, worst := offEdges(&s.Mesh, edges)
			mean := 0.0
			for _, d := range off {
				mean += d / float64(len(off))
			}
			at := func(share float64) float64 { return off[int(share*float64(len(off)-1))] / cell }
			t.Logf("turn %g, tolerance %g: max %.4f, 99%% %.4f, mean %.5f cells; worst at %v; %d triangles", turn, tolerance, at(1), at(0.99), mean/cell, worst, len(s.Triangles))
			require.LessOrEqual(t, at(1), 0.1)
			require.LessOrEqual(t, at(0.99), 0.05)
			require.LessOrEqual(t, mean/cell, 0.002)
			for _, e := range edges {
				for _, corner := range e {
					require.LessOrEqual(t, nearestVertex(&s.Mesh, corner), 0.1*cell)
				}
			}
		}
	}
}

// nearestVertex is the distance from p to the nearest vertex.
func nearestVertex(m *Mesh, p r3.Vec) float64 {
	least := math.Inf(1)
	for _, v := range m.Vertices {
		least = math.Min(least, r3.Norm(r3.Sub(p, r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])})))
	}
	return least
}
