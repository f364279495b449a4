package inspect

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// rough is a slab of side x side mm on z = 0 with n x n squares of rough ground
// on it, about height mm up, and a gallery on pillars over a part of it.
func rough(side, height float64, n int) shape {
	var s shape
	m := n + 1
	at := func(i, j, up int) uint32 { return uint32((up*m+j)*m + i) }
	for up := range 2 {
		for j := range m {
			for i := range m {
				x, y := side*float64(i)/float64(n), side*float64(j)/float64(n)
				z := height + 0.12*height*(math.Sin(1.3*x)*math.Cos(0.9*y)+math.Sin(5.1*x+2.3*y)*math.Sin(4.7*y)) +
					0.02*height*math.Sin(float64(i*i*7+j*j*13))
				s.vertices = append(s.vertices, [3]float32{float32(x), float32(y), float32(z * float64(up))})
			}
		}
	}
	quad := func(a, b, c, d uint32) {
		s.triangles = append(s.triangles, [3]uint32{a, b, c}, [3]uint32{a, c, d})
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
	gallery := box([3]float32{2, 2, top}, [3]float32{far, far, top + 1})
	for x := float32(2); x < far-1; x += 6 {
		for y := float32(2); y < far-1; y += 6 {
			gallery = together(gallery, box([3]float32{x, y, 1}, [3]float32{x + 1, y + 1, top + 0.5}))
		}
	}
	return together(s, gallery)
}

// The bench's solid is closed and as large as it should be: the waves come out
// even, more or less.
func TestRoughGround(t *testing.T) {
	r := sliced(t, rough(10, 4, 20), 0.1, 0.1)
	volume := 0.0
	for _, area := range r.Areas() {
		volume += area * 0.1
	}
	require.InEpsilon(t, 10*10*4+6*6*1+2*4*4, volume, 0.1)
}

func BenchmarkBase60(b *testing.B) {
	s := rough(60, 4, 400)
	slice := func(b *testing.B) *Raster {
		r, err := Slice(context.Background(), s.vertices, s.triangles, Grid{Pixel: 0.05, Layer: 0.05})
		require.NoError(b, err)
		return r
	}
	r := slice(b)
	n := 0
	for k := range r.Size[2] {
		for j := range r.Size[1] {
			for range runs(r.row(j, k), r.Size[0]) {
				n++
			}
		}
	}
	counters := func(b *testing.B, layers int) {
		b.ReportMetric(float64(r.Size[0]*r.Size[1]*layers), "pixels")
		b.ReportMetric(float64(n), "runs")
		b.ReportMetric(float64(r.Bytes()), "raster-bytes")
		b.ReportMetric(float64(len(s.triangles)), "triangles")
		b.ReportAllocs()
	}
	b.Run("slice", func(b *testing.B) {
		for b.Loop() {
			slice(b)
		}
		counters(b, r.Size[2])
	})
	b.Run("unsupported", func(b *testing.B) {
		found := 0
		for b.Loop() {
			f, err := r.Unsupported(context.Background(), 0.5)
			require.NoError(b, err)
			found = len(f)
		}
		counters(b, r.Size[2])
		b.ReportMetric(float64(found), "findings")
	})
	b.Run("voids", func(b *testing.B) {
		for b.Loop() {
			_, err := r.Voids(context.Background())
			require.NoError(b, err)
		}
		counters(b, r.Size[2])
	})
	b.Run("all of it", func(b *testing.B) {
		job := usualJob()
		job.Grid = Grid{Pixel: 0.05, Layer: 0.05}
		found := 0
		for b.Loop() {
			all, err := Inspect(context.Background(), s.vertices, s.triangles, job)
			require.NoError(b, err)
			found = len(all.Findings)
		}
		counters(b, r.Size[2])
		b.ReportMetric(float64(found), "findings")
	})
}
