package inspect

import (
	"context"
	"fmt"
	"math"
)

// Distances are Euclidean distances between pixel centres, for a slab of
// layers: of every solid pixel to the nearest empty one. Empty pixels have 0.
type Distances struct {
	From, To int // layers From .. To-1

	raster  *Raster
	squares []float32 // in pixels squared
}

// At gives the distance at a pixel of the slab, mm; +Inf where it is more than
// the reach that was asked for.
func (d *Distances) At(i, j, k int) float64 {
	nx, ny := d.raster.Size[0], d.raster.Size[1]
	return math.Sqrt(float64(d.squares[((k-d.From)*ny+j)*nx+i])) * d.raster.Pixel
}

// Depths gives how deep every solid pixel of the layers from .. to-1 lies: its
// distance to the nearest empty pixel, above, below or aside. All that is
// outside the raster is empty, below the plate too. Distances up to reach, in
// mm, are exact but for float32 rounding (1e-7 relative); only the layers
// within reach of the slab are looked at, so that memory follows the slab and
// not the solid. It is an error, before any work is done, where the layers are
// not in the raster, where reach is not more than 0 and finite, and where the
// memory would pass the raster's limit (*MemoryError).
//
// The transform is Felzenszwalb and Huttenlocher, Distance Transforms of Sampled
// Functions, Theory of Computing 8 (2012) 415-428: one axis after the other,
// each the lower envelope of parabolas.
func (r *Raster) Depths(ctx context.Context, from, to int, reach float64) (*Distances, error) {
	nx, ny, nz := r.Size[0], r.Size[1], r.Size[2]
	if from < 0 || to > nz || from >= to {
		return nil, fmt.Errorf("layers %d to %d are not among the %d of the raster", from, to-1, nz)
	}
	if !(reach > 0) || math.IsInf(reach, 1) {
		return nil, fmt.Errorf("distances up to %g mm: the reach must be more than 0 and finite", reach)
	}
	// Layers low .. high-1 can matter; -1 and nz are empty ones.
	beyond := int(min(math.Ceil(reach/r.Layer), float64(nz+1)))
	low, high := max(from-beyond, -1), min(to+beyond, nz+1)
	need := float64(r.Bytes()) + 4*float64(nx)*float64(ny)*float64(high-low+to-from)
	if err := r.checkLimit(need, "distances"); err != nil {
		return nil, err
	}

	across := make([]float32, (high-low)*nx*ny) // within the layer
	lines := make([]envelope, workersFor(max(high-low, ny)))
	step := r.Layer / r.Pixel
	most := reach / r.Pixel * (1 + 1e-6) // float32 rounding must not lose the reach itself
	most *= most
	err := forEach(ctx, high-low, func(w, n int) error {
		if k := low + n; k >= 0 && k < nz {
			depthsAcross(r.plane(k), across[n*nx*ny:(n+1)*nx*ny], most, &lines[w])
		}
		return nil
	})
	if err != nil {
		return nil, err
	}

	d := &Distances{From: from, To: to, raster: r, squares: make([]float32, (to-from)*nx*ny)}
	err = forEach(ctx, ny, func(w, j int) error {
		line := &lines[w]
		for i := range nx {
			line.reset(high - low)
			for n := range high - low {
				line.f[n] = float64(across[(n*ny+j)*nx+i])
			}
			line.transform(step)
			for n := from - low; n < to-low; n++ {
				d.squares[((n+low-from)*ny+j)*nx+i] = upTo(most, line.d[n])
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return d, nil
}

// upTo gives a square, +Inf where it is more than most. What one axis gives as
// more than most is more along the next one too, and cheap to leave out there.
func upTo(most, square float64) float32 {
	if square > most {
		return float32(math.Inf(1))
	}
	return float32(square)
}

// depthsAcross gives the squared distances up to most to the nearest empty pixel
// of one layer, in pixels squared; the layer is surrounded by empty ones.
func depthsAcross(p plane, squares []float32, most float64, line *envelope) {
	clear(squares)
	for j := range p.ny {
		for a, b := range runs(p.row(j), p.nx) {
			for i := a; i < b; i++ {
				n := float64(min(i-a+1, b-i))
				squares[j*p.nx+i] = upTo(most, n*n)
			}
		}
	}
	for i := range p.nx {
		line.reset(p.ny + 2)
		line.f[0], line.f[p.ny+1] = 0, 0
		for j := range p.ny {
			line.f[j+1] = float64(squares[j*p.nx+i])
		}
		line.transform(1)
		for j := range p.ny {
			squares[j*p.nx+i] = upTo(most, line.d[j+1])
		}
	}
}

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
