package spill

import (
	"math"
	"math/rand/v2"
)

// sizeLaw is the law of the sizes of broken rock: the number of fragments
// larger than r goes as r^-exponent, between two sizes (Turcotte, J. Geophys. Res.
// 91, 1986: about 2.5 for natural broken rock).
type sizeLaw struct {
	least, most float64 // mm
	exponent    float64
}

// at is the size that a share u of the fragments is larger than or equal to,
// turned over: u = 0 gives the least, u = 1 the most.
func (l sizeLaw) at(u float64) float64 {
	if l.most <= l.least {
		return l.least
	}
	q := math.Pow(l.most/l.least, -l.exponent)
	return math.Min(l.least*math.Pow(1-u*(1-q), -1/l.exponent), l.most)
}

// meanSquare is the mean of the square of the sizes, mm2.
func (l sizeLaw) meanSquare() float64 {
	if l.most <= l.least {
		return l.least * l.least
	}
	d, q := l.exponent, math.Pow(l.most/l.least, -l.exponent)
	if math.Abs(d-2) < 1e-9 {
		return 2 * l.least * l.least * math.Log(l.most/l.least) / (1 - q)
	}
	return d / (2 - d) * l.least * l.least * (math.Pow(l.most/l.least, 2-d) - 1) / (1 - q)
}

// stratified draws n numbers from 0 to 1, one from each n-th: few sizes are then as true
// to their law as many.
func stratified(rng *rand.Rand, n int) []float64 {
	u := make([]float64, n)
	for i := range u {
		u[i] = (float64(i) + rng.Float64()) / float64(n)
	}
	return u
}
