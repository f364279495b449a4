package mesh

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"socle/sdf"
)

// lot is a plot of uneven ground with a ball sunk into it and another standing on it,
// of which a plinth is cut.
func lot(bowl, ball r3.Vec) sdf.Field {
	ground := sdf.Displace(sdf.HalfSpace(sdf.V(0, 0, 1), 3), sdf.NewNoise(3, 4, 2), 0.3)
	scene := sdf.Difference(sdf.Union(ground, sdf.Place(sdf.Sphere(2), sdf.At(ball))), sdf.Place(sdf.Sphere(3), sdf.At(bowl)))
	return sdf.Intersection(sdf.BoxBetween(sdf.V(-10, -8, 0), sdf.V(10, 8, 8)), scene)
}

// TestReach: where the digests are the same, so are the meshes, and what is far enough
// off changes neither.
func TestReach(t *testing.T) {
	o := Options{Cell: 0.8, Box: r3.Box{Min: sdf.V(-10, -8, 0), Max: sdf.V(10, 8, 8)}}
	reach := func(f sdf.Field, o Options) sdf.Digest {
		d, err := Reach(context.Background(), f, o)
		require.NoError(t, err)
		return d
	}
	bowl, ball := sdf.V(4, 3, 4), sdf.V(-5, -2, 3)
	here := reach(lot(bowl, ball), o)
	require.Equal(t, here, reach(lot(bowl, ball), o))

	far, farther := sdf.V(90, 20, 3), sdf.V(120, -40, 3)
	off := reach(lot(far, ball), o)
	require.NotEqual(t, here, off)
	require.Equal(t, off, reach(lot(farther, ball), o), "too far off to matter")
	require.Equal(t, mustBuild(t, lot(far, ball), o).Mesh, mustBuild(t, lot(farther, ball), o).Mesh)
	require.NotEqual(t, off, reach(lot(farther, sdf.V(-5, -2, 3.001)), o))

	for name, other := range map[string]Options{
		"cell":      {Cell: 0.7, Box: o.Box},
		"tolerance": {Cell: 0.8, Box: o.Box, Tolerance: 0.1},
		"loose":     {Cell: 0.8, Box: o.Box, KeepLoose: true},
		"heights":   {Cell: 0.8, Box: o.Box, Heights: []float64{1.23}},
		"box":       {Cell: 0.8, Box: r3.Box{Min: o.Box.Min, Max: sdf.V(10, 8, 8.5)}},
	} {
		require.NotEqual(t, here, reach(lot(bowl, ball), other), name)
	}
	o.Cell = math.NaN()
	_, err := Reach(context.Background(), lot(bowl, ball), o)
	require.Error(t, err)

	// By chance, the balls often off the plinth.
	o.Cell = 0.8
	same := 0
	rapid.Check(t, func(t *rapid.T) {
		at := func(label string) r3.Vec {
			x := rapid.SampledFrom([]float64{-30, -22, -16, -12, -6, 0, 7, 14, 18, 26}).Draw(t, label)
			return sdf.V(x, x/3, 3)
		}
		ball := at("ball")
		a, b := lot(at("one"), ball), lot(at("other"), ball)
		if reach(a, o) != reach(b, o) {
			return
		}
		same++
		one, err := Build(context.Background(), a, o)
		require.NoError(t, err)
		other, err := Build(context.Background(), b, o)
		require.NoError(t, err)
		require.Equal(t, one.Mesh, other.Mesh)
	})
	require.Positive(t, same)
}

// TestReachIsTheSameForAnyWorkers, as every mesh is.
func TestReachIsTheSameForAnyWorkers(t *testing.T) {
	o := Options{Cell: 0.4, Box: r3.Box{Min: sdf.V(-10, -8, 0), Max: sdf.V(10, 8, 8)}}
	var first sdf.Digest
	for i, processors := range []int{1, 2, 8} {
		onProcessors(t, processors)
		d, err := Reach(context.Background(), lot(sdf.V(4, 3, 4), sdf.V(-5, -2, 3)), o)
		require.NoError(t, err)
		if i == 0 {
			first = d
		}
		require.Equal(t, first, d)
	}
}
