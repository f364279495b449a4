package mesh

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// cubeMesh is a cube of side s mm at an offset: 8 vertices, 12 triangles.
func cubeMesh(x, y, z, s float32) Mesh {
	var m Mesh
	for i := range 8 {
		m.Vertices = append(m.Vertices, [3]float32{x + s*float32(i&1), y + s*float32(i>>1&1), z + s*float32(i>>2)})
	}
	for _, q := range [6][4]uint32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Triangles = append(m.Triangles, [3]uint32{q[0], q[1], q[2]}, [3]uint32{q[0], q[2], q[3]})
	}
	return m
}

func join(a, b Mesh) Mesh {
	n := uint32(len(a.Vertices))
	out := Mesh{Vertices: slices.Concat(a.Vertices, b.Vertices), Triangles: slices.Clone(a.Triangles)}
	for _, t := range b.Triangles {
		out.Triangles = append(out.Triangles, [3]uint32{t[0] + n, t[1] + n, t[2] + n})
	}
	return out
}

func TestProofOfACube(t *testing.T) {
	m := cubeMesh(-1, 2, 0, 2)
	p, err := Prove(context.Background(), &m)
	require.NoError(t, err)
	require.True(t, p.Closed)
	require.True(t, p.Outward)
	require.Zero(t, p.Crossings)
	require.Equal(t, 1, p.Shells)
	require.Equal(t, 0, p.Genus)
	require.InDelta(t, 8, p.Volume, 1e-12)
	require.InDelta(t, 24, p.Area, 1e-12)
}

// The validator must fail on meshes known to be bad, each for its own reason.
func TestProofRefuses(t *testing.T) {
	cube := func() Mesh { return cubeMesh(0, 0, 0, 2) }
	for _, c := range []struct {
		name string
		make func() Mesh
		why  string
	}{
		{"nothing", func() Mesh { return Mesh{} }, "no surface"},
		{"a hole", func() Mesh { m := cube(); m.Triangles = m.Triangles[1:]; return m }, "one triangle only"},
		{"a triangle turned over", func() Mesh {
			m := cube()
			m.Triangles[3][1], m.Triangles[3][2] = m.Triangles[3][2], m.Triangles[3][1]
			return m
		}, "turned the same way"},
		{"inside out", func() Mesh {
			m := cube()
			for i := range m.Triangles {
				m.Triangles[i][1], m.Triangles[i][2] = m.Triangles[i][2], m.Triangles[i][1]
			}
			return m
		}, "inside out"},
		{"two cubes that overlap", func() Mesh { return join(cube(), cubeMesh(1, 1, 1, 2)) }, "cross"},
		{"two cubes face to face", func() Mesh { return join(cube(), cubeMesh(2, 0, 0, 2)) }, "cross"},
		{"two cubes corner to corner", func() Mesh { return join(cube(), cubeMesh(2, 2, 2, 2)) }, "cross"},
		{"two cubes that share a vertex", func() Mesh {
			m := join(cube(), cubeMesh(2, 2, 2, 2))
			for i := 12; i < len(m.Triangles); i++ {
				for k, v := range m.Triangles[i] {
					if v == 8 {
						m.Triangles[i][k] = 7
					}
				}
			}
			m.Vertices = m.Vertices[:len(m.Vertices):len(m.Vertices)]
			return m
		}, "vertex"},
		{"a fin", func() Mesh {
			m := cube()
			m.Vertices = append(m.Vertices, [3]float32{1, 1, 5})
			m.Triangles = append(m.Triangles, [3]uint32{0, 1, 8}, [3]uint32{1, 0, 8})
			return m
		}, "turned the same way"},
		{"a triangle without area", func() Mesh {
			m := cube()
			m.Vertices[1] = [3]float32{1, 1, 0}
			m.Vertices[2] = [3]float32{2, 2, 0} // 0, 1, 2 in line
			m.Vertices[3] = [3]float32{3, 3, 0}
			return m
		}, "no area"},
		{"a vertex pulled through the far side", func() Mesh { m := cube(); m.Vertices[7] = [3]float32{1, 1, -0.5}; return m }, "cross"},
		{"off the lattice", func() Mesh { m := cube(); m.Vertices[7][0] = 2.0001; return m }, "lattice"},
		{"not a number", func() Mesh { m := cube(); m.Vertices[7][0] = float32(math.NaN()); return m }, "lattice"},
		{"infinite", func() Mesh { m := cube(); m.Vertices[7][0] = float32(math.Inf(1)); return m }, "lattice"},
		{"a vertex that is not there", func() Mesh { m := cube(); m.Triangles[0][0] = 99; return m }, "no vertex 99"},
		{"a vertex of no triangle", func() Mesh { m := cube(); m.Vertices = append(m.Vertices, [3]float32{9, 9, 9}); return m }, "no triangle"},
	} {
		m := c.make()
		_, err := Prove(context.Background(), &m)
		var fault *ProofError
		require.ErrorAs(t, err, &fault, c.name)
		require.Contains(t, fault.Error(), c.why, c.name)
	}
}

// The tree finds the pairs that looking at every pair finds.
func TestPairTreeAgainstEveryPair(t *testing.T) {
	m := join(cubeMesh(0, 0, 0, 2), cubeMesh(1, 1, 1, 2))
	for i := range 9 {
		m = join(m, cubeMesh(float32(i)*1.25, float32(i%3)*1.5, float32(i%4), 1))
	}
	x := examiner{}
	require.NoError(t, x.read(&m))
	var want [][2]int32
	for i := range x.triangles {
		for j := i + 1; j < len(x.triangles); j++ {
			var a, b [3]ipoint
			for k := range 3 {
				a[k], b[k] = x.points[x.triangles[i][k]], x.points[x.triangles[j][k]]
			}
			if improper(&a, &b, &x.triangles[i], &x.triangles[j]) {
				want = append(want, [2]int32{int32(i), int32(j)})
			}
		}
	}
	require.NotEmpty(t, want)
	for _, processors := range []int{1, 3} {
		onProcessors(t, processors)
		got, err := newPairTree(x.points, x.triangles).crossings(&crew{ctx: context.Background()})
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
}
