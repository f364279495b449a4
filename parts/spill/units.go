package spill

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
	"socle/sdf/convex"
)

// How bricks and blocks come apart: a unit that breaks does so across its middle third, and
// the shares of what is whole, and of what is a half. The rest are bats, longer or shorter
// than a half. Common practice, no source.
const (
	wholeShare = 0.3
	halfShare  = 0.35
)

// unitPart is how much of its length is left of a unit, for a u from 0 to 1.
func unitPart(u float64) float64 {
	const bats = 1 - wholeShare - halfShare
	switch {
	case u < bats:
		return (1 + u/bats) / 3
	case u < bats+halfShare:
		return 0.5
	}
	return 1
}

// newUnit is a brick or a block of a length, width and height, of which a part of the length
// is left: one end is then broken. It lies on its broad face, or
// where that makes no thin wall on edge. Corners are knocked off.
func newUnit(rng *rand.Rand, unit r3.Vec, part, wall float64) shard {
	l := unit.X * part
	planes := boxPlanes(l, unit.Y, unit.Z)
	if part < 1 {
		planes = append(planes[1:], brokenEnd(rng, sdf.V(l/2, 0, 0), unit.Y, unit.Z)...)
	}
	planes = knocked(rng, planes, l, unit.Y, unit.Z, 1+rng.IntN(3))
	s := setDown(rng, planes, max(l, unit.Y), unit.Z >= wall && unit.Y < 2.5*unit.Z)
	s.thick = unit.Z
	return s
}

// newLump is a piece broken out of a unit that is too large to lie there: of a size, with
// one corner of the unit left and the other sides broken.
func newLump(rng *rand.Rand, unit r3.Vec, size float64) shard {
	l := size
	w, h := math.Min(unit.Y, size*between(rng, 0.6, 0.9)), math.Min(unit.Z, size*between(rng, 0.5, 0.75))
	planes := boxPlanes(l, w, h)
	broken := brokenEnd(rng, sdf.V(l/2, 0, 0), w, h)
	if w < unit.Y {
		broken = append(broken, askew(rng, sdf.V(0, 1, 0), w/2))
	} else {
		broken = append(broken, planes[2])
	}
	if h < unit.Z {
		broken = append(broken, askew(rng, sdf.V(0, 0, 1), h/2))
	} else {
		broken = append(broken, planes[4])
	}
	planes = append(broken, planes[1], planes[3], planes[5])
	planes = knocked(rng, planes, l, w, h, 1+rng.IntN(3))
	return setDown(rng, planes, size, w < 2.5*h)
}

// askew is a broken side: off a direction by up to 14 degrees, d mm from the middle.
func askew(rng *rand.Rand, n r3.Vec, d float64) convex.Plane {
	const off = 0.25
	return plane(r3.Add(n, sdf.V(off*rng.NormFloat64()/2, off*rng.NormFloat64()/2, off*rng.NormFloat64()/2)), d)
}

// brokenEnd is a break square to x: two or three facets that meet near its middle.
func brokenEnd(rng *rand.Rand, at r3.Vec, w, h float64) []convex.Plane {
	turn, n := rng.Float64()*2*math.Pi, 2+rng.IntN(2)
	var facets []convex.Plane
	for i := range n {
		sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
		steep := between(rng, 0.12, 0.4)
		q := sdf.V(at.X, w/4*between(rng, -1, 1), h/4*between(rng, -1, 1))
		facets = append(facets, through(sdf.V(1, steep*cos, steep*sin), q))
	}
	return facets
}

// knocked is a box with corners knocked off and an edge worn, deep enough to show.
func knocked(rng *rand.Rand, planes []convex.Plane, l, w, h float64, corners int) []convex.Plane {
	least := math.Min(w, h)
	for range corners {
		n := convex.Unit(sdf.V(sign(rng)*between(rng, 0.5, 1), sign(rng)*between(rng, 0.5, 1), between(rng, 0.4, 1)))
		far := math.Abs(n.X)*l/2 + math.Abs(n.Y)*w/2 + math.Abs(n.Z)*h/2
		planes = append(planes, convex.Plane{N: n, D: far - least*between(rng, 0.14, 0.3)})
	}
	n := convex.Unit(sdf.V(0, sign(rng), between(rng, 0.6, 1.4)))
	far := math.Abs(n.Y)*w/2 + n.Z*h/2
	return append(planes, convex.Plane{N: n, D: far - 0.1*least})
}

// setDown lays a box-like solid on its broad face, or one time in four on its edge where it
// stands on that; a little askew is left to how it comes to rest.
func setDown(rng *rand.Rand, planes []convex.Plane, size float64, stands bool) shard {
	pose := sdf.Pose{}
	edge := rng.Float64()
	if edge < 0.25 && stands {
		pose = sdf.Turn(sdf.V(1, 0, 0), 90*sign(rng))
	} else if edge > 0.6 {
		pose = sdf.Turn(sdf.V(1, 0, 0), 180)
	}
	s := shard{size: size}
	s.planes, s.height = onGround(planes, pose)
	return s
}
