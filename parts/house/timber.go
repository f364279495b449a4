package house

import (
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/surface"
	"socle/sdf"
	"socle/sdf/convex"
	"socle/sdf/relief"
)

// sawn is a timber between two corners of a frame, along x, with a grain on its flanks.
func sawn(s *parts.Site, pose sdf.Pose, lo, hi r3.Vec, seed uint64) sdf.Field {
	face := surface.Piece{Seed: seed, Depth: s.Grain(), Most: 0.12 * (hi.Y - lo.Y)}.Face(s, surface.Boards)
	mid := r3.Scale(0.5, r3.Add(lo, hi))
	const clear = 1 // so that its underside stays even: what is rough of that is printed on nothing
	body := sdf.BoxBetween(r3.Sub(lo, sdf.V(0, 0, clear)), hi)
	carved := relief.Carve(body, relief.Place(face, sdf.Turn(sdf.V(1, 0, 0), 90).Then(sdf.At(mid))))
	return sdf.Place(sdf.Intersection(carved, sdf.HalfSpace(sdf.V(0, 0, -1), -lo.Z)), pose)
}

// snapped is what is left of a timber between two corners of a frame, broken at the end that
// way looks to along x: two facets that run up the grain and back.
func snapped(pose sdf.Pose, lo, hi r3.Vec, seed uint64, way float64) sdf.Field {
	rng := rand.New(rand.NewPCG(seed, 5))
	end := hi.X
	if way < 0 {
		end = lo.X
	}
	planes := []convex.Plane{
		{N: sdf.V(1, 0, 0), D: hi.X}, {N: sdf.V(-1, 0, 0), D: -lo.X}, {N: sdf.V(0, 1, 0), D: hi.Y},
		{N: sdf.V(0, -1, 0), D: -lo.Y}, {N: sdf.V(0, 0, 1), D: hi.Z}, {N: sdf.V(0, 0, -1), D: -lo.Z},
	}
	tip := sdf.V(end, (lo.Y+hi.Y)/2+0.2*(hi.Y-lo.Y)*(2*rng.Float64()-1), lo.Z+(hi.Z-lo.Z)*(0.35+0.5*rng.Float64()))
	for _, up := range [2]float64{1, -1} {
		n := convex.Unit(sdf.V(way, 0.5*(2*rng.Float64()-1), up*(0.7+0.8*rng.Float64())))
		planes = append(planes, convex.Plane{N: n, D: r3.Dot(n, tip)})
	}
	if p := convex.New(planes); p != nil {
		return sdf.Place(p, pose)
	}
	return sdf.Nothing()
}
