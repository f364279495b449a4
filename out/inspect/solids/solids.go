// Package solids holds meshes of known shape, and rasters, for the tests of the
// inspection.
package solids

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/out/inspect/raster"
	"socle/out/inspect/tree"
)

// Shape is a mesh; shapes put together stay as they are, so that those which
// overlap are one solid to a winding number and those turned inward are holes.
type Shape struct {
	Vertices  [][3]float32
	Triangles [][3]uint32
}

// Together is all shapes as one.
func Together(shapes ...Shape) (all Shape) {
	for _, s := range shapes {
		n := uint32(len(all.Vertices))
		all.Vertices = append(all.Vertices, s.Vertices...)
		for _, t := range s.Triangles {
			all.Triangles = append(all.Triangles, [3]uint32{t[0] + n, t[1] + n, t[2] + n})
		}
	}
	return all
}

// Inward turns a shape inside out: inside another one, it is a hole.
func Inward(s Shape) Shape {
	t := Shape{Vertices: s.Vertices}
	for _, v := range s.Triangles {
		t.Triangles = append(t.Triangles, [3]uint32{v[0], v[2], v[1]})
	}
	return t
}

// Box is a box from one corner to the other.
func Box(lo, hi [3]float32) (s Shape) {
	for i := range 8 {
		v := lo
		for c := range 3 {
			if i>>c&1 == 1 {
				v[c] = hi[c]
			}
		}
		s.Vertices = append(s.Vertices, v)
	}
	s.Triangles = [][3]uint32{
		{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, // below, above
		{0, 1, 5}, {0, 5, 4}, {2, 6, 7}, {2, 7, 3}, // south, north
		{0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}, // west, east
	}
	return s
}

// Frustum stands on z = 0 around (x, y) with n sides; a radius of 0 above makes
// it a cone.
func Frustum(x, y, below, above, height float64, n int) (s Shape) {
	for _, ring := range [][2]float64{{below, 0}, {above, height}} {
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.25) / float64(n))
			s.Vertices = append(s.Vertices, [3]float32{float32(x + ring[0]*cos), float32(y + ring[0]*sin), float32(ring[1])})
		}
	}
	m := uint32(n)
	for i := range m {
		j := (i + 1) % m
		s.Triangles = append(s.Triangles, [3]uint32{i, j, m + j}, [3]uint32{i, m + j, m + i})
		if i > 0 && j > 0 {
			s.Triangles = append(s.Triangles, [3]uint32{0, j, i}, [3]uint32{m, m + i, m + j})
		}
	}
	return s
}

// Sliced is a shape as a raster, mm.
func Sliced(t *testing.T, s Shape, pixel, layer float64) *raster.Raster {
	t.Helper()
	r, err := raster.Slice(context.Background(), s.Vertices, s.Triangles, raster.Grid{Pixel: pixel, Layer: layer})
	require.NoError(t, err)
	return r
}

// Drawn makes a raster of pixels and layers of 1 mm from pictures of its
// layers, the lowest first: rows from y = 0 up, parted by blanks, '#' solid.
func Drawn(layers ...string) *raster.Raster {
	rows := strings.Fields(layers[0])
	r := raster.New([3]float64{}, 1, 1, [3]int{len(rows[0]), len(rows), len(layers)}, raster.DefaultLimit)
	for k, layer := range layers {
		for j, row := range strings.Fields(layer) {
			for i, c := range row {
				if c == '#' {
					raster.Fill(r.Row(j, k), i, i+1)
				}
			}
		}
	}
	return r
}

