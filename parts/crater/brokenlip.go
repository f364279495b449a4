package crater

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/convex"
)

// lipSpot is a place on the lip of a scar with the direction away from its middle.
type lipSpot struct {
	at, out r2.Vec
}

// crackPath is a crack in the plan: its middle line from inside the lip outward
// and its width at each point.
type crackPath struct {
	line  []r2.Vec
	width []float64 // mm
}

// radialCracks sets out n cracks of unequal length round a lip: irregularly
// spaced, crooked, and narrowing outward from wide to least mm. They start within
// the lip and reach 1.3 to 2 times the radius from the middle, as cracks round a
// blast do (common practice, no source).
func radialCracks(rng *rand.Rand, centre r2.Vec, radius float64, n int, wide, least float64) []crackPath {
	paths := make([]crackPath, 0, n)
	start := rng.Float64()
	for i := range n {
		turn := (float64(i) + start + 0.7*(rng.Float64()-0.5)) / float64(n) * 2 * math.Pi
		sin, cos := math.Sincos(turn)
		out, aside := r2.Vec{X: cos, Y: sin}, r2.Vec{X: -sin, Y: cos}
		from, to := 0.8*radius, radius*(1.3+0.7*rng.Float64())
		const steps = 6
		var c crackPath
		drift := 0.0
		for k := range steps + 1 {
			t := float64(k) / steps
			r := from + (to-from)*t
			c.line = append(c.line, r2.Add(centre, r2.Add(r2.Scale(r, out), r2.Scale(drift, aside))))
			c.width = append(c.width, wide+(least-wide)*t)
			drift += (rng.Float64() - 0.5) * 0.9 * (to - from) / steps
		}
		paths = append(paths, c)
	}
	return paths
}

// outline is the crack's edge in the plan, anticlockwise.
func (c crackPath) outline() []r2.Vec {
	n := len(c.line)
	left, right := make([]r2.Vec, n), make([]r2.Vec, n)
	for i, p := range c.line {
		before, after := c.line[max(0, i-1)], c.line[min(n-1, i+1)]
		across := r2.Scale(c.width[i]/2, planar.LeftNormal(before, after))
		left[n-1-i], right[i] = r2.Add(p, across), r2.Sub(p, across)
	}
	return planar.Anticlockwise(append(right, left...))
}

// solid is what the crack takes out between two heights.
func (c crackPath) solid(lo, hi float64) sdf.Field {
	return (&parts.Area{Polygon: c.outline()}).Prism(lo, hi)
}

// lipBites are blocks broken out of a lip: each opens upward, so that nothing
// hangs over, and reaches from around the level up to top. Sizes are between the
// two of size, mm.
func lipBites(rng *rand.Rand, spots []lipSpot, level, top float64, size [2]float64) []sdf.Field {
	var out []sdf.Field
	for _, s := range spots {
		u := rng.Float64() // more small ones than large
		w := size[0] + (size[1]-size[0])*u*u
		at := r2.Add(s.at, r2.Scale(w*(0.5*rng.Float64()-0.25), s.out))
		floor := level - w*(0.15+0.45*rng.Float64())
		planes := []convex.Plane{convex.Tilted(rng, 20, -1)}
		n := 4 + rng.IntN(2)
		turn := rng.Float64() * 2 * math.Pi
		for i := range n {
			sin, cos := math.Sincos(turn + 2*math.Pi*(float64(i)+0.5*(rng.Float64()-0.5))/float64(n))
			dip := math.Tan((5 + 25*rng.Float64()) * math.Pi / 180)
			planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(cos, sin, -dip)), D: w / 2 * (0.7 + 0.3*rng.Float64())})
		}
		planes = convex.Placed(planes, sdf.At(sdf.V(at.X, at.Y, floor)))
		planes = append(planes, convex.Plane{N: sdf.V(0, 0, 1), D: top})
		if b := convex.New(planes); b != nil {
			out = append(out, b)
		}
	}
	return out
}

