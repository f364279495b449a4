package inspect

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// shape is a mesh; shapes put together stay as they are, so that those which
// overlap are one solid to a winding number and those turned inward are holes.
type shape struct {
	vertices  [][3]float32
	triangles [][3]uint32
}

func together(shapes ...shape) (all shape) {
	for _, s := range shapes {
		n := uint32(len(all.vertices))
		all.vertices = append(all.vertices, s.vertices...)
		for _, t := range s.triangles {
			all.triangles = append(all.triangles, [3]uint32{t[0] + n, t[1] + n, t[2] + n})
		}
	}
	return all
}

// inward turns a shape inside out: inside another one, it is a hole.
func inward(s shape) shape {
	t := shape{vertices: s.vertices}
	for _, v := range s.triangles {
		t.triangles = append(t.triangles, [3]uint32{v[0], v[2], v[1]})
	}
	return t
}

// box is a box from one corner to the other.
func box(lo, hi [3]float32) (s shape) {
	for i := range 8 {
		v := lo
		for c := range 3 {
			if i>>c&1 == 1 {
				v[c] = hi[c]
			}
		}
		s.vertices = append(s.vertices, v)
	}
	s.triangles = [][3]uint32{
		{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, // below, above
		{0, 1, 5}, {0, 5, 4}, {2, 6, 7}, {2, 7, 3}, // south, north
		{0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}, // west, east
	}
	return s
}

// frustum stands on z = 0 around (x, y) with n sides; a radius of 0 above makes
// it a cone.
func frustum(x, y, below, above, height float64, n int) (s shape) {
	for _, ring := range [][2]float64{{below, 0}, {above, height}} {
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.25) / float64(n))
			s.vertices = append(s.vertices, [3]float32{float32(x + ring[0]*cos), float32(y + ring[0]*sin), float32(ring[1])})
		}
	}
	m := uint32(n)
	for i := range m {
		j := (i + 1) % m
		s.triangles = append(s.triangles, [3]uint32{i, j, m + j}, [3]uint32{i, m + j, m + i})
		if i > 0 && j > 0 {
			s.triangles = append(s.triangles, [3]uint32{0, j, i}, [3]uint32{m, m + i, m + j})
		}
	}
	return s
}

func sliced(t *testing.T, s shape, pixel, layer float64) *Raster {
	t.Helper()
	r, err := Slice(context.Background(), s.vertices, s.triangles, Grid{Pixel: pixel, Layer: layer})
	require.NoError(t, err)
	return r
}

// drawn makes a raster of pixels and layers of 1 mm from pictures of its
// layers, the lowest first: rows from y = 0 up, parted by blanks, '#' solid.
func drawn(layers ...string) *Raster {
	rows := strings.Fields(layers[0])
	r := newRaster([3]float64{}, 1, 1, [3]int{len(rows[0]), len(rows), len(layers)}, DefaultLimit)
	for k, layer := range layers {
		for j, row := range strings.Fields(layer) {
			for i, c := range row {
				if c == '#' {
					fill(r.row(j, k), i, i+1)
				}
			}
		}
	}
	return r
}
