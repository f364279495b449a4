package main

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// growthWork are the commands that the sweep takes the cost of: one that puts the scene
// together and draws it, and one that meshes and inspects it as well.
var growthWork = []struct {
	verb  string
	args  []string
	sweep int // n, at most: what is dearer is swept less far
}{
	{"plan", nil, 1000},
	{"check", []string{"--cell", "1", "--no-cache"}, 200},
}

// BenchmarkGrowth sweeps every count and every list, and tells how the processor time
// grows with it: as n to the exponent that it gives, by a least squares fit of the
// logarithms, less what the scene takes without any. -bench 'Growth/crater$/plan' sweeps one.
func BenchmarkGrowth(b *testing.B) {
	for _, g := range growths() {
		b.Run(g.of, func(b *testing.B) {
			for _, w := range growthWork {
				b.Run(w.verb, func(b *testing.B) {
					most := min(g.most, w.sweep)
					var ns, costs []float64
					var told strings.Builder
					none := g.cost(b, 1, w.verb, w.args...)
					for _, n := range []int{most / 4, most / 2, most} {
						if n < 2 {
							continue
						}
						took := g.cost(b, n, w.verb, w.args...)
						fmt.Fprintf(&told, "  %d: %.2f s", n, took.Seconds())
						ns, costs = append(ns, float64(n)), append(costs, max((took-none).Seconds(), 0.001))
					}
					x := exponent(ns, costs)
					b.ReportMetric(0, "ns/op")
					b.ReportMetric(x, "exponent")
					b.ReportMetric(costs[len(costs)-1]/ns[len(ns)-1]*1e6, "us-each")
					b.Logf("%-28s %-6s exponent %5.2f  1: %.2f s%s", g.of, w.verb, x, none.Seconds(), told.String())
				})
			}
		})
	}
}

// cost is the processor time of one run of the command on a scene with n of it.
func (g growth) cost(b *testing.B, n int, verb string, args ...string) time.Duration {
	dir := b.TempDir()
	require.NoError(b, os.WriteFile(filepath.Join(dir, "s.toml"), []byte(g.text(n)), 0o644))
	args = append([]string{verb, "s.toml", "--quiet"}, args...)
	if g.args != nil {
		args = append(args, g.args(n)...)
	}
	cmd := exec.Command(socle, args...)
	cmd.Dir = dir
	text, err := cmd.CombinedOutput()
	if err != nil && cmd.ProcessState.ExitCode() != exitNotProven {
		b.Fatalf("%s with %d: %v\n%.2000s", g.of, n, err, text)
	}
	return cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
}

// exponent is the slope of log cost over log n, by least squares.
func exponent(n, cost []float64) float64 {
	var sx, sy, sxx, sxy float64
	for i := range n {
		x, y := math.Log(n[i]), math.Log(cost[i])
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	k := float64(len(n))
	return (k*sxy - sx*sy) / (k*sxx - sx*sx)
}
