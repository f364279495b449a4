package mesh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
)

// What a solid stands on keeps clear of the grid's planes, whatever heights are asked
// for above it, and however many.
func TestGridKeepsClearOfTheSole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.Float64Range(LeastCell, 2).Draw(t, "cell")
		foot := rapid.SampledFrom([]float64{0, -3, 1.25, 7.3}).Draw(t, "foot")
		rise := rapid.Float64Range(0.1, 3).Draw(t, "rise")
		var heights []float64
		for k := range rapid.IntRange(0, 200).Draw(t, "heights") {
			heights = append(heights, foot+rise*float64(k+1))
		}
		box := r3.Box{Min: sdf.V(-9, -7, foot), Max: sdf.V(11, 7, foot+rise*float64(len(heights)+1))}
		g, _ := newGrid(box, cell, heights)
		off := math.Mod(foot*unitsPerMM-float64(g.origin[2]), float64(g.step))
		require.GreaterOrEqual(t, math.Min(off, float64(g.step)-off), float64(cornerGap)-0.5)
	})
}
