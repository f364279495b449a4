package street

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
	"socle/sdf/relief"
)

// skin is the rough face of cast iron on a round shaft, in scene units about its axis.
func skin(s *parts.Site, f sdf.Field, seed uint64, radius float64) sdf.Field {
	pitch := math.Max(3*s.Print.Gap, s.OnPrint(60))
	return relief.Carve(f, relief.Round(relief.NewFacets(seed, pitch, math.Min(s.Grain(), 0.1*radius), 0.4), radius))
}

// flutes cuts upright grooves into a shaft that narrows from one radius to another between
// two heights. None are cut where fewer than six would print.
func flutes(s *parts.Site, shaft sdf.Field, low, high, foot, head float64) sdf.Field {
	width := math.Max(1.2*s.Print.Gap, s.OnPrint(35))
	n := int(2 * math.Pi * head / (1.9 * width))
	if n = min(n, 16); n < 6 {
		return shaft
	}
	width = math.Min(width*1.4, 2*math.Pi*head/(1.7*float64(n)))
	deep := math.Min(0.12*head, math.Min(0.5*width, s.Print.Relief))
	r := (width*width/4 + deep*deep) / (2 * deep) // of the circle with that chord and depth
	stop := math.Min(0.1*(high-low), 2*width)
	var cut []sdf.Field
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		a, b := foot-deep+r, head-deep+r
		cut = append(cut, sdf.Capsule(sdf.V(a*cos, a*sin, low+stop+r/2), sdf.V(b*cos, b*sin, high-stop-r/2), r))
	}
	return sdf.Difference(shaft, cut...)
}

// dents are places where something has struck a round thing, each no deeper than given:
// balls that are taken out of it, about its axis between two heights.
func dents(rng *rand.Rand, n int, radius, deep, low, high float64) (all []sdf.Field) {
	for range n {
		turn, up, size := 2*math.Pi*rng.Float64(), rng.Float64(), radius*(0.5+0.5*rng.Float64())
		sin, cos := math.Sincos(turn)
		out := radius + size - deep*(0.5+0.5*rng.Float64())
		all = append(all, sdf.Place(sdf.Sphere(size), sdf.At(sdf.V(out*cos, out*sin, low+(high-low)*up))))
	}
	return all
}

// dome adds a dome to a profile: from a radius at a height up to the axis at another.
func dome(profile []r2.Vec, radius, low, high float64) []r2.Vec {
	const steps = 6
	for i := range steps + 1 {
		sin, cos := math.Sincos(math.Pi / 2 * float64(i) / steps)
		profile = append(profile, r2.Vec{X: radius * cos, Y: low + (high-low)*sin})
	}
	return profile
}

// tapered is a square frustum about the axis between two heights, half as wide as given
// at each.
func tapered(low, high, below, above float64) sdf.Field {
	wide := math.Max(below, above)
	all := []sdf.Field{sdf.BoxBetween(sdf.V(-wide, -wide, low), sdf.V(wide, wide, high))}
	rise, run := high-low, below-above // outward and up: the normal of a side
	for k := range 4 {
		n := sdf.Turn(sdf.V(0, 0, 1), 90*float64(k)).Rotate(sdf.V(rise, 0, run))
		all = append(all, sdf.HalfSpace(n, (below*rise+low*run)/math.Hypot(rise, run)))
	}
	return sdf.Intersection(all...)
}

// grainOf is the grain of weathered wood along y, no deeper than given.
func grainOf(s *parts.Site, seed uint64, most float64) relief.Relief {
	gap := s.Print.Gap
	return relief.NewGrooves(seed, 2.2*gap, 1.1*gap, math.Min(1.2*s.Grain(), most), 0.15, 0.35*gap)
}

// plan are points of the plan from their coordinates in turn.
func plan(xy ...float64) (all []r2.Vec) {
	for i := 0; i+1 < len(xy); i += 2 {
		all = append(all, r2.Vec{X: xy[i], Y: xy[i+1]})
	}
	return all
}
