package picture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The key light is a disc, not a point: the rim of its shadow is as soft as what throws
// it is far away. Contact and fine relief have sharp shadows, a wall's top a soft one.

const (
	keyRadius = 0.055 // of the disc as it is seen, as a slope: some 3 degrees
	mostSoft  = 11    // radius over which a shadow is softened at most, texels
	leastSoft = 0.9   // the same, at least
	narrow    = 2.5   // the radius below which few places are enough, texels
	keyLift   = 0.5   // how far off its own surface a point is looked up, texels
)

// Places in a disc of radius 1: evenly spread ones, many for a wide rim of a shadow and few
// for a narrow one, and such as lie closer together towards the middle, to find what is
// near and small.
var (
	wideTaps   = spiral(16, 0.5)
	narrowTaps = spiral(6, 0.5)
	seekTaps   = spiral(12, 1)
)

// spiral gives n places whose distances from the middle go by a power of their order; 0.5
// spreads them evenly.
func spiral(n int, power float64) [][2]float64 {
	taps := make([][2]float64, n)
	for i := range taps {
		s, c := sincos(float64(i) * goldenAngle)
		r := math.Pow((float64(i)+0.5)/float64(n), power)
		taps[i] = [2]float64{r * c, r * s}
	}
	return taps
}

// keyAt is the part of the key's light that reaches p on a facet of unit normal n, 0 .. 1.
func (r *rig) keyAt(p, n r3.Vec) float64 {
	l := &r.key
	if l.beyond != nil && !l.holds(p, mostSoft+3) {
		l = l.beyond
	}
	return l.disc(p, n)
}

// disc is the part of a disc of light that reaches p: as much as is not hidden behind
// what the map holds. Heights are compared with the plane of the facet, so that a
// surface throws no shadow on itself, at whatever angle.
func (l *lamp) disc(p, n r3.Vec) float64 {
	p = r3.Add(p, r3.Scale(keyLift*l.texel, n))
	x, y, h := r3.Dot(p, l.u)-l.u0, r3.Dot(p, l.v)-l.v0, r3.Dot(p, l.h)
	facing := max(0.12, r3.Dot(n, l.dir))
	slopeX, slopeY := -r3.Dot(n, l.u)*l.texel/facing, -r3.Dot(n, l.v)*l.texel/facing
	h += (0.5-x)*slopeX + (0.5-y)*slopeY // of the plane, where texel 0, 0 has its middle
	over := func(i, j int) float64 {
		return float64(l.reach.near[j*l.size+i]) - (h + float64(i)*slopeX + float64(j)*slopeY)
	}
	var found, apart float64
	for _, t := range seekTaps {
		i, j := int(x+mostSoft*t[0]), int(y+mostSoft*t[1])
		if uint(i) >= uint(l.size) || uint(j) >= uint(l.size) {
			continue
		}
		if o := over(i, j); o > 0.5 {
			found++
			apart += o
		}
	}
	if found == 0 {
		return 1
	}
	if found == float64(len(seekTaps)) {
		return 0
	}
	radius := max(leastSoft, min(mostSoft, keyRadius*apart/found))
	taps := wideTaps
	if radius < narrow {
		taps = narrowTaps
	}
	var sum float64
	for _, t := range taps {
		u, v := x+radius*t[0]-0.5, y+radius*t[1]-0.5
		fu, fv := math.Floor(u), math.Floor(v)
		i, j := int(fu), int(fv)
		if i < 0 || j < 0 || i+1 >= l.size || j+1 >= l.size {
			sum++
			continue
		}
		u, v = u-fu, v-fv
		sum += (1-v)*((1-u)*lit(over(i, j))+u*lit(over(i+1, j))) + v*((1-u)*lit(over(i, j+1))+u*lit(over(i+1, j+1)))
	}
	return sum / float64(len(taps))
}

// lit is 1 where nothing stands over a place, so many texels high, and 0 where
// something does.
func lit(over float64) float64 { return max(0, min(1, 1.4-over)) }

// holds tells whether the map reaches so many texels around a point.
func (l *lamp) holds(p r3.Vec, around float64) bool {
	x, y, most := r3.Dot(p, l.u)-l.u0, r3.Dot(p, l.v)-l.v0, float64(l.size)-around
	return x >= around && y >= around && x < most && y < most
}
