package mesh

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"runtime/metrics"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// referenceSolid is the yardstick for every figure of speed: a paved round base
// with a stair, a rail, a crater and rubble. More than about 930 parts are made by
// more and smaller tiles and more rubble on the same base.
func referenceSolid(parts int) (sdf.Field, r3.Box) {
	r := rand.New(rand.NewPCG(930, 1))
	side, blocks := 24, 300
	if parts > 1000 {
		side = int(math.Sqrt(float64(parts) * 0.7))
		blocks = parts - side*side - 50
	}
	pitch := 2.3 * 24 / float64(side)
	tile := sdf.V(pitch-0.1, pitch-0.1, 0.5)
	var all []sdf.Field
	for i := range side {
		for j := range side {
			tilt := sdf.Turn(sdf.V(r.NormFloat64(), r.NormFloat64(), 0), 2*r.Float64())
			at := sdf.V((float64(i)-float64(side-1)/2)*pitch, (float64(j)-float64(side-1)/2)*pitch, 5.25-0.15*r.Float64())
			all = append(all, sdf.Place(sdf.Box(tile, 0.1), tilt.Then(sdf.At(at))))
		}
	}
	all = append(all, sdf.BoxBetween(sdf.V(-35, -35, 3), sdf.V(35, 35, 5.1)))
	for i := range 6 {
		y := 6 + 2*float64(i)
		all = append(all, sdf.BoxBetween(sdf.V(-10, y, 4), sdf.V(6, 30, 5.5+float64(i+1))))
	}
	for i := range 40 {
		x := -24 + 1.2*float64(i)
		all = append(all, sdf.Place(sdf.Extrude(sdf.Circle(0.3), 0, 3), sdf.At(sdf.V(x, -12, 5))))
	}
	all = append(all, sdf.BoxBetween(sdf.V(-25, -12.4, 7.9), sdf.V(24, -11.6, 8.5)))
	crater := sdf.Displace(sdf.Place(&ellipsoid{sdf.V(10, 9, 5)}, sdf.At(sdf.V(13, -8, 6.5))), sdf.NewNoise(5, 3, 3), 0.4)
	scene := []sdf.Field{sdf.Difference(sdf.Union(all...), crater)}
	for range blocks {
		a, d := 2*math.Pi*r.Float64(), 8*math.Sqrt(r.Float64())
		s := 0.5 + r.Float64()
		z := 6.5 - 5*math.Sqrt(math.Max(0, 1-d*d/90)) + 0.2*s
		turn := sdf.Turn(sdf.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()), 360*r.Float64())
		scene = append(scene, sdf.Place(sdf.Box(sdf.V(s, s*(0.5+0.5*r.Float64()), s*(0.4+0.4*r.Float64())), 0),
			turn.Then(sdf.At(sdf.V(13+d*math.Cos(a), -8+d*math.Sin(a), z)))))
	}
	column := sdf.Extrude(sdf.Circle(30), 0, 25)
	inset := 4 * math.Tan(5*math.Pi/180)
	plinth := sdf.Cone(30+inset, 30, 4)
	return sdf.Union(sdf.Intersection(sdf.Union(scene...), column), plinth),
		r3.Box{Min: sdf.V(-31, -31, 0), Max: sdf.V(31, 31, 25)}
}

// peakMB runs f and gives the most heap that was in use at once, by sampling.
func peakMB(f func()) float64 {
	runtime.GC()
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(sample)
	before := sample[0].Value.Uint64()
	stop, peak := make(chan bool), make(chan uint64)
	go func() {
		most := uint64(0)
		for {
			select {
			case <-stop:
				peak <- most
				return
			case <-time.After(5 * time.Millisecond):
				metrics.Read(sample)
				most = max(most, sample[0].Value.Uint64())
			}
		}
	}()
	f()
	stop <- true
	return (float64(<-peak) - float64(before)) / (1 << 20)
}

// buildMeasured builds a solid in a benchmark's loop and gives it, and the most heap in use.
func buildMeasured(b *testing.B, f sdf.Field, box r3.Box, cell float64) (s *Solid, most float64) {
	for b.Loop() {
		most = math.Max(most, peakMB(func() {
			var err error
			if s, err = Build(context.Background(), f, Options{Cell: cell, Tolerance: 0.005, Box: box}); err != nil {
				b.Fatal(err)
			}
		}))
	}
	return s, most
}

func benchmarkReference(b *testing.B, f sdf.Field, box r3.Box, cell float64) {
	s, most := buildMeasured(b, f, box, cell)
	// The stair's nosings and flanks are straight edges that nothing else touches.
	var edges [][2]r3.Vec
	for i := range 5 {
		y, z := 6+2*float64(i), 5.5+float64(i+1)
		edges = append(edges, [2]r3.Vec{sdf.V(-10, y, z), sdf.V(6, y, z)})
	}
	off, _ := offEdges(&s.Mesh, edges)
	b.ReportMetric(float64(len(s.Triangles)), "triangles")
	b.ReportMetric(float64(s.Stats.FieldEvals)/float64(s.Stats.UnreducedV), "fieldevals/vertex")
	b.ReportMetric(float64(s.Stats.PrimEvals)/float64(s.Stats.FieldEvals), "primevals/fieldeval")
	b.ReportMetric(float64(s.Stats.FieldEvals)/float64(s.Stats.Cells), "fieldevals/cell")
	b.ReportMetric(most, "peakMB")
	b.ReportMetric(off[len(off)-1]/cell, "sharpmax_cells")
	b.ReportMetric(float64(s.Proof.Crossings), "crossings")
	b.ReportMetric(float64(s.Stats.Unreduced), "unreduced")
	b.ReportMetric(float64(s.Stats.Mended), "mended")
	b.ReportMetric(float64(countSlivers(&s.Mesh, 0.001)), "slivers")
}

func BenchmarkReference(b *testing.B) {
	for _, cell := range []float64{0.4, 0.2, 0.1} {
		f, box := referenceSolid(930)
		b.Run(fmt.Sprintf("cell=%g", cell), func(b *testing.B) { benchmarkReference(b, f, box, cell) })
	}
	f, box := referenceSolid(6000)
	b.Run("parts=6000", func(b *testing.B) { benchmarkReference(b, f, box, 0.2) })
	for _, cell := range []float64{0.4, 0.1} {
		b.Run(fmt.Sprintf("parts=6000,cell=%g", cell), func(b *testing.B) { benchmarkReference(b, f, box, cell) })
	}
}

// unpruned hides a field's simplifications: the slow twin.
type unpruned struct{ sdf.Field }

func (u *unpruned) Prune(sdf.Ball) sdf.Field { return u }

func BenchmarkUnpruned(b *testing.B) {
	f, box := referenceSolid(930)
	b.Run("cell=0.4", func(b *testing.B) { benchmarkReference(b, &unpruned{f}, box, 0.4) })
}
