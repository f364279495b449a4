package crater

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// TestTrackPrunesToTheBit holds the fields of a scar along many points, pruned to a
// ball, to their own bits everywhere in it.
func TestTrackPrunesToTheBit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Float64Range(0, 60)
		var line []r2.Vec
		for range rapid.IntRange(2, 80).Draw(t, "points") {
			p := r2.Vec{X: coordinate.Draw(t, "x"), Y: coordinate.Draw(t, "y")}
			if n := len(line); n == 0 || r2.Norm(r2.Sub(p, line[n-1])) > parts.LeastSize {
				line = append(line, p)
			}
		}
		if len(line) < 2 {
			return
		}
		width := rapid.Float64Range(0.5, 8).Draw(t, "width")
		plan := newScarPlan(newTrack(line), planar.Bounds(line), width/2, 0.15, sdf.NewNoise(7, 3*width, 2))
		all := []sdf.Field{newScoop(plan, 1, profile{curve: 0.4 / width, bend: width / 2, slope: 0.4}), newShaft(plan, 3, 20, width)}
		ball := sdf.Ball{C: sdf.V(coordinate.Draw(t, "cx"), coordinate.Draw(t, "cy"), 2), R: rapid.Float64Range(0.01, 20).Draw(t, "radius")}
		for _, f := range all {
			pruned := f.Prune(ball)
			for range 20 {
				unit := rapid.Float64Range(-1, 1)
				d := sdf.V(unit.Draw(t, "dx"), unit.Draw(t, "dy"), unit.Draw(t, "dz"))
				p := r3.Add(ball.C, r3.Scale(ball.R/math.Max(1, r3.Norm(d)), d))
				v, g := f.Gradient(p)
				w, h := pruned.Gradient(p)
				require.Equal(t, f.Value(p), pruned.Value(p))
				require.Equal(t, v, w)
				require.Equal(t, g, h)
			}
		}
	})
}

// TestLongTrackIsPrunedShort counts the sides that a long scar still has in a small ball.
func TestLongTrackIsPrunedShort(t *testing.T) {
	line := make([]r2.Vec, 1000)
	for i := range line {
		line[i] = r2.Vec{X: float64(i % 100), Y: float64(i / 100 * 5)}
		if i/100%2 == 1 {
			line[i].X = 99 - line[i].X
		}
	}
	require.Less(t, len(newTrack(line).pruned(r2.Vec{X: 50, Y: 20}, 1).sides), 20)
}
