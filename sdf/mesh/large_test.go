package mesh

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// largeScene is a paved place of w by d mm, with a stair, a rail, rubble and craters for
// every 60 x 60 mm of it, cut to an outline.
func largeScene(w, d float64, outline sdf.Shape) (sdf.Field, r3.Box) {
	r := rand.New(rand.NewPCG(170, 109))
	var parts, craters, rubble []sdf.Field
	tile := sdf.Box(sdf.V(2.2, 2.2, 0.5), 0.1)
	for x := -w/2 + 1.15; x < w/2; x += 2.3 {
		for y := -d/2 + 1.15; y < d/2; y += 2.3 {
			tilt := sdf.Turn(sdf.V(r.NormFloat64(), r.NormFloat64(), 0), 2*r.Float64())
			parts = append(parts, sdf.Place(tile, tilt.Then(sdf.At(sdf.V(x, y, 5.25-0.15*r.Float64())))))
		}
	}
	parts = append(parts, sdf.BoxBetween(sdf.V(-w/2-5, -d/2-5, 3), sdf.V(w/2+5, d/2+5, 5.1)))
	for x := -w/2 + 30; x < w/2; x += 60 {
		for y := -d/2 + 30; y < d/2; y += 60 {
			for i := range 6 {
				from := y + 2*float64(i)
				parts = append(parts, sdf.BoxBetween(sdf.V(x-20, from, 4), sdf.V(x-4, y+24, 5.5+float64(i+1))))
			}
			for i := range 30 {
				parts = append(parts, sdf.Place(sdf.Cylinder(0.3, 3, 0), sdf.At(sdf.V(x-18+1.2*float64(i), y-10, 5))))
			}
			parts = append(parts, sdf.BoxBetween(sdf.V(x-19, y-10.4, 7.9), sdf.V(x+18, y-9.6, 8.5)))
			bowl := sdf.Place(&ellipsoid{sdf.V(9, 8, 4)}, sdf.At(sdf.V(x+13, y+4, 6.5)))
			craters = append(craters, sdf.Displace(bowl, sdf.NewNoise(r.Uint64(), 3, 3), 0.4))
			for range 200 {
				a, at := 2*math.Pi*r.Float64(), 7*math.Sqrt(r.Float64())
				s := 0.5 + r.Float64()
				turn := sdf.Turn(sdf.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()), 360*r.Float64())
				z := 6.5 - 4*math.Sqrt(math.Max(0, 1-at*at/75)) + 0.2*s
				rubble = append(rubble, sdf.Place(sdf.Box(sdf.V(s, 0.7*s, 0.6*s), 0), turn.Then(sdf.At(sdf.V(x+13+at*math.Cos(a), y+4+at*math.Sin(a), z)))))
			}
		}
	}
	scene := sdf.Union(append(rubble, sdf.Difference(sdf.Union(parts...), craters...))...)
	f := sdf.Union(sdf.Intersection(scene, sdf.Extrude(outline, 0, 25)), sdf.Extrude(outline, 0, 4))
	return f, r3.Box{Min: sdf.V(-w/2, -d/2, 0), Max: sdf.V(w/2, d/2, 25)}
}

// BenchmarkLarge builds the largest bases that are sold, with a full scene. The aims: an
// oval of 170 x 109 mm at 0.1 mm in under 2 GiB, a tile of 500 x 500 mm at 0.4 mm at all.
func BenchmarkLarge(b *testing.B) {
	oval, box := largeScene(170, 109, sdf.EllipseShape(85, 54.5))
	b.Run("oval=170x109,cell=0.1", func(b *testing.B) { benchmarkLarge(b, oval, box, 0.1) })
	tile, box := largeScene(500, 500, sdf.Rectangle(500, 500, 0))
	b.Run("tile=500x500,cell=0.4", func(b *testing.B) { benchmarkLarge(b, tile, box, 0.4) })
}

func benchmarkLarge(b *testing.B, f sdf.Field, box r3.Box, cell float64) {
	s, most := buildMeasured(b, f, box, cell)
	b.ReportMetric(float64(len(s.Triangles)), "triangles")
	b.ReportMetric(float64(s.Stats.Unreduced), "unreduced")
	b.ReportMetric(float64(s.Stats.Cells), "cells")
	b.ReportMetric(most, "peakMB")
	b.ReportMetric(most*1024/float64(s.Stats.Cells), "KB/cell")
	b.ReportMetric(float64(s.Stats.Mended), "mended")
}

// BenchmarkMemory shows the curve: rough blocks whose volume grows by eight and whose
// surface grows by four. Memory is to grow with the surface.
func BenchmarkMemory(b *testing.B) {
	for _, side := range []float64{8, 16, 32, 64} {
		f := sdf.Displace(sdf.Box(sdf.V(side, side, side), 1), sdf.NewNoise(3, 2, 2), 0.2)
		h := side/2 + 0.5
		box := r3.Box{Min: sdf.V(-h, -h, -h), Max: sdf.V(h, h, h)}
		b.Run(fmt.Sprintf("side=%g", side), func(b *testing.B) { benchmarkLarge(b, f, box, 0.3) })
	}
}
