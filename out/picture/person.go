package picture

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Person is a yardstick: a figure that stands upright, without face or clothes,
// all its triangles of the tone Figure. height is that of its crown over its
// soles, in mm on the print; its soles are at the height of at, which lies
// between its feet under its hips; it looks in the direction facing, degrees
// counter-clockwise from +x. A height that is not above 0, or anything that is
// not finite, gives an empty mesh.
//
// The heights of its joints and the breadths of its shoulders and hips are the
// fractions of stature of Drillis and Contini, Body Segment Parameters (1966),
// figures from memory; how deep and how stout it is between them is by eye. It
// consists of closed pieces that run into each other.
func Person(height float64, at r3.Vec, facing float64) Mesh {
	var m Mesh
	if !(height > 0) || !finite(height, at.X, at.Y, at.Z, facing) {
		return m
	}
	torso.into(&m, 1)
	neck.into(&m, 1)
	head.into(&m, 1)
	for _, side := range []float64{1, -1} {
		arm.into(&m, side)
		leg.into(&m, side)
		foot.into(&m, side)
	}
	sin, cos := sincos(math.Mod(facing, 360))
	for i, v := range m.Vertices {
		x, y := float64(v[0]), float64(v[1])
		m.Vertices[i] = [3]float32{
			float32(at.X + height*(x*cos-y*sin)),
			float32(at.Y + height*(x*sin+y*cos)),
			float32(at.Z + height*float64(v[2])),
		}
	}
	m.Tones = make([]Tone, len(m.Triangles))
	for i := range m.Tones {
		m.Tones[i] = Figure
	}
	return m
}

func finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// The pieces of a person of stature 1 that looks along +x with its left to +y.
// Arms, legs and feet are those on the left. The stations of upright pieces run
// up; those of the foot run forward.
var (
	torso = loft{rings: 22, around: 24, square: 2.35, stations: []station{
		{at: 0.462, fore: -0.006},
		{at: 0.486, fore: -0.008, wide: 0.046, deep: 0.044},
		{at: 0.510, fore: -0.008, wide: 0.076, deep: 0.057},
		{at: 0.532, fore: -0.007, wide: 0.0962, deep: 0.063},
		{at: 0.570, fore: -0.002, wide: 0.0915, deep: 0.0575},
		{at: 0.630, fore: 0.004, wide: 0.078, deep: 0.051},
		{at: 0.690, fore: 0.003, wide: 0.087, deep: 0.058},
		{at: 0.740, fore: 0.000, wide: 0.100, deep: 0.064},
		{at: 0.780, fore: -0.004, wide: 0.112, deep: 0.059},
		{at: 0.807, fore: -0.008, wide: 0.119, deep: 0.050},
		{at: 0.826, fore: -0.010, wide: 0.104, deep: 0.041},
		{at: 0.843, fore: -0.010, wide: 0.062, deep: 0.035},
		{at: 0.860, fore: -0.008, wide: 0.033, deep: 0.030},
		{at: 0.872, fore: -0.007},
	}}
	neck = loft{rings: 10, around: 18, square: 2, stations: []station{
		{at: 0.800, fore: -0.013},
		{at: 0.825, fore: -0.011, wide: 0.037, deep: 0.037},
		{at: 0.860, fore: -0.004, wide: 0.031, deep: 0.033},
		{at: 0.890, fore: 0.002, wide: 0.030, deep: 0.034},
		{at: 0.920, fore: 0.006},
	}}
	head = loft{rings: 18, around: 22, square: 2.1, stations: []station{
		{at: 0.870, fore: 0.029},
		{at: 0.896, fore: 0.018, wide: 0.0325, deep: 0.0415},
		{at: 0.951, fore: 0.005, wide: 0.0430, deep: 0.0560},
		{at: 0.981, fore: 0.001, wide: 0.0350, deep: 0.0455},
		{at: 1, fore: 0},
	}}
	arm = loft{rings: 22, around: 14, square: 2, stations: []station{
		{at: 0.377, fore: 0.026, left: 0.170},
		{at: 0.400, fore: 0.026, left: 0.170, wide: 0.0085, deep: 0.0170},
		{at: 0.445, fore: 0.022, left: 0.171, wide: 0.0125, deep: 0.0235},
		{at: 0.485, fore: 0.016, left: 0.169, wide: 0.0125, deep: 0.0165},
		{at: 0.580, fore: 0.000, left: 0.156, wide: 0.0205, deep: 0.0225},
		{at: 0.630, fore: -0.007, left: 0.147, wide: 0.0200, deep: 0.0220},
		{at: 0.720, fore: -0.008, left: 0.129, wide: 0.0245, deep: 0.0285},
		{at: 0.780, fore: -0.007, left: 0.1155, wide: 0.0290, deep: 0.0335},
		{at: 0.808, fore: -0.008, left: 0.1090, wide: 0.0285, deep: 0.0280},
		{at: 0.833, fore: -0.009, left: 0.0990},
	}}
	leg = loft{rings: 24, around: 20, square: 2, stations: []station{
		{at: 0.008, fore: -0.012, left: 0.058},
		{at: 0.039, fore: -0.012, left: 0.058, wide: 0.0170, deep: 0.0215},
		{at: 0.065, fore: -0.011, left: 0.058, wide: 0.0160, deep: 0.0195},
		{at: 0.120, fore: -0.012, left: 0.057, wide: 0.0205, deep: 0.0240},
		{at: 0.205, fore: -0.013, left: 0.055, wide: 0.0295, deep: 0.0345},
		{at: 0.285, fore: -0.003, left: 0.053, wide: 0.0280, deep: 0.0325},
		{at: 0.370, fore: 0.003, left: 0.0515, wide: 0.0380, deep: 0.0450},
		{at: 0.440, fore: 0.000, left: 0.0500, wide: 0.0440, deep: 0.0540},
		{at: 0.490, fore: -0.006, left: 0.0485, wide: 0.0460, deep: 0.0590},
		{at: 0.530, fore: -0.007, left: 0.0470, wide: 0.0420, deep: 0.0540},
		{at: 0.570, fore: -0.007, left: 0.0460},
	}}
	foot = loft{rings: 14, around: 16, square: 2, lying: true, turned: 7, stations: []station{
		{at: -0.044, up: 0.014, left: 0.058},
		{at: -0.034, up: 0.016, left: 0.058, wide: 0.0165, deep: 0.022},
		{at: -0.012, up: 0.018, left: 0.058, wide: 0.0195, deep: 0.033},
		{at: 0.020, up: 0.014, left: 0.059, wide: 0.0210, deep: 0.027},
		{at: 0.060, up: 0.008, left: 0.060, wide: 0.0270, deep: 0.017},
		{at: 0.088, up: 0.006, left: 0.059, wide: 0.0240, deep: 0.012},
		{at: 0.108, up: 0.007, left: 0.058},
	}}
)

// loft is a closed surface through ellipses across its length. Its first and
// last station are points, about which it is rounded.
type loft struct {
	stations []station
	rings    int     // from end to end
	around   int     // points on a ring
	square   float64 // 2 is an ellipse, more is closer to a rectangle
	lying    bool    // runs along +x, with its sole on the ground, not up
	turned   float64 // degrees outward about the upright through the origin of at
}

// station is an ellipse across a loft, in statures.
type station struct {
	at             float64 // along the loft
	fore, left, up float64 // its middle; the one that runs along the loft is not used
	wide, deep     float64 // its half axes: to the sides, and across the loft and that
}

