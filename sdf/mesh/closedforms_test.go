package mesh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// Volumes and genus of solids with closed forms. Formulas: standard mensuration
// (any handbook of mathematics); the Steinmetz solids after Archimedes, The
// Method; the lens of two spheres as in Weisstein, "Sphere-Sphere
// Intersection". Figures evaluated again here, not copied.
func TestClosedForms(t *testing.T) {
	cylinder := func(r, l float64, axis r3.Vec) sdf.Field {
		f := sdf.Place(sdf.Extrude(sdf.Circle(r), -l/2, l/2), sdf.At(r3.Vec{}))
		switch axis {
		case sdf.V(1, 0, 0):
			return sdf.Place(f, sdf.Turn(sdf.V(0, 1, 0), 90))
		case sdf.V(0, 1, 0):
			return sdf.Place(f, sdf.Turn(sdf.V(1, 0, 0), 90))
		}
		return f
	}
	x, y, z := sdf.V(1, 0, 0), sdf.V(0, 1, 0), sdf.V(0, 0, 1)
	lens := func(R, r, d float64) float64 {
		return math.Pi * (R + r - d) * (R + r - d) * (d*d + 2*d*r - 3*r*r + 2*d*R + 6*r*R - 3*R*R) / (12 * d)
	}
	frame := func(bays int) sdf.Field {
		var holes []sdf.Field
		for i := range bays {
			lo := sdf.V(float64(i)*3+1, -5, 1)
			holes = append(holes, sdf.BoxBetween(lo, r3.Add(lo, sdf.V(2, 10, 4))))
		}
		return sdf.Difference(sdf.BoxBetween(sdf.V(0, 0, 0), sdf.V(float64(bays)*3+1, 2, 6)), holes...)
	}
	for _, c := range []struct {
		name   string
		f      sdf.Field
		volume float64
		genus  int
	}{
		{"sphere", sdf.Sphere(5), 4 * math.Pi * 125 / 3, 0},
		{"ellipsoid", &ellipsoid{sdf.V(6, 5, 4)}, 4 * math.Pi * 120 / 3, 0},
		{"torus", sdf.Torus(6, 2), 2 * math.Pi * math.Pi * 6 * 4, 1},
		{"cone frustum", sdf.Cone(6, 5, 4), math.Pi * 4 * (36 + 30 + 25) / 3, 0},
		{"lens of two spheres", sdf.Intersection(sdf.Sphere(6), sdf.Place(sdf.Sphere(4), sdf.At(sdf.V(7, 0, 0)))), lens(6, 4, 7), 0},
		{"bicylinder", sdf.Intersection(cylinder(4, 20, x), cylinder(4, 20, y)), 16 * 64.0 / 3, 0},
		{"tricylinder", sdf.Intersection(cylinder(4, 20, x), cylinder(4, 20, y), cylinder(4, 20, z)), 8 * (2 - math.Sqrt2) * 64, 0},
		{"crossed pipes", sdf.Union(cylinder(2, 14, x), cylinder(2, 14, y)), 2*math.Pi*4*14 - 16*8.0/3, 0},
		{"a frame of one bay", frame(1), 4*2*6 - 2*2*4, 1},
		{"a frame of five bays", frame(5), 16*2*6 - 5*2*2*4, 5},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, tolerance := range []float64{-1, 0} {
				s := mustBuild(t, c.f, Options{Cell: 0.2, Tolerance: tolerance})
				off := s.Proof.Volume/c.volume - 1
				t.Logf("tolerance %g: volume %.5f of %.5f (%+.4f %%), %d triangles, deviation %.4f mm", tolerance, s.Proof.Volume, c.volume, 100*off, len(s.Triangles), s.Stats.Deviation)
				// Chords lie inside curves, by up to the tolerance and the sagitta of a cell.
				within := 0.002
				if tolerance == 0 {
					within += 0.2 / 40
				}
				require.InDelta(t, c.volume, s.Proof.Volume, within*s.Proof.Area)
				require.Equal(t, c.genus, s.Proof.Genus)
			}
		})
	}
}

// Finer cells come closer.
func TestVolumeConverges(t *testing.T) {
	exact := 4 * math.Pi * 125 / 3
	last := math.Inf(1)
	for _, cell := range []float64{0.8, 0.4, 0.2} {
		s := mustBuild(t, sdf.Sphere(5), Options{Cell: cell, Tolerance: -1})
		off := math.Abs(s.Proof.Volume/exact - 1)
		require.Less(t, off, last)
		last = off
	}
	require.Less(t, last, 0.0005)
}
