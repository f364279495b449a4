package inspect

import (
	"context"
	"fmt"
	"math"

	"socle/sdf/workers"
)

// Distances are what erosion is held against: Euclidean distances between pixel centres, for a slab of
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
	lines := make([]envelope, workers.Count(max(high-low, ny)))
	step := r.Layer / r.Pixel
	most := reach / r.Pixel * (1 + 1e-6) // float32 rounding must not lose the reach itself
	most *= most
	err := workers.ForEach(ctx, high-low, func(w, n int) error {
		if k := low + n; k >= 0 && k < nz {
			depthsAcross(r.plane(k), across[n*nx*ny:(n+1)*nx*ny], most, &lines[w])
		}
		return nil
	})
	if err != nil {
		return nil, err
	}

	d := &Distances{From: from, To: to, raster: r, squares: make([]float32, (to-from)*nx*ny)}
	err = workers.ForEach(ctx, ny, func(w, j int) error {
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
