package inspect

import (
	"math"
	"math/bits"
)

// distancesTo gives the squared distance of every pixel of a layer to the
// nearest one that is set, in pixels squared; +Inf where none is.
func distancesTo(p plane, squares []float64, line *envelope) {
	for j := range p.ny {
		row := squares[j*p.nx : (j+1)*p.nx]
		last := math.Inf(-1)
		for i := range row {
			if p.at(i, j) {
				last = float64(i)
			}
			row[i] = float64(i) - last
		}
		next := math.Inf(1)
		for i := p.nx - 1; i >= 0; i-- {
			if p.at(i, j) {
				next = float64(i)
			}
			n := min(row[i], next-float64(i))
			row[i] = n * n
		}
	}
	for i := range p.nx {
		line.reset(p.ny)
		for j := range p.ny {
			line.f[j] = squares[j*p.nx+i]
		}
		line.transform(1)
		for j := range p.ny {
			squares[j*p.nx+i] = line.d[j]
		}
	}
}

// distances gives do the squared distance of every pixel that is set, in one word of
// all rows, to the nearest that is set in another plane, in pixels squared; +Inf where
// none is. It goes column by column, and holds no more than those of the word.
func (p plane) distances(w int, to plane, do func(i, j int, square float64)) {
	wide := min(64, p.nx-w*64)
	squares := make([]float64, wide*p.ny)
	some := false
	for j := range p.ny {
		row := to.row(j)
		some = some || p.row(j)[w] != 0
		// The nearest to the left and to the right of the word, from its first pixel.
		last := math.Inf(-1)
		for v := w - 1; v >= 0; v-- {
			if row[v] != 0 {
				last = float64((v-w)*64 + 63 - bits.LeadingZeros64(row[v]))
				break
			}
		}
		next := math.Inf(1)
		for v := w + 1; v < p.stride; v++ {
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
	var line envelope
	for i := range wide {
		line.reset(p.ny)
		for j := range p.ny {
			line.f[j] = squares[j*wide+i]
		}
		line.transform(1)
		for j := range p.ny {
			if p.row(j)[w]>>i&1 == 1 {
				do(w*64+i, j, line.d[j])
			}
		}
	}
}

// envelope is the lower envelope of parabolas, one over each sample of a line.
type envelope struct {
	f, d  []float64 // squared distances given, and found
	apex  []int     // the parabolas that are lowest somewhere, in order
	since []float64 // from where each of them is lowest, in samples
}

// reset makes room for n samples.
func (e *envelope) reset(n int) {
	if cap(e.f) < n {
		e.f, e.d = make([]float64, n), make([]float64, n)
		e.apex, e.since = make([]int, n), make([]float64, n)
	}
	e.f, e.d, e.apex, e.since = e.f[:n], e.d[:n], e.apex[:0], e.since[:0]
}

// transform sets d[i] to the least of f[q] + step^2 (i-q)^2, +Inf where all f
// are. With step 1 and whole f below 2^40 it is exact: two parabolas cross on a
// whole sample, where either serves, or further from it than rounding goes.
func (e *envelope) transform(step float64) {
	square := step * step
	for q, f := range e.f {
		if math.IsInf(f, 1) {
			continue
		}
		if f == 0 && q > 0 && q+1 < len(e.f) && e.f[q-1] == 0 && e.f[q+1] == 0 {
			continue // its neighbours are nearer to all but itself
		}
		from := math.Inf(-1)
		for n := len(e.apex); n > 0; n = len(e.apex) {
			v := e.apex[n-1]
			from = ((f-e.f[v])/square + float64(q*q-v*v)) / float64(2*(q-v))
			if from > e.since[n-1] {
				break
			}
			e.apex, e.since = e.apex[:n-1], e.since[:n-1]
			from = math.Inf(-1)
		}
		e.apex, e.since = append(e.apex, q), append(e.since, from)
	}
	n := 0
	for i, f := range e.f {
		if f == 0 {
			e.d[i] = 0
			continue
		}
		if len(e.apex) == 0 {
			e.d[i] = math.Inf(1)
			continue
		}
		for n+1 < len(e.apex) && e.since[n+1] < float64(i) {
			n++
		}
		away := step * float64(i-e.apex[n])
		e.d[i] = e.f[e.apex[n]] + away*away
	}
}
