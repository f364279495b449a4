package sdf

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Noise is gradient noise in space: smooth, without direction, different for
// every seed (Perlin, "Improving noise", 2002: gradients on a lattice, joined by
// a quintic). Its value is within [-1, 1] and its slope within Slope().
type Noise struct {
	seed       uint64
	wavelength float64
	octaves    int
	scale      float64 // what brings the sum of the octaves into [-1, 1]
}

// octaveAmplitude bounds one octave: at a point, the eight corners' dot
// products g.(x-corner) are at most |x-corner| <= sqrt(3) each and the weights
// sum to one, so sqrt(3) would do. With corners at distance d_i and weights w_i the
// sum of w_i*d_i is greatest in the middle of the cell, where every d_i is
// sqrt(3)/2 (checked on a fine grid by TestNoiseBounds).
const octaveAmplitude = 0.8660254037844387

// octaveSlope bounds the slope of one octave in a lattice of unit pitch. The
// derivative at x along a direction e is
//
//	sum over corners of g_i . (w_i e + (e . grad w_i)(x - c_i))
//
// which for unit gradients g_i is at most the sum of the lengths of the
// brackets, and attains it for the worst gradients. That sum is greatest in
// the middle of the cell, along an axis: 2.79229 (evaluated over a grid of x and e by
// TestNoiseBounds).
const octaveSlope = 2.8

// NewNoise is noise whose coarsest features are about wavelength mm across (at
// least 0.001), with a number of octaves (1 to 12), each of half the wavelength
// and half the height of the one before.
func NewNoise(seed uint64, wavelength float64, octaves int) *Noise {
	n := &Noise{seed: seed, wavelength: max(wavelength, 1e-3), octaves: min(max(octaves, 1), 12)}
	sum, a := 0.0, 1.0
	for range n.octaves {
		sum += a
		a /= 2
	}
	n.scale = 1 / (sum * octaveAmplitude)
	return n
}

// Slope is a bound on the length of the gradient, in 1/mm: every octave adds
// the same, since it is half as high and half as wide.
func (n *Noise) Slope() float64 {
	return octaveSlope * n.scale * float64(n.octaves) / n.wavelength
}

// Value is the noise at p, within [-1, 1].
func (n *Noise) Value(p r3.Vec) float64 {
	v := 0.0
	f, a := 1/n.wavelength, n.scale
	for i := range n.octaves {
		v += a * latticeNoise(n.seed+uint64(i)*0x9e3779b97f4a7c15, p.X*f, p.Y*f, p.Z*f)
		f *= 2
		a /= 2
	}
	return v
}

// Gradient is the noise at p, the same bits as Value, and its gradient in 1/mm.
func (n *Noise) Gradient(p r3.Vec) (float64, r3.Vec) {
	v, g := 0.0, r3.Vec{}
	f, a := 1/n.wavelength, n.scale
	for i := range n.octaves {
		seed := n.seed + uint64(i)*0x9e3779b97f4a7c15
		v += a * latticeNoise(seed, p.X*f, p.Y*f, p.Z*f)
		g = r3.Add(g, r3.Scale(a*f, latticeSlope(seed, p.X*f, p.Y*f, p.Z*f)))
		f *= 2
		a /= 2
	}
	return v, g
}

// Hash is a full-avalanche hash of a seed and a lattice point (the finaliser of
// Steele, Lea, Flood, "Fast splittable pseudorandom number generators", 2014).
func Hash(seed uint64, x, y, z int64) uint64 {
	h := seed ^ uint64(x)*0x9e3779b97f4a7c15 ^ uint64(y)*0xc2b2ae3d27d4eb4f ^ uint64(z)*0x165667b19e3779f9
	h ^= h >> 30
	h *= 0xbf58476d1ce4e5b9
	h ^= h >> 27
	h *= 0x94d049bb133111eb
	return h ^ h>>31
}

// directions are the lattice's unit gradients: spread evenly over the sphere
// on a golden spiral, so that the noise has no grain along the axes.
var directions = func() (d [256]r3.Vec) {
	golden := math.Pi * (3 - math.Sqrt(5))
	for i := range d {
		z := 1 - (2*float64(i)+1)/float64(len(d))
		r := math.Sqrt(1 - z*z)
		s, c := math.Sincos(golden * float64(i))
		d[i] = unit(V(r*c, r*s, z), V(0, 0, 1))
	}
	return d
}()

func latticeDirection(seed uint64, x, y, z int64) *r3.Vec {
	return &directions[Hash(seed, x, y, z)&255]
}

// fade is the quintic 6t^5-15t^4+10t^3; its slope is at most 15/8.
func fade(t float64) float64      { return t * t * t * (t*(t*6-15) + 10) }
func fadeSlope(t float64) float64 { return 30 * t * t * (t - 1) * (t - 1) }

// latticeNoise is one octave on a lattice of unit pitch.
func latticeNoise(seed uint64, x, y, z float64) float64 {
	fx, fy, fz := math.Floor(x), math.Floor(y), math.Floor(z)
	ix, iy, iz := int64(fx), int64(fy), int64(fz)
	x, y, z = x-fx, y-fy, z-fz
	at := func(i, j, k int64) float64 {
		g := latticeDirection(seed, ix+i, iy+j, iz+k)
		return float64(g.X*(x-float64(i))) + float64(g.Y*(y-float64(j))) + float64(g.Z*(z-float64(k)))
	}
	u, v, w := fade(x), fade(y), fade(z)
	lo := mixLinear(v, mixLinear(u, at(0, 0, 0), at(1, 0, 0)), mixLinear(u, at(0, 1, 0), at(1, 1, 0)))
	if w == 0 { // on a plane of the lattice: noise over the plan is
		return lo
	}
	hi := mixLinear(v, mixLinear(u, at(0, 0, 1), at(1, 0, 1)), mixLinear(u, at(0, 1, 1), at(1, 1, 1)))
	return mixLinear(w, lo, hi)
}

func mixLinear(t, a, b float64) float64 { return a + float64(t*(b-a)) }

// latticeSlope is the gradient of latticeNoise.
func latticeSlope(seed uint64, x, y, z float64) r3.Vec {
	fx, fy, fz := math.Floor(x), math.Floor(y), math.Floor(z)
	ix, iy, iz := int64(fx), int64(fy), int64(fz)
	x, y, z = x-fx, y-fy, z-fz
	u, v, w := fade(x), fade(y), fade(z)
	du, dv, dw := fadeSlope(x), fadeSlope(y), fadeSlope(z)
	var out r3.Vec
	corners := int64(8)
	if w == 0 { // those above have no weight
		corners = 4
	}
	for c := range corners {
		i, j, k := c&1, c>>1&1, c>>2
		g := latticeDirection(seed, ix+i, iy+j, iz+k)
		d := g.X*(x-float64(i)) + g.Y*(y-float64(j)) + g.Z*(z-float64(k))
		wx, sx := weight(i, u, du)
		wy, sy := weight(j, v, dv)
		wz, sz := weight(k, w, dw)
		out.X += wx*wy*wz*g.X + sx*wy*wz*d
		out.Y += wx*wy*wz*g.Y + wx*sy*wz*d
		out.Z += wx*wy*wz*g.Z + wx*wy*sz*d
	}
	return out
}

// weight is a corner's share along one axis, and its slope.
func weight(side int64, t, slope float64) (float64, float64) {
	if side == 1 {
		return t, slope
	}
	return 1 - t, -slope
}
