package mesh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// A baluster thinner than a cell is whole, wherever it stands against the grid: no pin
// is lost or broken (each joins the rail to the floor, so each but the first makes a
// handle). In cells of 0.2 mm and less, to which those of 0.4 are halved about it, its
// round is a polygon of six to eight sides: a sixth of its volume may be missing, or a bit
// more.
func TestThinBalustersAreWhole(t *testing.T) {
	const cell, across, high, count = 0.4, 0.25, 3.0, 12
	floor := sdf.BoxBetween(sdf.V(0, 0, 0), sdf.V(17, 3, 1))
	rail := sdf.BoxBetween(sdf.V(0, 1, 1+high), sdf.V(17, 2, 1.6+high))
	for _, lean := range []float64{0, 4, 11} {
		pins := make([]sdf.Field, count)
		at := func(i int) sdf.Pose { // 1.333 mm is no whole number of cells
			return sdf.Turn(sdf.V(1, 0.3, 0), lean).Then(sdf.At(sdf.V(1.1+1.333*float64(i), 1.5+0.037*float64(i%5), 1+high/2)))
		}
		for i := range pins {
			pins[i] = sdf.Place(sdf.Cylinder(across/2, high+0.6, 0), at(i).Then(sdf.At(sdf.V(0, 0, -high/2-0.3))))
		}
		s := mustBuild(t, sdf.Union(append(pins, floor, rail)...), Options{Cell: cell})
		require.Equal(t, count-1, s.Proof.Genus, "lean %g", lean)
		require.Empty(t, s.Crumbs)
		bare := mustBuild(t, sdf.Union(floor, rail, sdf.BoxBetween(sdf.V(0, 1, 0), sdf.V(0.5, 2, 2+high))), Options{Cell: cell})
		post := 0.5 * 1 * high
		each := (s.Proof.Volume - (bare.Proof.Volume - post)) / count
		want := math.Pi * across * across / 4 * high / math.Cos(lean*math.Pi/180)
		t.Logf("lean %g: %.4f mm3 a pin, %.4f by the formula; %d triangles", lean, each, want, len(s.Triangles))
		require.Less(t, each, 1.01*want)
		require.Greater(t, each, 0.75*want)
	}
}

// A fin on a floor, thinner than a quarter of a cell, between two planes of the grid.
func TestThinFinIsSeen(t *testing.T) {
	const cell = 0.4
	floor := sdf.BoxBetween(sdf.V(-4, -4, 0), sdf.V(4, 4, 1))
	fin := sdf.BoxBetween(sdf.V(0.13, -3, 0.5), sdf.V(0.25, 3, 3))
	s := mustBuild(t, sdf.Union(floor, fin), Options{Cell: cell, Box: r3.Box{Min: sdf.V(-4, -4, 0), Max: sdf.V(4, 4, 3)}})
	require.InEpsilon(t, 8*8*1+0.12*6*2, s.Proof.Volume, 0.002)
}
