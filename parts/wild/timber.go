package wild

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/relief"
)

// The words for the end of a trunk.
const (
	sawn   = "sawn"
	broken = "broken"
)

// bark is the relief of bark round a trunk that stands along z up to a height: furrows that
// run up it, and plates between them. It takes off no more than most, mm.
func bark(s *parts.Site, seed uint64, radius, high, most float64) relief.Relief {
	deep := math.Min(1.3*s.Print.Relief, most/2)
	girth := math.Pi * radius // of a half of it
	pitch := girth / math.Max(4, math.Round(girth/math.Max(s.OnPrint(60), 3.2*s.Print.Gap)))
	furrows := relief.Bent(relief.NewGrooves(seed, pitch, math.Max(1.3*s.Print.Gap, 0.5*pitch), deep, 0.5, 0.3*pitch), seed+1, 5*pitch, 0.4*pitch)
	checks := relief.Bent(relief.NewGrooves(seed+4, 1.7*pitch, 1.2*s.Print.Gap, 0.8*deep, 0.4, 0.5*pitch), seed+5, 4*pitch, 0.4*pitch)
	// A furrow ends where the wood under it is whole.
	ends := relief.NewFacets(seed+2, 2.2*pitch, 2*deep, 0.3)
	plates := relief.NewFacets(seed+3, 1.6*pitch, 0.5*deep, 0.2)
	return relief.Round(relief.Band(relief.Sum(relief.Shallowest(relief.Deepest(furrows, checks), ends), plates), 0, high, 1), radius)
}

// rings is the profile of a sawn face from its rim to its middle, at a height: growth rings
// cut into it, with z the way that it looks.
func rings(s *parts.Site, radius, z, way float64) (profile []r2.Vec) {
	pitch := math.Max(0.14*radius, 3*s.Print.Gap)
	deep := math.Min(0.8*s.Print.Relief, 0.1*radius)
	wide := 0.45 * pitch
	for r := radius - 0.8*pitch; r > 0.3*pitch; r -= pitch {
		profile = append(profile, r2.Vec{X: r + wide/2, Y: z}, r2.Vec{X: r, Y: z - way*deep}, r2.Vec{X: math.Max(0.05, r-wide/2), Y: z})
	}
	return profile
}

// splintered is a half-space below z = 0 whose top is torn in splinters that are up to deep
// mm long: the end of a trunk or of a beam that broke.
func splintered(seed uint64, across, deep float64) sdf.Field {
	teeth := relief.Sum(relief.NewFacets(seed, 0.45*across, 0.7*deep, 0.15), relief.NewFacets(seed+5, 0.2*across, 0.3*deep, 0.3))
	return relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), 0), teeth)
}

// bank is ground or litter drawn up under what lies along x, from one x to another: so wide
// to each side at the floor and at its top.
func bank(from, to, foot, high, half, narrow float64) sdf.Field {
	slope := (half - narrow) / high
	planes := clipped(nil, sdf.V(from, -half-1, foot), sdf.V(to, half+1, high))
	for _, side := range []float64{-1, 1} {
		planes = append(planes, plane(sdf.V(0, side, slope), sdf.V(0, side*half, 0)))
	}
	planes = append(planes, plane(sdf.V(1, 0, slope), sdf.V(to, 0, 0)), plane(sdf.V(-1, 0, slope), sdf.V(from, 0, 0)))
	return solidOf(planes)
}

// stub is what is left of a branch: from within a trunk along a way, so long and thick, its
// end broken across.
func stub(from, way r3.Vec, long, thick float64) sdf.Field {
	z := sdf.V(0, 0, 1)
	way = r3.Unit(way)
	pose := sdf.Turn(r3.Cross(z, way), math.Acos(math.Max(-1, math.Min(1, way.Z)))*180/math.Pi)
	limb := sdf.Cone(thick*0.75, thick*0.45, long)
	end := plane(sdf.V(0.5, 0.3, 1), sdf.V(0, 0, 0.85*long))
	return sdf.Place(sdf.Intersection(limb, sdf.HalfSpace(end.N, end.D)), pose.Then(sdf.At(from)))
}
