package mesh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// countSlivers counts the triangles less than least mm high over their longest side.
func countSlivers(m *Mesh, least float64) (n int) {
	for i := range m.Triangles {
		a, b, c := cornersOf(m, i)
		ab, ac, bc := r3.Sub(b, a), r3.Sub(c, a), r3.Sub(c, b)
		if r3.Norm(r3.Cross(ab, ac)) < least*math.Sqrt(max(r3.Norm2(ab), r3.Norm2(ac), r3.Norm2(bc))) {
			n++
		}
	}
	return n
}

// The contour makes slivers where it passes close to corners of cells; hardly one is left
// by the reduction.
func TestSliversAreCleared(t *testing.T) {
	f, box := referenceSolid(930)
	before := mustBuild(t, f, Options{Cell: 0.4, Tolerance: -1, Box: box})
	require.Positive(t, countSlivers(&before.Mesh, 0.001), "or the test says nothing")
	after := mustBuild(t, f, Options{Cell: 0.4, Tolerance: 0.005, Box: box})
	require.LessOrEqual(t, countSlivers(&after.Mesh, 0.001), 3)
}
