package spill

import (
	"math"
	"math/rand/v2"

	"socle/sdf"
	"socle/sdf/convex"
)

// drumSides is how many facets a whole drum has.
const drumSides = 16

// newDrum is a drum of a shaft, of a diameter and a height: whole, on its side or on its
// end, or split along it.
func newDrum(rng *rand.Rand, diameter, height float64) shard {
	r := diameter / 2
	height *= between(rng, 0.7, 1.1)
	s := shard{size: math.Max(diameter, height), height: diameter}
	round := func(from, to int) {
		for i := from; i < to; i++ {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / drumSides)
			s.planes = append(s.planes, plane(sdf.V(0, cos, sin), r))
		}
	}
	ends := func(l float64) {
		s.planes = append(s.planes, plane(sdf.V(-1, 0, 0), l/2))
		if rng.IntN(2) == 0 {
			s.planes = append(s.planes, plane(sdf.V(1, 0, 0), l/2))
		} else {
			s.planes = append(s.planes, brokenEnd(rng, sdf.V(l/2, 0, 0), diameter, diameter)...)
		}
	}
	switch kind := rng.Float64(); {
	case kind < 0.4: // on its side
		round(0, drumSides)
		ends(height)
		s.planes, s.height = onGround(s.planes, sdf.Pose{})
	case kind < 0.65: // split, on the split face
		round(0, drumSides/2)
		ends(height)
		s.height = r
	default: // on its end
		round(0, drumSides)
		s.planes = append(s.planes, plane(sdf.V(-1, 0, 0), height/2))
		s.planes = append(s.planes, brokenEnd(rng, sdf.V(height/2, 0, 0), diameter, diameter)...)
		s.planes, s.height = onGround(s.planes, sdf.Turn(sdf.V(0, 1, 0), -90))
	}
	s.planes = knockedRound(rng, s.planes, s.height, s.size)
	return s
}

// knockedRound knocks a piece off the upper rim of a drum.
func knockedRound(rng *rand.Rand, planes []convex.Plane, height, size float64) []convex.Plane {
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	n := convex.Unit(sdf.V(cos, sin, between(rng, 0.5, 1.2)))
	far := math.Inf(-1)
	for _, c := range convex.Corners(append([]convex.Plane{bedPlane}, planes...)) {
		far = math.Max(far, n.X*c.X+n.Y*c.Y+n.Z*c.Z)
	}
	return append(planes, convex.Plane{N: n, D: far - 0.12*math.Min(height, size)})
}

// newSector is a piece split off the round of a drum that is too large to lie there: its
// outer face is the drum's own, the others are broken.
func newSector(rng *rand.Rand, diameter, size float64) shard {
	h, deep := size*between(rng, 0.45, 0.7), size*between(rng, 0.5, 0.7)
	r := diameter / 2
	var planes []convex.Plane
	const facets = 5
	for i := range facets { // arcs about an axis along z, a radius behind the outer face
		a := (float64(i) - (facets-1)/2) * size / r / facets
		sin, cos := math.Sincos(a)
		n := sdf.V(cos, sin, 0)
		planes = append(planes, convex.Plane{N: n, D: r - float64((r-deep/2)*cos)})
	}
	planes = append(planes, askew(rng, sdf.V(-1, 0, 0), deep/2), askew(rng, sdf.V(0, 1, 0), size/2), askew(rng, sdf.V(0, -1, 0), size/2),
		askew(rng, sdf.V(0, 0, 1), h/2), plane(sdf.V(0, 0, -1), h/2))
	pose := sdf.Pose{}
	if rng.Float64() < 0.5 { // round side up
		pose = sdf.Turn(sdf.V(0, 1, 0), -90)
	}
	s := shard{size: size}
	s.planes, s.height = onGround(planes, pose)
	return s
}

// newBoard is the end of a board, or of a bar: broken with the grain at one end. A wide one
// splits, and one side of it is longer.
func newBoard(rng *rand.Rand, length, width, thickness, pin float64) shard {
	s := shard{size: length, height: thickness, thick: thickness, flat: true}
	strip := func(from, to, end float64, bed bool) []convex.Plane {
		planes := []convex.Plane{
			plane(sdf.V(0, 0, 1), thickness), plane(sdf.V(-1, 0, 0), length/2), plane(sdf.V(0, 1, 0), to), plane(sdf.V(0, -1, 0), -from),
		}
		if bed {
			planes = append(planes, bedPlane)
		}
		tip := sdf.V(end, between(rng, from, to), 0)
		for _, side := range []float64{-1, 1} {
			planes = append(planes, through(sdf.V(1, side*between(rng, 0.5, 2), between(rng, -0.2, 0.4)), tip))
		}
		return planes
	}
	end := length / 2
	if width < 2.4*pin {
		s.planes = strip(-width/2, width/2, end, false)
		return s
	}
	split := width * between(rng, -0.1, 0.1)
	short := end - between(rng, 0.3, 0.6)*width
	const lap = 0.05
	s.planes = strip(-width/2, split+lap, end, false)
	s.more = [][]convex.Plane{strip(split-lap, width/2, short, true)}
	return s
}
