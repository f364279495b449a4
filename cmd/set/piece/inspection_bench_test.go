package piece

import (
	"context"
	"fmt"
	"runtime"
	"runtime/metrics"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
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
			s, err := set.Open(b.Context(), strings.NewReader(place+"[[base]]\nname = \"large\"\n"+c.base+"\n"), "-", set.Selection{})
			require.NoError(b, err)
			require.NoError(b, s.Settle(&set.Options{Setting: set.SettingFine}))
			set, err := s.Cut(nil)
			require.NoError(b, err)
			p := &set.Pieces[0]
			m := meshPiece(b.Context(), p, set.MeshOptions(p), nil)
			require.NoError(b, m.Err)
			var i *inspection.Inspection
			peak := mostHeap(func() {
				for b.Loop() {
					i, err = inspection.Inspect(context.Background(), set, p, m.Solid, set.MeshOptions(p))
					require.NoError(b, err)
				}
			})
			b.ReportMetric(peak/(1<<20), "peakMB")
			b.ReportMetric(float64(len(m.Solid.Triangles)), "triangles")
			b.ReportMetric(m.Solid.Proof.Box.Max.Z/i.Measured.Raster.Layer, "layers")
			b.ReportMetric(float64(len(i.Findings)), "concerns")
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N), "s/op")
			b.Log(strings.TrimSpace(fmt.Sprint(finding.TallyOf(i.Findings))))
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
