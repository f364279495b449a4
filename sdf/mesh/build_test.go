package mesh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

func TestTiltedBox(t *testing.T) {
	f := sdf.Place(sdf.Box(sdf.V(20, 14, 9), 0), sdf.Turn(sdf.V(1, 2, 3), 25))
	for _, cell := range []float64{1, 0.4, 0.2} {
		for _, tolerance := range []float64{-1, 0} {
			s := mustBuild(t, f, Options{Cell: cell, Tolerance: tolerance})
			// Reduction may move the whole surface by its tolerance, a fortieth of a
			// cell: 1.2 % at the coarsest. It takes a thirtieth of that.
			most := 2e-4
			if tolerance >= 0 {
				most = 4e-4
			}
			require.InEpsilon(t, 20*14*9, s.Proof.Volume, most)
			require.Equal(t, 0, s.Proof.Genus)
			if tolerance < 0 {
				require.Zero(t, s.Stats.Mended, "what the contour emits does not cross")
				require.Len(t, s.Triangles, s.Stats.Unreduced)
			} else {
				require.Less(t, 5*len(s.Triangles), s.Stats.Unreduced)
			}
		}
	}
}

func TestBoxWithHoles(t *testing.T) {
	var holes []sdf.Field
	for i := range 6 {
		at := sdf.V(float64(i)*3-7.5, 0, math.Sin(float64(i)))
		holes = append(holes, sdf.Place(sdf.Box(sdf.V(2, 40, 2), 0), sdf.Turn(sdf.V(0, 0, 1), 3).Then(sdf.At(at))))
	}
	s := mustBuild(t, sdf.Difference(sdf.Box(r3.Vec{X: 20, Y: 14, Z: 9}, 0.5), holes...), Options{Cell: 0.3})
	require.Equal(t, 6, s.Proof.Genus)
}

// Loose pieces and sealed voids are dropped, and named.
func TestCrumbs(t *testing.T) {
	box := sdf.Box(sdf.V(8, 8, 8), 0)
	void := sdf.Box(sdf.V(2, 3, 2), 0)
	loose := sdf.Place(sdf.Box(sdf.V(1, 1, 1), 0), sdf.At(sdf.V(6, 0, 1)))
	s := mustBuild(t, sdf.Union(sdf.Difference(box, void), loose), Options{Cell: 0.4})
	require.InDelta(t, 512, s.Proof.Volume, 0.01)
	require.Len(t, s.Crumbs, 2)
	require.InDelta(t, -12, s.Crumbs[0].Volume, 0.01)
	require.InDelta(t, 1, s.Crumbs[1].Volume, 0.01)
	require.InDelta(t, 6, s.Crumbs[1].At.X, 0.01)
}

// A loose piece that is kept is a shell of its own, turned outward; a sealed void
// is filled all the same, with the piece that lies loose in it.
func TestKeepLoose(t *testing.T) {
	f := sdf.Union(
		sdf.Difference(sdf.Box(sdf.V(4, 4, 4), 0), sdf.Box(sdf.V(2, 2, 3), 0)),
		sdf.Place(sdf.Box(sdf.V(1, 1, 1), 0), sdf.At(sdf.V(6, 0, 0))),
		sdf.Box(sdf.V(1, 1, 1), 0))
	s, err := Build(t.Context(), f, Options{Cell: 0.4, KeepLoose: true})
	require.NoError(t, err)
	require.Len(t, s.Crumbs, 3)
	for i, want := range []Crumb{{Volume: -12}, {Volume: 1}, {Volume: 1}} {
		require.InDelta(t, want.Volume, s.Crumbs[i].Volume, 0.01)
		require.Equal(t, s.Crumbs[i].At.X > 5, s.Crumbs[i].Kept, "%v", s.Crumbs[i])
	}
	require.Equal(t, 2, s.Proof.Shells)
	require.InDelta(t, 4*4*4+1, s.Proof.Volume, 0.01)
}