// spallPlate is a slab of the surface lifted at the lip: its top rises towards the
// scar, its foot lies sunk below the level. Its width is w and its inner edge
// stands lift mm above the height top.
func spallPlate(rng *rand.Rand, s lipSpot, w, foot, top, lift float64) *convex.Polytope {
	turn := math.Atan2(s.out.Y, s.out.X)
	rise := math.Atan2(lift, w) * (0.8 + 0.4*rng.Float64())
	sin, cos := math.Sincos(rise)
	planes := []convex.Plane{
		{N: sdf.V(sin, 0.15*(rng.Float64()-0.5), cos), D: 0},
		{N: sdf.V(0, 0, -1), D: top - foot},
	}
	planes[0].N = convex.Unit(planes[0].N)
	n := 4 + rng.IntN(3)
	for i := range n {
		a := 2 * math.Pi * (float64(i) + 0.6*(rng.Float64()-0.5)) / float64(n)
		sin, cos := math.Sincos(a)
		planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(cos, sin, 0.1*rng.Float64())), D: w / 2 * (0.75 + 0.25*rng.Float64())})
	}
	pose := sdf.Turn(sdf.V(0, 0, 1), turn*180/math.Pi).Then(sdf.At(sdf.V(s.at.X, s.at.Y, top)))
	return convex.New(convex.Placed(planes, pose))
}

// alongLip sets out n spots round a circle, irregularly.
func alongLip(rng *rand.Rand, centre r2.Vec, radius float64, n int) []lipSpot {
	out := make([]lipSpot, n)
	start := rng.Float64()
	for i := range n {
		sin, cos := math.Sincos((float64(i) + start + 0.8*(rng.Float64()-0.5)) / float64(n) * 2 * math.Pi)
		out[i].out = r2.Vec{X: cos, Y: sin}
		out[i].at = r2.Add(centre, r2.Scale(radius, out[i].out))
	}
	return out
}

// Layers of the ground in the wall of a bowl. Common practice, no source.
const (
	mostLayers = 3
	layerDip   = 2.0 // degrees that they lie off the level at most
)

// layers are what has come out of the wall of a bowl between harder layers of the ground,
// from a height down to the floor depth mm below: bands of it, a step of the print's relief
// deeper than the rest and two steps high and one and a half apart at least; a bowl too
// shallow for them has none.
func layers(rng *rand.Rand, bowl sdf.Field, centre r2.Vec, top, depth, relief float64) (bands []sdf.Field) {
	n := min(mostLayers, int(depth/(4.5*relief)))
	lean := math.Tan(layerDip * rng.Float64() * math.Pi / 180) // of all alike, so that none runs out thin
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	up := convex.Unit(sdf.V(lean*cos, lean*sin, 1))
	at := up.X*centre.X + up.Y*centre.Y
	first := 0.1 * rng.Float64()
	for i := range n {
		z := top - depth*(first+0.8*float64(i)/float64(n))
		high := max(2*relief, 0.33*depth/float64(n))
		bands = append(bands, sdf.Intersection(sdf.Offset(bowl, relief*(1+0.6*rng.Float64())),
			sdf.HalfSpace(up, at+up.Z*z), sdf.HalfSpace(sdf.V(-up.X, -up.Y, -up.Z), -(at+up.Z*(z-high)))))
	}
	return bands
}

// bouldersIn are stones that stick half out of the wall of a bowl, between a third of the
// way up it and the lip.
func bouldersIn(rng *rand.Rand, plan *scarPlan, centre r2.Vec, floor, top float64, section profile, size [2]float64, n int) (stones []sdf.Field) {
	for range n {
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		high := 0.3 + 0.55*rng.Float64()
		u := rng.Float64()
		w := size[0] + (size[1]-size[0])*u*u
		at := r2.Add(centre, r2.Scale(section.radius(high*(top-floor)), r2.Vec{X: cos, Y: sin}))
		z := section.height(floor, plan.At(at))
		planes := []convex.Plane{}
		const sides = 5
		turn := 2 * math.Pi * rng.Float64()
		for _, lean := range [2]float64{0.5, -0.5} {
			for i := range sides {
				s, c := math.Sincos(turn + 2*math.Pi*(float64(i)+0.5*(rng.Float64()-0.5))/sides)
				planes = append(planes, convex.Plane{N: convex.Unit(sdf.V(c, s, lean+0.5*(rng.Float64()-0.5))), D: w / 2 * (0.8 + 0.4*rng.Float64())})
			}
			turn += math.Pi / sides
		}
		planes = append(planes, convex.Tilted(rng, 25, 1), convex.Tilted(rng, 25, -1))
		planes[len(planes)-2].D, planes[len(planes)-1].D = 0.4*w, 0.5*w
		if p := convex.New(convex.Placed(planes, sdf.At(sdf.V(at.X, at.Y, z-0.1*w)))); p != nil {
			stones = append(stones, p)
		}
	}
	return stones
}
