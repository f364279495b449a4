package main

import (
	"context"
	"fmt"
	"runtime"
	"runtime/metrics"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"socle/scenes"
)

// BenchmarkInspection inspects bases of shipped scenes, meshed finely, at pixel
// and layer 0.05: with its time, the most memory that was in use besides the solid,
// and what there was to look at.
func BenchmarkInspection(b *testing.B) {
	for _, c := range []struct{ name, scene, base string }{
		{"round60", "brennock-foundry", "round = 60\nat = [95, 62]"},
		{"oval170x109", "saltmere-quay", "oval = [170, 109]\nat = [110, 85]"},
	} {
		b.Run(c.name, func(b *testing.B) {
			text, err := scenes.Open(c.scene)
			require.NoError(b, err)
			place, _, _ := strings.Cut(string(text), "[[base]]") // all but the set
			s, err := openScene(b.Context(), strings.NewReader(place+"[[base]]\nname = \"large\"\n"+c.base+"\n"), "-", Selection{})
			require.NoError(b, err)
			require.NoError(b, s.settle(&Options{Setting: settingFine}))
			set, err := s.cut(nil)
			require.NoError(b, err)
			p := &set.pieces[0]
			m := meshPiece(b.Context(), p, set.meshOptions(p), nil)
			require.NoError(b, m.err)
			var i *inspection
			peak := mostHeap(func() {
				for b.Loop() {
					i, err = set.inspect(context.Background(), p, m.solid, set.meshOptions(p))
					require.NoError(b, err)
				}
			})
			b.ReportMetric(peak/(1<<20), "peakMB")
			b.ReportMetric(float64(len(m.solid.Triangles)), "triangles")
			b.ReportMetric(m.solid.Proof.Box.Max.Z/i.measured.Raster.Layer, "layers")
			b.ReportMetric(float64(len(i.concerns)), "concerns")
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N), "s/op")
			b.Log(strings.TrimSpace(fmt.Sprint(tallyOf(i.concerns))))
		})
	}
}

// mostHeap gives the most bytes of memory that the program held for its heap
// while it did something, more than before it.
func mostHeap(do func()) (most float64) {
	heap := func() float64 {
		sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
		metrics.Read(sample)
		return float64(sample[0].Value.Uint64())
	}
	runtime.GC()
	before := heap()
	done := make(chan struct{})
	told := make(chan float64)
	go func() {
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-tick.C:
				most = max(most, heap()-before)
			case <-done:
				told <- most
				return
			}
		}
	}()
	do()
	close(done)
	return <-told
}
