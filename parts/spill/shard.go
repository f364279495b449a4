package spill

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/convex"
)

// shard is one fragment before it is laid: convex, its bed the plane z = 0, its
// middle over the origin.
type shard struct {
	size   float64 // longest side, mm
	height float64 // mm above its bed, roughly
	planes []convex.Plane
	more   [][]convex.Plane // what else is of it: each a solid that meets it
	flat   bool             // a plate: it leans on what it lies against
	thick  float64          // of a plate or a unit: its least side, mm; 0: massive
	bars   []bar            // that stick out of it
}

// bar is a bar in a lump: it leaves it at a place in a direction of the plan, for so far.
type bar struct {
	from, way r2.Vec
	z         float64 // mm above the bed
	out       float64 // mm from the place
	thick     float64 // mm
}

// bedPlane is the plane that a shard lies on.
var bedPlane = convex.Plane{N: sdf.V(0, 0, -1)}

// outline is the outline of the shard on the plan, and what of it is near its bed: what it
// rests on.
func (s *shard) outline() (all, bed []r2.Vec) {
	const near = 0.35 // of its height
	for _, c := range convex.Corners(append([]convex.Plane{bedPlane}, s.planes...)) {
		at := r2.Vec{X: c.X, Y: c.Y}
		all = append(all, at)
		if c.Z <= near*s.height {
			bed = append(bed, at)
		}
	}
	all, bed = planHull(all), planHull(bed)
	const least = 0.05 // of its outline, for it to rest on that
	if len(all) > 2 && (len(bed) < 3 || planar.SignedArea(bed) < least*planar.SignedArea(all)) {
		bed = all
	}
	return all, bed
}

// footingPoints is how many points round its edge a shard is let down on, beside its middle.
const footingPoints = 8

// feet are the points of its bed that a shard comes to rest on: its middle, and round its
// edge.
func (s *shard) feet() []r2.Vec {
	_, bed := s.outline()
	if len(bed) < 3 {
		return nil
	}
	const within = 0.9 // of the way to its edge
	middle := planar.Centroid(bed)
	feet := []r2.Vec{middle}
	for i := range footingPoints {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / footingPoints)
		way := r2.Vec{X: cos, Y: sin}
		far, ok := planar.RayHit(bed, middle, way, 4*s.size)
		if !ok {
			return nil
		}
		feet = append(feet, r2.Add(middle, r2.Scale(within*far, way)))
	}
	return feet
}

// body is one of the convex solids of a fragment, with its corners.
type body struct {
	*convex.Polytope
	corners []r3.Vec
}

// form is a convex solid before it is laid.
type form struct {
	planes  []convex.Plane
	corners []r3.Vec
}

// leaning are the solids of a shard that leans so many degrees about a level axis at an
// angle, its bed lowered so that it meets what it lies on all round; its own comes first.
func (s *shard) leaning(lean, axis float64) []form {
	bed, pose := bedPlane, sdf.Pose{}
	if lean > 0 {
		bed.D = s.size / 2 * math.Sin(lean*math.Pi/180)
		sin, cos := math.Sincos(axis)
		pose = sdf.Turn(sdf.V(cos, sin, 0), lean)
	}
	var all []form
	for _, planes := range append([][]convex.Plane{append([]convex.Plane{bed}, s.planes...)}, s.more...) {
		planes = convex.Placed(planes, pose)
		all = append(all, form{planes, convex.Corners(planes)})
	}
	return all
}

// laidAt gives forms as they lie in a pose; nil where the first is none.
func laidAt(forms []form, pose sdf.Pose) (all []body) {
	for i, f := range forms {
		corners := make([]r3.Vec, len(f.corners))
		for k, c := range f.corners {
			corners[k] = pose.Apply(c)
		}
		switch solid := convex.Of(convex.Placed(f.planes, pose), corners); {
		case solid != nil:
			all = append(all, body{solid, corners})
		case i == 0:
			return nil
		}
	}
	return all
}

// onGround turns a convex solid by a pose and sets it down: its lowest corner at z = 0 and
// its middle over the origin, its bed left out. It gives its height as well.
func onGround(planes []convex.Plane, pose sdf.Pose) ([]convex.Plane, float64) {
	turned := convex.Placed(planes, pose)
	lo, hi := sdf.V(math.Inf(1), math.Inf(1), math.Inf(1)), sdf.V(math.Inf(-1), math.Inf(-1), math.Inf(-1))
	for _, c := range convex.Corners(turned) {
		lo = sdf.V(math.Min(lo.X, c.X), math.Min(lo.Y, c.Y), math.Min(lo.Z, c.Z))
		hi = sdf.V(math.Max(hi.X, c.X), math.Max(hi.Y, c.Y), math.Max(hi.Z, c.Z))
	}
	turned = convex.Placed(turned, sdf.At(sdf.V(-(lo.X+hi.X)/2, -(lo.Y+hi.Y)/2, -lo.Z)))
	kept := turned[:0]
	for _, f := range turned {
		if f.N.Z > -0.999 {
			kept = append(kept, f)
		}
	}
	return kept, hi.Z - lo.Z
}

// plane is one with a normal of any length, d mm from the origin.
func plane(n r3.Vec, d float64) convex.Plane { return convex.Plane{N: convex.Unit(n), D: d} }

// through is a plane with a normal of any length through a point.
func through(n, at r3.Vec) convex.Plane {
	n = convex.Unit(n)
	return convex.Plane{N: n, D: r3.Dot(n, at)}
}

// boxPlanes are the sides of a box about the origin.
func boxPlanes(l, w, h float64) []convex.Plane {
	return []convex.Plane{
		plane(sdf.V(1, 0, 0), l/2), plane(sdf.V(-1, 0, 0), l/2),
		plane(sdf.V(0, 1, 0), w/2), plane(sdf.V(0, -1, 0), w/2),
		plane(sdf.V(0, 0, 1), h/2), plane(sdf.V(0, 0, -1), h/2),
	}
}

// between draws a number between two.
func between(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

// sign is 1 or -1.
func sign(rng *rand.Rand) float64 { return 2*float64(rng.IntN(2)) - 1 }

// uprightTo is the least turn that brings +z to a unit vector.
func uprightTo(n r3.Vec) sdf.Pose {
	axis := sdf.V(-n.Y, n.X, 0) // z x n
	s := math.Hypot(n.X, n.Y)
	if s < 1e-12 {
		return sdf.Pose{}
	}
	return sdf.Turn(axis, math.Atan2(s, n.Z)*180/math.Pi)
}
