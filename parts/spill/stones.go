package spill

import (
	"math"
	"math/rand/v2"

	"socle/sdf"
	"socle/sdf/convex"
)

// sizeLaw is the law of the sizes of broken rock: the number of fragments
// larger than r goes as r^-exponent, between two sizes (Turcotte, J. Geophys. Res.
// 91, 1986: about 2.5 for natural broken rock).
type sizeLaw struct {
	least, most float64 // mm
	exponent    float64
}

// at is the size that a share u of the fragments is larger than or equal to,
// turned over: u = 0 gives the least, u = 1 the most.
func (l sizeLaw) at(u float64) float64 {
	if l.most <= l.least {
		return l.least
	}
	q := math.Pow(l.most/l.least, -l.exponent)
	return math.Min(l.least*math.Pow(1-u*(1-q), -1/l.exponent), l.most)
}

// stratified draws n numbers from 0 to 1, one from each n-th: few sizes are then as true
// to their law as many.
func stratified(rng *rand.Rand, n int) []float64 {
	u := make([]float64, n)
	for i := range u {
		u[i] = (float64(i) + rng.Float64()) / float64(n)
	}
	return u
}

// newBlock is an irregular block: a box of size by 0.65 to 0.95 of it by 0.45 to
// 0.8, its sides askew, with 2 to 4 corners and edges broken off.
func newBlock(rng *rand.Rand, size float64) shard {
	x, y := size/2, size/2*(0.65+0.3*rng.Float64())
	h := size * (0.45 + 0.35*rng.Float64())
	s := shard{size: size, height: h}
	top := convex.Tilted(rng, 18, 1)
	top.D = h * top.N.Z
	s.planes = append(s.planes, top)
	for i := range 4 {
		// Sides lean inward towards the top, so that the block widens to its bed
		// and leaves no crevice beside it.
		lean := math.Tan(12 * rng.Float64() * math.Pi / 180)
		sin, cos := math.Sincos(float64(i)*math.Pi/2 + (rng.Float64()-0.5)*0.35)
		d := x
		if i%2 == 1 {
			d = y
		}
		s.planes = append(s.planes, convex.Plane{N: convex.Unit(sdf.V(cos, sin, lean)), D: d})
	}
	for range 2 + rng.IntN(3) {
		// A direction into the upper half, and a plane that takes off 10 to 40 %
		// of the way from the farthest corner to the middle.
		sin, cos := math.Sincos(rng.Float64() * 2 * math.Pi)
		n := convex.Unit(sdf.V(cos, sin, 0.15+1.2*rng.Float64()))
		middle := n.Z * h / 2
		far := math.Abs(n.X)*x + math.Abs(n.Y)*y + n.Z*h
		s.planes = append(s.planes, convex.Plane{N: n, D: middle + (far-middle)*(0.6+0.3*rng.Float64())})
	}
	return s
}

// newSherd is a piece of a broken plate of a thickness, 5 to 7 sided.
func newSherd(rng *rand.Rand, size, thickness float64) shard {
	s := shard{size: size, height: thickness, thick: thickness, flat: true}
	top := convex.Tilted(rng, 5, 1)
	top.D = thickness * top.N.Z
	s.planes = append(s.planes, top)
	n := 5 + rng.IntN(3)
	turn := rng.Float64() * 2 * math.Pi
	for i := range n {
		sin, cos := math.Sincos(turn + 2*math.Pi*(float64(i)+0.5*(rng.Float64()-0.5))/float64(n))
		s.planes = append(s.planes, convex.Plane{N: convex.Unit(sdf.V(cos, sin, 0.25*rng.Float64())), D: size / 2 * (0.6 + 0.4*rng.Float64())})
	}
	return s
}

// newClod is a lump of earth: rounded, of a dozen facets.
func newClod(rng *rand.Rand, size float64) shard {
	s := shard{size: size, height: size * between(rng, 0.5, 0.65)}
	wide := between(rng, 0.7, 0.95)
	const facets = 9
	turn := rng.Float64() * 2 * math.Pi
	for i := range facets {
		up := (float64(i) + 0.5) / facets * 0.8 // low ones first, in a spiral
		sin, cos := math.Sincos(turn + 2.4*float64(i))
		n := convex.Unit(sdf.V(cos, sin, up/(1.001-up)))
		// The support of an ellipsoid, now and then drawn in.
		x, y, z := size/2*n.X, wide*size/2*n.Y, s.height*n.Z
		s.planes = append(s.planes, convex.Plane{N: n, D: math.Sqrt(float64(x*x)+float64(y*y)+float64(z*z)) * between(rng, 0.84, 0.97)})
	}
	top := convex.Tilted(rng, 15, 1)
	top.D = 0.92 * s.height * top.N.Z
	s.planes = append(s.planes, top)
	return s
}
