package raster

import (
	"math"
	"math/bits"
)

// DistancesTo gives the squared distance of every pixel of a layer to the
// nearest one that is set, in pixels squared; +Inf where none is.
func DistancesTo(p Plane, squares []float64, line *Envelope) {
	for j := range p.Ny {
		row := squares[j*p.Nx : (j+1)*p.Nx]
		last := math.Inf(-1)
		for i := range row {
			if p.At(i, j) {
				last = float64(i)
			}
			row[i] = float64(i) - last
		}
		next := math.Inf(1)
		for i := p.Nx - 1; i >= 0; i-- {
			if p.At(i, j) {
				next = float64(i)
			}
			n := min(row[i], next-float64(i))
			row[i] = n * n
		}
	}
	for i := range p.Nx {
		line.Reset(p.Ny)
		for j := range p.Ny {
			line.F[j] = squares[j*p.Nx+i]
		}
		line.Transform(1)
		for j := range p.Ny {
			squares[j*p.Nx+i] = line.D[j]
		}
	}
}

// Distances gives do the squared distance of every pixel that is set, in one word of
// all rows, to the nearest that is set in another plane, in pixels squared; +Inf where
// none is. It goes column by column, and holds no more than those of the word.
func (p Plane) Distances(w int, to Plane, do func(i, j int, square float64)) {
	wide := min(64, p.Nx-w*64)
	squares := make([]float64, wide*p.Ny)
	some := false
	for j := range p.Ny {
		row := to.Row(j)
		some = some || p.Row(j)[w] != 0
		// The nearest to the left and to the right of the word, from its first pixel.
		last := math.Inf(-1)
		for v := w - 1; v >= 0; v-- {
			if row[v] != 0 {
				last = float64((v-w)*64 + 63 - bits.LeadingZeros64(row[v]))
				break
			}
		}
		next := math.Inf(1)
		for v := w + 1; v < p.Stride; v++ {
			if row[v] != 0 {
				next = float64((v-w)*64 + bits.TrailingZeros64(row[v]))
				break
			}
		}
		at := squares[j*wide : (j+1)*wide]
		for i := range at {
			if row[w]>>i&1 == 1 {
				last = float64(i)
			}
			at[i] = float64(i) - last
		}
		for i := wide - 1; i >= 0; i-- {
			if row[w]>>i&1 == 1 {
				next = float64(i)
			}
			n := min(at[i], next-float64(i))
			at[i] = n * n
		}
	}
	if !some {
		return
	}
	var line Envelope
	for i := range wide {
		line.Reset(p.Ny)
		for j := range p.Ny {
			line.F[j] = squares[j*wide+i]
		}
		line.Transform(1)
		for j := range p.Ny {
			if p.Row(j)[w]>>i&1 == 1 {
				do(w*64+i, j, line.D[j])
			}
		}
	}
}

// Envelope is the lower envelope of parabolas, one over each sample of a line.
type Envelope struct {
	F, D  []float64 // squared distances given, and found
	apex  []int     // the parabolas that are lowest somewhere, in order
	since []float64 // from where each of them is lowest, in samples
}

// Reset makes room for n samples.
func (e *Envelope) Reset(n int) {
	if cap(e.F) < n {
		e.F, e.D = make([]float64, n), make([]float64, n)
		e.apex, e.since = make([]int, n), make([]float64, n)
	}
	e.F, e.D, e.apex, e.since = e.F[:n], e.D[:n], e.apex[:0], e.since[:0]
}

// Transform sets d[i] to the least of f[q] + step^2 (i-q)^2, +Inf where all f
// are. With step 1 and whole f below 2^40 it is exact: two parabolas cross on a
// whole sample, where either serves, or further from it than rounding goes.
func (e *Envelope) Transform(step float64) {
	square := step * step
	for q, f := range e.F {
		if math.IsInf(f, 1) {
			continue
		}
		if f == 0 && q > 0 && q+1 < len(e.F) && e.F[q-1] == 0 && e.F[q+1] == 0 {
			continue // its neighbours are nearer to all but itself
		}
		from := math.Inf(-1)
		for n := len(e.apex); n > 0; n = len(e.apex) {
			v := e.apex[n-1]
			from = ((f-e.F[v])/square + float64(q*q-v*v)) / float64(2*(q-v))
			if from > e.since[n-1] {
				break
			}
			e.apex, e.since = e.apex[:n-1], e.since[:n-1]
			from = math.Inf(-1)
		}
		e.apex, e.since = append(e.apex, q), append(e.since, from)
	}
	n := 0
	for i, f := range e.F {
		if f == 0 {
			e.D[i] = 0
			continue
		}
		if len(e.apex) == 0 {
			e.D[i] = math.Inf(1)
			continue
		}
		for n+1 < len(e.apex) && e.since[n+1] < float64(i) {
			n++
		}
		away := step * float64(i-e.apex[n])
		e.D[i] = e.F[e.apex[n]] + away*away
	}
}
