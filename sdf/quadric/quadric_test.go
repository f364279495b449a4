package quadric

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func drawVec(t *rapid.T, label string) r3.Vec {
	in := rapid.Float64Range(-5, 5)
	return r3.Vec{X: in.Draw(t, label+" x"), Y: in.Draw(t, label+" y"), Z: in.Draw(t, label+" z")}
}

func near(t require.TestingT, want, got r3.Vec) {
	require.InDelta(t, 0, r3.Norm(r3.Sub(want, got)), 1e-9)
}

// Three planes meet in a corner, two in an edge, one is free along itself: the rest
// of the place is that of the point that is given.
func TestLeastOfPlanes(t *testing.T) {
	corner, from := r3.Vec{X: 1, Y: -2, Z: 3}, r3.Vec{X: 4, Y: 5, Z: 6}
	var q Quadric
	near(t, from, q.Least(from, 1e-3))
	q.Plane(corner, r3.Vec{X: 1}, 2)
	near(t, r3.Vec{X: 1, Y: 5, Z: 6}, q.Least(from, 1e-3))
	q.Plane(corner, r3.Vec{Y: -1}, 1)
	near(t, r3.Vec{X: 1, Y: -2, Z: 6}, q.Least(from, 1e-3))
	q.Plane(corner, r3.Vec{Z: 1}, 0.5)
	near(t, corner, q.Least(from, 1e-3))
	require.InDelta(t, 0, q.At(corner), 1e-9)
	require.InDelta(t, 2*9+49+0.5*9, q.At(from), 1e-9)
	near(t, r3.Vec{X: 1, Y: -2, Z: 6}, q.Least(from, 0.3)) // a quarter of the greatest counts as free
}

// The sum is that of the squared distances, and nowhere near the least is it less.
func TestSumsOfDistances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, start := drawVec(t, "p"), drawVec(t, "start")
		var q, relative Quadric
		want := 0.0
		for range rapid.IntRange(1, 6).Draw(t, "planes") {
			at, n := drawVec(t, "at"), drawVec(t, "normal")
			if r3.Norm(n) < 0.1 {
				continue
			}
			n = r3.Unit(n)
			var one Quadric
			one.Plane(at, n, 3)
			q.Add(&one)
			relative.Plane(r3.Sub(at, start), n, 3)
			want += 3 * math.Pow(r3.Dot(n, r3.Sub(p, at)), 2)
		}
		at := drawVec(t, "point")
		q.Point(at, 0.5)
		relative.Point(r3.Sub(at, start), 0.5)
		want += 0.5 * r3.Norm2(r3.Sub(p, at))
		require.InDelta(t, want, q.At(p), 1e-9*(1+want))
		least := q.Least(start, 0)
		near(t, least, relative.LeastFrom(start, 0))
		require.LessOrEqual(t, q.At(least), q.At(p)+1e-9)
	})
}
