package inspect

import "math"

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
