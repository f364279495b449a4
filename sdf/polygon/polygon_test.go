package polygon

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// Of a star whose corners go round a middle, what lies within is told by the side of the
// edge that the ray from the middle meets.
func TestContains(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 30).Draw(t, "corners")
		star := make([]r2.Vec, n)
		for i := range star {
			r := rapid.Float64Range(0.5, 20).Draw(t, "radius")
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			star[i] = r2.Vec{X: r * c, Y: r * s}
		}
		// A place between two corners: their mean, moved along the ray from the middle.
		i := rapid.IntRange(0, n-1).Draw(t, "side")
		w := rapid.Float64Range(0.01, 0.99).Draw(t, "along")
		on := r2.Add(r2.Scale(1-w, star[i]), r2.Scale(w, star[(i+1)%n]))
		require.True(t, Contains(star, r2.Scale(0.999, on)))
		require.False(t, Contains(star, r2.Scale(1.001, on)))
	})
	require.False(t, Contains(nil, r2.Vec{}))
	require.False(t, Contains([]r2.Vec{{}, {X: 1}}, r2.Vec{X: 0.5, Y: 0.1}))
}
