package spill

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

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

// meanSquare is the mean of the square of the sizes, mm2.
func (l sizeLaw) meanSquare() float64 {
	if l.most <= l.least {
		return l.least * l.least
	}
	d, q := l.exponent, math.Pow(l.most/l.least, -l.exponent)
	if math.Abs(d-2) < 1e-9 {
		return 2 * l.least * l.least * math.Log(l.most/l.least) / (1 - q)
	}
	return d / (2 - d) * l.least * l.least * (math.Pow(l.most/l.least, 2-d) - 1) / (1 - q)
}

// shard is one fragment before it is laid: convex, its bed the plane z = 0, its
// middle over the origin.
type shard struct {
	size   float64 // longest side, mm
	height float64 // mm above its bed, roughly
	planes []convex.Plane
	flat   bool // a sherd: a plate
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
	s := shard{size: size, height: thickness, flat: true}
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

// lay gives the shard as it lies: sunk mm deep, leaning, turned about the
// normal of what it lies on at a place. Where it leans its bed is lowered, so
// that it meets the surface all round.
func (s shard) lay(rng *rand.Rand, seat r3.Vec, normal r3.Vec, sunk, lean float64) *convex.Polytope {
	reach := s.size / 2
	bed := sunk + reach*math.Sin(lean*math.Pi/180)
	planes := append([]convex.Plane{{N: sdf.V(0, 0, -1), D: bed - sunk}}, s.planes...)
	a, b := rng.Float64(), rng.Float64()
	sin, cos := math.Sincos(2 * math.Pi * b)
	pose := sdf.At(sdf.V(0, 0, -sunk)).
		Then(sdf.Turn(sdf.V(0, 0, 1), 360*a)).
		Then(sdf.Turn(sdf.V(cos, sin, 0), lean)).
		Then(uprightTo(normal)).
		Then(sdf.At(seat))
	return convex.New(convex.Placed(planes, pose))
}

// uprightTo is the least turn that brings +z to a unit vector.
func uprightTo(n r3.Vec) sdf.Pose {
	axis := sdf.V(-n.Y, n.X, 0) // z x n
	s := math.Hypot(n.X, n.Y)
	if s < 1e-12 {
		return sdf.Pose{}
	}
	return sdf.Turn(axis, math.Atan2(s, n.Z)*180/math.Pi)
}
