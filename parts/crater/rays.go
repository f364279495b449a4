package crater

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
)

// ray is one of the directions into which a blast throws most.
type ray struct {
	toward r2.Vec  // a unit vector
	half   float64 // half its width, radians
	rich   float64 // how much thicker than the mean it is in its middle
	from   float64 // distance at which it begins to narrow, mm
	taper  float64 // over which it has narrowed to nothing, mm
}

// rays share out what a blast throws: at each distance up to where the first of them
// narrows, their mean over the circle is 1. Between them the ground is bare.
type rays struct {
	centre   r2.Vec
	all      []ray
	steepest float64 // bound on the change over an angle, 1/rad
	along    float64 // and over the distance, 1/mm
	richest  float64 // bound on how thick they are over the mean
}

const (
	fewestRays, mostRays = 7, 10 // common practice, no source
	leastRay             = 5.0   // mm from ray to ray at one and a half radii
	leastTaper           = 3.0   // mm over which a ray narrows to nothing
)

// newRays are 7 to 12 rays round a middle, fewer round a small one, of unequal width,
// thickness and length, up to reach mm; nil where there is room for none.
func newRays(rng *rand.Rand, centre r2.Vec, radius, reach float64) *rays {
	n := min(fewestRays+rng.IntN(mostRays-fewestRays+1), int(2*math.Pi*1.5*radius/leastRay))
	if n < 3 || reach-radius < leastTaper {
		return nil
	}
	out := &rays{centre: centre}
	start, mean := rng.Float64(), 0.0
	for i := range n {
		turn := (float64(i) + start + 0.6*(rng.Float64()-0.5)) / float64(n) * 2 * math.Pi
		sin, cos := math.Sincos(turn)
		long := rng.Float64()
		k := ray{
			toward: r2.Vec{X: cos, Y: sin},
			half:   (0.75 + 0.5*rng.Float64()) * math.Pi / float64(n),
			rich:   0.6 + 0.8*rng.Float64(),
			from:   radius + (reach-radius)*(0.35+0.3*long),
			taper:  max((reach-radius)*(0.4+0.3*long), leastTaper),
		}
		mean += k.rich * k.half / (2 * math.Pi)
		out.all = append(out.all, k)
	}
	for i := range out.all {
		out.all[i].rich /= mean
	}
	out.bound()
	return out
}

// bound works out the greatest of the rays and of their changes. Over the angle they are
// straight between the middles and the edges of rays, so that the greatest is at one of
// these.
func (y *rays) bound() {
	for _, k := range y.all {
		for _, side := range [...]float64{-1, 0, 1} {
			sin, cos := math.Sincos(math.Atan2(k.toward.Y, k.toward.X) + float64(side*k.half))
			sum, rise, fall, along := 0.0, 0.0, 0.0, 0.0
			for _, o := range y.all {
				off := math.Atan2(float64(o.toward.X*sin)-float64(o.toward.Y*cos), float64(o.toward.X*cos)+float64(o.toward.Y*sin))
				u := 1 - math.Abs(off)/o.half
				if u < -1e-9 {
					continue
				}
				sum += o.rich * max(u, 0)
				if off < 1e-9 {
					rise += o.rich / o.half
				}
				if off > -1e-9 {
					fall += o.rich / o.half
				}
				along += o.rich / o.taper
			}
			y.richest = max(y.richest, sum)
			y.steepest = max(y.steepest, max(rise, fall))
			y.along = max(y.along, along)
		}
	}
}

// at gives how thick the rays are over the mean at a place, at a distance of r from the
// middle as the scar measures it, and the changes with the place and with r.
func (y *rays) at(p r2.Vec, r float64) (b float64, byPlace r2.Vec, byRadius float64) {
	d := r2.Sub(p, y.centre)
	l := planar.Norm2(d)
	if l < 1e-9 {
		return 0, r2.Vec{}, 0
	}
	out := r2.Vec{X: d.X / l, Y: d.Y / l}
	for i := range y.all {
		k := &y.all[i]
		cos := planar.Dot2(out, k.toward)
		if cos <= 0 {
			continue
		}
		cross := float64(k.toward.X*out.Y) - float64(k.toward.Y*out.X)
		off := math.Atan2(cross, cos)
		u := 1 - math.Abs(off)/k.half
		narrow := max(0, r-k.from) / k.taper
		if u -= narrow; u <= 0 {
			continue
		}
		b += float64(k.rich * u)
		w := -math.Copysign(k.rich/k.half/l, off)
		byPlace.X -= float64(w * out.Y)
		byPlace.Y += float64(w * out.X)
		if narrow > 0 {
			byRadius -= k.rich / k.taper
		}
	}
	return b, byPlace, byRadius
}
