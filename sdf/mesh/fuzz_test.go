package mesh

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

// dice reads choices from the fuzzer's bytes; when they run out, zeros.
type dice struct{ bytes []byte }

func (d *dice) roll(n int) int {
	if len(d.bytes) == 0 {
		return 0
	}
	b := int(d.bytes[0])
	d.bytes = d.bytes[1:]
	return b % n
}

// length is a multiple of a quarter millimetre: tangencies and surfaces on
// grid planes come up often.
func (d *dice) length(most int) float64 { return float64(d.roll(4*most)+1) / 4 }

// solid makes a solid of the given depth, within about 6 mm of the origin.
func (d *dice) solid(depth int) sdf.Field {
	if depth == 0 {
		var f sdf.Field
		switch d.roll(7) {
		case 0:
			f = sdf.Box(sdf.V(d.length(6), d.length(6), d.length(6)), float64(d.roll(3))*0.2)
		case 1:
			f = sdf.Sphere(d.length(3))
		case 2:
			f = sdf.Cylinder(d.length(3), d.length(6), float64(d.roll(2))*0.3)
		case 3:
			f = sdf.Cone(d.length(3), d.length(2)-0.25, d.length(5))
		case 4:
			f = sdf.Extrude(sdf.EllipseShape(d.length(4), d.length(3)), 0, d.length(3))
		case 5:
			f = sdf.Torus(d.length(3), d.length(1))
		default:
			f = sdf.Capsule(sdf.V(0, 0, 0), sdf.V(d.length(4), d.length(4), 0), d.length(1))
		}
		if d.roll(2) == 1 {
			f = sdf.Place(f, sdf.Turn(sdf.V(1, float64(d.roll(3)), 1), float64(d.roll(24))*15))
		}
		return sdf.Place(f, sdf.At(sdf.V(d.length(3), d.length(3), d.length(3)-1)))
	}
	a, b := d.solid(depth-1), d.solid(depth-1)
	switch d.roll(6) {
	case 0:
		return sdf.Intersection(a, b)
	case 1:
		return sdf.Difference(a, b)
	case 2:
		return sdf.Offset(sdf.Union(a, b), 0.25)
	case 3:
		return sdf.Displace(sdf.Union(a, b), sdf.NewNoise(uint64(d.roll(9)), 1, 2), 0.2)
	}
	return sdf.Union(a, b)
}

// FuzzMesher: whatever the solid, Build gives a proven mesh or says that there is
// nothing to mesh; it does not panic, and what it gives passes the validator, with
// loose pieces dropped or kept.
func FuzzMesher(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{0, 7, 7, 7, 0, 0, 3, 3, 3, 0, 7, 7, 7, 0, 0, 11, 3, 3, 4}) // two boxes face to face
	f.Add([]byte{1, 8, 0, 4, 4, 4, 1, 8, 0, 4, 4, 8, 1})                    // a sphere less a sphere
	f.Add([]byte{2, 5, 9, 1, 1, 3, 2, 2, 2, 5, 11, 2, 0, 1, 1, 1, 3, 4})    // rough
	f.Add([]byte("the quick brown fox jumps over the lazy dog"))
	f.Add([]byte{200, 13, 77, 4, 91, 160, 33, 8, 250, 17, 5, 66, 129, 90, 41, 73, 22, 19, 255, 3, 64, 31, 7, 7, 88, 2})
	f.Fuzz(func(t *testing.T, bytes []byte) {
		d := &dice{bytes}
		keep := len(bytes)%2 != 0
		solid := d.solid(d.roll(3))
		s, err := Build(context.Background(), solid, Options{
			Cell: 0.6, KeepLoose: keep, Box: r3.Box{Min: sdf.V(-12, -12, -12), Max: sdf.V(14, 14, 14)},
		})
		if err != nil {
			var fault *ProofError
			require.True(t, errors.As(err, &fault), "%v", err)
			require.Equal(t, "there is no surface at all", fault.Why)
			return
		}
		p, err := Prove(context.Background(), &s.Mesh)
		require.NoError(t, err)
		require.Equal(t, pieces(s.Crumbs), p.Shells)
		require.True(t, keep || p.Shells == 1)
		for _, v := range shellVolumes(&s.Mesh) {
			require.Positive(t, v)
		}
	})
}
