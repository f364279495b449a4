package spill

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf"
	"socle/sdf/convex"
)

// newFlag is a piece of a flag, of the flag's own thickness: one or two of its own edges are
// straight, the others broken.
func newFlag(rng *rand.Rand, size, thickness float64) shard {
	return newFlat(rng, size, thickness, 1+rng.IntN(2))
}

// newFlat is a piece of a plate with so many of its own edges left. The others are broken
// at 60 to 120 degrees to its face.
func newFlat(rng *rand.Rand, size, thickness float64, edges int) shard {
	s := shard{size: size, height: thickness, thick: thickness, flat: true}
	s.planes = append(s.planes, plane(sdf.V(0, 0, 1), thickness))
	half := [2]float64{size / 2, size / 2 * between(rng, 0.6, 0.95)}
	for i := range 4 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 2)
		d := half[i%2]
		if i < edges {
			s.planes = append(s.planes, plane(sdf.V(cos, sin, 0), d))
			continue
		}
		s.planes = append(s.planes, broken(rng, float64(i)*math.Pi/2+between(rng, -0.45, 0.45), d*between(rng, 0.8, 1)))
	}
	for range 1 + rng.IntN(2) { // corners, away from the straight edges
		at := (float64(edges) + float64(rng.IntN(4-edges)) + 0.5) * math.Pi / 2
		sin, cos := math.Sincos(at)
		far := math.Abs(cos)*half[0] + math.Abs(sin)*half[1]
		s.planes = append(s.planes, broken(rng, at+between(rng, -0.3, 0.3), far*between(rng, 0.62, 0.85)))
	}
	return s
}

// broken is a broken side of a plate, upright on the whole, at an angle on the plan.
func broken(rng *rand.Rand, angle, d float64) convex.Plane {
	sin, cos := math.Sincos(angle)
	return plane(sdf.V(cos, sin, between(rng, -0.25, 0.55)), d)
}

// newSlab is a lump of a slab: broken on all sides, with up to two bars of a thickness that
// stick out of it.
func newSlab(rng *rand.Rand, size, thickness, bars float64) shard {
	s := newFlat(rng, size, thickness, 0)
	s.flat = thickness < 0.35*size
	if bars == 0 {
		return s
	}
	all, _ := s.outline()
	if len(all) < 3 {
		return s
	}
	n := rng.IntN(3)
	turn := rng.Float64() * 2 * math.Pi
	for i := range n {
		sin, cos := math.Sincos(turn + 0.12*rng.NormFloat64())
		way := r2.Vec{X: cos, Y: sin}
		aside := r2.Scale((float64(i)-float64(n-1)/2)*math.Max(0.4*size, 1.8*bars), r2.Vec{X: -way.Y, Y: way.X})
		s.bars = append(s.bars, bar{from: aside, way: way, z: thickness * between(rng, 0.4, 0.6), out: between(rng, 1.4, 2.6) * bars, thick: bars})
	}
	return s
}

// newPlate is a torn plate, bent up along a line.
func newPlate(rng *rand.Rand, size, thickness float64) shard {
	s := newFlat(rng, size, thickness, 0)
	sides := s.planes[1:]
	bend := size * between(rng, -0.12, 0.2)
	up := between(rng, 15, 50)
	turn := sdf.At(sdf.V(-bend, 0, 0)).Then(sdf.Turn(sdf.V(0, 1, 0), -up)).Then(sdf.At(sdf.V(bend, 0, 0)))
	raised := append([]convex.Plane{plane(sdf.V(0, 0, 1), thickness), bedPlane, plane(sdf.V(-1, 0, 0), -bend+0.2*thickness)}, sides...)
	s.more = [][]convex.Plane{convex.Placed(raised, turn)}
	s.planes = append(s.planes, plane(sdf.V(1, 0, 0), bend+0.2*thickness))
	return s
}