// Rough is a slab of side x side mm on z = 0 with n x n squares of rough ground
// on it, about height mm up, and a gallery on pillars over a part of it.
func Rough(side, height float64, n int) Shape {
	var s Shape
	m := n + 1
	at := func(i, j, up int) uint32 { return uint32((up*m+j)*m + i) }
	for up := range 2 {
		for j := range m {
			for i := range m {
				x, y := side*float64(i)/float64(n), side*float64(j)/float64(n)
				z := height + 0.12*height*(math.Sin(1.3*x)*math.Cos(0.9*y)+math.Sin(5.1*x+2.3*y)*math.Sin(4.7*y)) +
					0.02*height*math.Sin(float64(i*i*7+j*j*13))
				s.Vertices = append(s.Vertices, [3]float32{float32(x), float32(y), float32(z * float64(up))})
			}
		}
	}
	quad := func(a, b, c, d uint32) {
		s.Triangles = append(s.Triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
	}
	for j := range n {
		for i := range n {
			quad(at(i, j, 1), at(i+1, j, 1), at(i+1, j+1, 1), at(i, j+1, 1))
			quad(at(i, j, 0), at(i, j+1, 0), at(i+1, j+1, 0), at(i+1, j, 0))
		}
		quad(at(j, 0, 0), at(j+1, 0, 0), at(j+1, 0, 1), at(j, 0, 1))
		quad(at(j, n, 0), at(j, n, 1), at(j+1, n, 1), at(j+1, n, 0))
		quad(at(0, j, 0), at(0, j, 1), at(0, j+1, 1), at(0, j+1, 0))
		quad(at(n, j, 0), at(n, j+1, 0), at(n, j+1, 1), at(n, j, 1))
	}
	far, top := float32(side*0.8), float32(height*2)
	gallery := Box([3]float32{2, 2, top}, [3]float32{far, far, top + 1})
	for x := float32(2); x < far-1; x += 6 {
		for y := float32(2); y < far-1; y += 6 {
			gallery = Together(gallery, Box([3]float32{x, y, 1}, [3]float32{x + 1, y + 1, top + 0.5}))
		}
	}
	return Together(s, gallery)
}

// Indexed is the tree over a shape.
func Indexed(t require.TestingT, s Shape) *tree.Index {
	x, err := tree.New(context.Background(), s.Vertices, s.Triangles)
	require.NoError(t, err)
	return x
}

// Moved is the shape after f.
func Moved(s Shape, f func(r3.Vec) r3.Vec) Shape {
	m := Shape{Triangles: s.Triangles}
	for _, v := range s.Vertices {
		p := f(tree.Vec(v))
		m.Vertices = append(m.Vertices, [3]float32{float32(p.X), float32(p.Y), float32(p.Z)})
	}
	return m
}

// Unit draws a direction, often along an axis or halfway between two.
func Unit() *rapid.Generator[r3.Vec] {
	return rapid.Custom(func(t *rapid.T) r3.Vec {
		side := rapid.OneOf(rapid.Float64Range(-1, 1), rapid.SampledFrom([]float64{-1, 0, 1}))
		v := r3.Vec{X: side.Draw(t, "x"), Y: side.Draw(t, "y"), Z: side.Draw(t, "z")}
		if r3.Norm(v) < 0.01 {
			return r3.Vec{Z: 1}
		}
		return r3.Unit(v)
	})
}

// Clutter draws a solid with many sizes of triangle.
func Clutter() *rapid.Generator[Shape] {
	return rapid.Custom(func(t *rapid.T) Shape {
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 0:
			return Rough(10, 2, rapid.IntRange(2, 9).Draw(t, "n"))
		case 1:
			turn := r3.NewRotation(rapid.Float64Range(0, 6).Draw(t, "angle"), Unit().Draw(t, "about"))
			s := Frustum(0, 0, 3, rapid.Float64Range(0, 3).Draw(t, "above"), 5, rapid.IntRange(3, 40).Draw(t, "n"))
			return Together(Moved(s, turn.Rotate), Box([3]float32{4, 4, 4}, [3]float32{5, 5, 5}))
		default:
			var s Shape
			for range rapid.IntRange(1, 20).Draw(t, "boxes") {
				x, y, z := rapid.IntRange(-5, 5).Draw(t, "x"), rapid.IntRange(-5, 5).Draw(t, "y"), rapid.IntRange(-5, 5).Draw(t, "z")
				lo := [3]float32{float32(x), float32(y), float32(z)}
				s = Together(s, Box(lo, [3]float32{lo[0] + 1, lo[1] + 2, lo[2] + 1}))
			}
			return s
		}
	})
}

// Noise draws small solids of any kind, from sparse to nearly full.
func Noise(t *rapid.T) *raster.Raster {
	size := [3]int{
		rapid.OneOf(rapid.IntRange(1, 12), rapid.IntRange(60, 70)).Draw(t, "nx"), // within a word, and over its end
		rapid.IntRange(1, 7).Draw(t, "ny"),
		rapid.IntRange(1, 6).Draw(t, "nz"),
	}
	r := raster.New([3]float64{-3, 2, 0.5}, 0.05, rapid.SampledFrom([]float64{0.05, 0.025, 0.13}).Draw(t, "layer"), size, raster.DefaultLimit)
	odds := rapid.IntRange(1, 20).Draw(t, "odds")
	for k := range size[2] {
		for j := range size[1] {
			for i := range size[0] {
				if rapid.IntRange(0, 20).Draw(t, "pixel") < odds {
					raster.Fill(r.Row(j, k), i, i+1)
				}
			}
		}
	}
	return r
}

// Eroded is a raster eroded by a ball, mm.
func Eroded(t require.TestingT, r *raster.Raster, radius float64) *raster.Raster {
	e, err := r.Eroded(context.Background(), radius)
	require.NoError(t, err)
	return e
}

// Bitty draws two blocks, and a few boxes on and between them.
func Bitty(t *rapid.T) *raster.Raster {
	size := [3]int{rapid.SampledFrom([]int{20, 20, 66}).Draw(t, "nx"), 8, 8}
	r := raster.New([3]float64{}, 0.05, rapid.SampledFrom([]float64{0.05, 0.03}).Draw(t, "layer"), size, raster.DefaultLimit)
	put := func(lo, hi [3]int) {
		for k := lo[2]; k < hi[2]; k++ {
			for j := lo[1]; j < hi[1]; j++ {
				raster.Fill(r.Row(j, k), lo[0], hi[0])
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
