package mesh

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

func TestTiltedBox(t *testing.T) {
	f := sdf.Place(sdf.Box(sdf.V(20, 14, 9), 0), sdf.Turn(sdf.V(1, 2, 3), 25))
	for _, cell := range []float64{1, 0.4, 0.2} {
		start := time.Now()
		s, err := Build(context.Background(), f, Options{Cell: cell})
		require.NoError(t, err)
		t.Logf("cell %g: %d triangles, volume %.4f of %d, dev %.5f, %v %+v", cell, len(s.Triangles), s.Proof.Volume, 20*14*9, s.Stats.Deviation, time.Since(start), s.Stats)
		require.InEpsilon(t, 20*14*9, s.Proof.Volume, 1e-4)
	}
}

func TestHollowedBox(t *testing.T) {
	var holes []sdf.Field
	for i := range 6 {
		holes = append(holes, sdf.Place(sdf.Box(sdf.V(2, 40, 2), 0), sdf.Turn(sdf.V(0, 0, 1), 3).Then(sdf.At(sdf.V(float64(i)*3-7.5, 0, math.Sin(float64(i)))))))
	}
	f := sdf.Difference(sdf.Box(r3.Vec{X: 20, Y: 14, Z: 9}, 0.5), holes...)
	s, err := Build(context.Background(), f, Options{Cell: 0.3})
	require.NoError(t, err)
	require.Equal(t, 6, s.Proof.Genus)
	t.Logf("%d triangles %+v %+v", len(s.Triangles), s.Proof, s.Stats)
}

func TestUnreduced(t *testing.T) {
	f := sdf.Place(sdf.Box(sdf.V(20, 14, 9), 0), sdf.Turn(sdf.V(1, 2, 3), 25))
	for _, cell := range []float64{1, 0.4, 0.2} {
		s, err := Build(context.Background(), f, Options{Cell: cell, Tolerance: -1})
		require.NoError(t, err)
		require.Zero(t, s.Stats.Mended)
	}
}