// into adds the loft, mirrored where side is -1.
func (l *loft) into(m *Mesh, side float64) {
	first := uint32(len(m.Vertices))
	sin, cos := sincos(l.turned)
	// put adds a point of the ring around a station, in the frame of an upright
	// loft: u forward, v to the left, or of a lying one: u down, v to the left.
	put := func(s station, u, v float64) {
		p := r3.Vec{X: s.fore + s.deep*u, Y: s.left + s.wide*v, Z: s.at}
		if l.lying {
			p = r3.Vec{X: s.at*cos - s.wide*v*sin, Y: s.left + s.at*sin + s.wide*v*cos, Z: max(0, s.up-s.deep*u)}
		}
		m.Vertices = append(m.Vertices, [3]float32{float32(p.X), float32(side * p.Y), float32(p.Z)})
	}
	lo, hi := l.stations[0], l.stations[len(l.stations)-1]
	put(lo, 0, 0)
	for i := 1; i < l.rings; i++ {
		// Closer together towards the ends, so that these come out round.
		along := (1 - math.Cos(math.Pi*float64(i)/float64(l.rings))) / 2
		s := l.between(lo.at + along*(hi.at-lo.at))
		for k := range l.around {
			sn, cs := math.Sincos(2 * math.Pi * float64(k) / float64(l.around))
			put(s, l.bend(cs), l.bend(sn))
		}
	}
	put(hi, 0, 0)

	n := uint32(l.around)
	last := uint32(len(m.Vertices)) - 1
	face := func(a, b, c uint32) {
		if side < 0 {
			b, c = c, b
		}
		m.Triangles = append(m.Triangles, [3]uint32{a, b, c})
	}
	for k := range n {
		next := (k + 1) % n
		face(first, first+1+next, first+1+k)
		for i := range uint32(l.rings) - 2 {
			a, b := first+1+i*n+k, first+1+i*n+next
			face(a, b, b+n)
			face(a, b+n, a+n)
		}
		face(last, last-n+k, last-n+next)
	}
}

// bend turns the sine or cosine of an ellipse into that of the fuller curve.
func (l *loft) bend(x float64) float64 {
	return math.Copysign(math.Pow(math.Abs(x), 2/l.square), x)
}

// between gives the ellipse at a place along the loft. The squares of the half
// axes are interpolated, not the axes: so an end is as round as a ball's.
func (l *loft) between(at float64) station {
	of := func(get func(station) float64) float64 { return l.interpolate(at, get) }
	root := func(get func(station) float64) float64 {
		return math.Sqrt(max(0, of(func(s station) float64 { return get(s) * get(s) })))
	}
	return station{
		at:   at,
		fore: of(func(s station) float64 { return s.fore }),
		left: of(func(s station) float64 { return s.left }),
		up:   of(func(s station) float64 { return s.up }),
		wide: root(func(s station) float64 { return s.wide }),
		deep: root(func(s station) float64 { return s.deep }),
	}
}

// interpolate runs through the stations without overshooting them: piecewise
// cubic after Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984), 300
// (from memory): the slope at a station is the harmonic mean of those beside it
// where these agree in sign, else 0.
func (l *loft) interpolate(at float64, get func(station) float64) float64 {
	s := l.stations
	k := 0
	for k < len(s)-2 && at > s[k+1].at {
		k++
	}
	slope := func(i int) float64 { return (get(s[i+1]) - get(s[i])) / (s[i+1].at - s[i].at) }
	tangent := func(i int) float64 {
		switch i {
		case 0:
			return slope(0)
		case len(s) - 1:
			return slope(i - 1)
		}
		a, b := slope(i-1), slope(i)
		if a*b <= 0 {
			return 0
		}
		return 2 * a * b / (a + b)
	}
	h := s[k+1].at - s[k].at
	t := (at - s[k].at) / h
	return get(s[k])*(1+2*t)*(1-t)*(1-t) + h*tangent(k)*t*(1-t)*(1-t) +
		get(s[k+1])*t*t*(3-2*t) + h*tangent(k+1)*t*t*(t-1)
}
