package out

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// stlFile is a binary STL taken apart.
type stlFile struct {
	header [stlHeader]byte
	facets []struct {
		Normal  [3]float32
		Corners [3][3]float32
		Mark    uint16
	}
}

func readSTL(t require.TestingT, b []byte) (f stlFile) {
	r := bytes.NewReader(b)
	var n uint32
	require.NoError(t, binary.Read(r, binary.LittleEndian, &f.header))
	require.NoError(t, binary.Read(r, binary.LittleEndian, &n))
	require.EqualValues(t, stlFacet*int(n), r.Len())
	for range n {
		f.facets = append(f.facets, struct {
			Normal  [3]float32
			Corners [3][3]float32
			Mark    uint16
		}{})
		require.NoError(t, binary.Read(r, binary.LittleEndian, &f.facets[len(f.facets)-1]))
	}
	return f
}

func TestSTLHoldsTheMesh(t *testing.T) {
	for name, s := range map[string]shape{
		"cube":        cube([3]float32{-3, -2, 0}, [3]float32{5, 7, 4}),
		"tetrahedron": tetrahedron(10),
		"torus":       torus(40, 24, 20, 6),
	} {
		t.Run(name, func(t *testing.T) {
			require.InEpsilon(t, s.volume, s.signedVolume(), 1e-6, "the test's own shape")
			var b bytes.Buffer
			require.NoError(t, WriteSTL(&b, name, s.vertices, s.triangles))
			f := readSTL(t, b.Bytes())
			require.Len(t, f.facets, len(s.triangles))
			for i, facet := range f.facets {
				require.Zero(t, facet.Mark)
				for k, corner := range facet.Corners {
					require.Equal(t, s.vertices[s.triangles[i][k]], corner)
				}
				requireNormal(t, facet.Corners, facet.Normal)
			}
		})
	}
}

// requireNormal checks a normal by what it must be: of unit length, square to
// the sides, and on the side that makes the triangle run counter-clockwise.
func requireNormal(t require.TestingT, p [3][3]float32, n [3]float32) {
	dot := func(a [3]float64) float64 {
		return a[0]*float64(n[0]) + a[1]*float64(n[1]) + a[2]*float64(n[2])
	}
	u, v := side(p[0], p[1]), side(p[0], p[2])
	lu, lv := math.Hypot(math.Hypot(u[0], u[1]), u[2]), math.Hypot(math.Hypot(v[0], v[1]), v[2])
	require.InDelta(t, 1, math.Sqrt(dot([3]float64{float64(n[0]), float64(n[1]), float64(n[2])})), 1e-6)
	require.InDelta(t, 0, dot(u)/lu, 1e-6)
	require.InDelta(t, 0, dot(v)/lv, 1e-6)
	cross := [3]float64{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
	require.Positive(t, dot(cross))
}

func TestNormalsOfAnyTriangle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Float32Range(-300, 300)
		var p [3][3]float32
		for i := range p {
			for k := range p[i] {
				p[i][k] = coordinate.Draw(t, "c")
			}
		}
		if n, ok := unitNormal(p[0], p[1], p[2]); ok {
			requireNormal(t, p, n)
		}
	})
}

func TestSTLHeader(t *testing.T) {
	for _, title := range []string{"solid ground", "SOLID", "", "Kümmernis", "COLOR=red", "line\nbreak", strings.Repeat("long ", 40)} {
		head := stlTitle(title)
		require.False(t, bytes.HasPrefix(bytes.ToLower(head[:]), []byte("solid")), "%q", title)
		require.NotContains(t, string(head[:]), "=")
		for _, c := range head {
			require.True(t, c >= ' ' && c <= '~')
		}
	}
	head := stlTitle("walker")
	require.Contains(t, string(head[:]), "walker")
}

func TestNoFileHoldsAFaultyMesh(t *testing.T) {
	nan := float32(math.NaN())
	inf := float32(math.Inf(1))
	for _, c := range []struct {
		name      string
		vertices  [][3]float32
		triangles [][3]uint32
		says      string
		stlOnly   bool
	}{
		{"empty", nil, nil, "no triangles", false},
		{"NaN", [][3]float32{{nan, 0, 0}, {1, 0, 0}, {0, 1, 0}}, [][3]uint32{{0, 1, 2}}, "not finite", false},
		{"infinite", [][3]float32{{0, 0, 0}, {inf, 0, 0}, {0, 1, 0}}, [][3]uint32{{0, 1, 2}}, "not finite", false},
		{"index", [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, [][3]uint32{{0, 1, 3}}, "vertex 3 of 3", false},
		{"corner twice", [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}, [][3]uint32{{0, 1, 1}}, "twice", false},
		{"one on another", [][3]float32{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 1, float32(math.Copysign(0, -1))}}, [][3]uint32{{0, 1, 2}}, "on one another", false},
		{"no area", [][3]float32{{0, 0, 0}, {1, 1, 1}, {3, 3, 3}}, [][3]uint32{{0, 1, 2}}, "no area", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			var b bytes.Buffer
			require.ErrorContains(t, WriteSTL(&b, "x", c.vertices, c.triangles), c.says)
			require.Zero(t, b.Len(), "something was written")
			if c.stlOnly {
				return
			}
			set, err := NewThreeMF(&b, Meta{})
			require.NoError(t, err)
			require.ErrorContains(t, set.Add("x", c.vertices, c.triangles), c.says)
			require.ErrorContains(t, set.Close(), c.says, "a set with a fault must not close well")
		})
	}
}

func TestSTLOnAFullDisk(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err == nil {
		f, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		require.NoError(t, err)
		defer f.Close()
		s := tetrahedron(1)
		require.Error(t, WriteSTL(f, "x", s.vertices, s.triangles))
	}
	s := torus(60, 60, 20, 6)
	for room := 0; room < 84+stlFacet*len(s.triangles); room += 29_999 {
		require.ErrorIs(t, WriteSTL(&smallDisk{room: room}, "x", s.vertices, s.triangles), errFull)
	}
}
