package wild

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// between draws a number between two.
func between(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

// plane is one with a normal of any length through a point.
func plane(n, through r3.Vec) convex.Plane {
	n = convex.Unit(n)
	return convex.Plane{N: n, D: r3.Dot(n, through)}
}

// clipped are planes within an upright box.
func clipped(planes []convex.Plane, lo, hi r3.Vec) []convex.Plane {
	out := append([]convex.Plane(nil), planes...)
	return append(out,
		plane(sdf.V(1, 0, 0), hi), plane(sdf.V(0, 1, 0), hi), plane(sdf.V(0, 0, 1), hi),
		plane(sdf.V(-1, 0, 0), lo), plane(sdf.V(0, -1, 0), lo), plane(sdf.V(0, 0, -1), lo))
}

// solidOf is what planes hold; nothing where they hold none.
func solidOf(planes []convex.Plane) sdf.Field {
	if c := convex.New(planes); c != nil {
		return c
	}
	return sdf.Nothing()
}

// boxOf is the box of corners.
func boxOf(corners []r3.Vec) (lo, hi r3.Vec) {
	inf := math.Inf(1)
	lo, hi = sdf.V(inf, inf, inf), sdf.V(-inf, -inf, -inf)
	for _, p := range corners {
		lo = sdf.V(math.Min(lo.X, p.X), math.Min(lo.Y, p.Y), math.Min(lo.Z, p.Z))
		hi = sdf.V(math.Max(hi.X, p.X), math.Max(hi.Y, p.Y), math.Max(hi.Z, p.Z))
	}
	return lo, hi
}

// farthest is the corner that lies furthest along a direction.
func farthest(corners []r3.Vec, way r3.Vec) (best r3.Vec) {
	most := math.Inf(-1)
	for _, p := range corners {
		if d := r3.Dot(p, way); d > most {
			best, most = p, d
		}
	}
	return best
}

// notch is the room of a crack: a wedge that is wide at a point and ends so deep below it,
// out the way to the open air and across the way over the crack.
func notch(at, out, across r3.Vec, wide, deep float64) sdf.Field {
	flank := wide / 2 / deep
	bottom := r3.Sub(at, r3.Scale(deep, out))
	a := plane(r3.Sub(across, r3.Scale(flank, out)), bottom)
	b := plane(r3.Sub(r3.Scale(-1, across), r3.Scale(flank, out)), bottom)
	return sdf.Intersection(sdf.HalfSpace(a.N, a.D), sdf.HalfSpace(b.N, b.D))
}

// grit is the broken face of rock: small facets, and large ones under them. It takes off
// no more than most, mm.
func grit(s *parts.Site, seed uint64, size, most float64) relief.Relief {
	fine := math.Min(1.3*s.Print.Relief, most/2)
	pitch := math.Max(s.OnPrint(70), 4.5*s.Print.Gap)
	broad := math.Min(0.06*size, most-fine)
	return relief.Sum(surface.Rough(seed, pitch, fine), surface.Rough(seed+7, math.Max(2.5*pitch, 0.25*size), broad))
}

// under is how far below its foot a thing is made before it is cut off there, mm, so that
// its texture leaves its underside whole.
const under = 3

// footed is what of a solid lies over its foot.
func footed(f sdf.Field, foot float64) sdf.Field {
	return sdf.Intersection(f, sdf.HalfSpace(sdf.V(0, 0, -1), -foot))
}
