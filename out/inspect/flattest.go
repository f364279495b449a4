package inspect

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/sdf/workers"
)

// flattestCells is the most places that heights are taken at.
const flattestCells = 1e6

// FlattestFit is the flattest place for a figure's foot.
type FlattestFit struct {
	At     r2.Vec  // its middle, mm
	Relief float64 // the highest less the lowest in it, mm
	Height float64 // the highest, mm above the foot of the base
}

// Flattest finds that disc of a diameter, mm, on top of the solid whose relief is
// least: a base has none for a figure to stand on where that is over a limit. On
// the top is what can be seen from above, so the place is clear however high.
// Heights are taken on a grid of a 40th of the diameter, at least 0.2 mm, and so
// that there are no more than about a million: what is narrower than that, a groove
// or a spike, can pass unseen. Of places equally
// flat it is the one nearest to the middle of the solid.
//
// It gives a RoughStand where the relief is over the limit. It is false where no
// such disc lies wholly on the solid.
//
// It is an error where the diameter is not more than 0 and finite.
func (x *Index) Flattest(ctx context.Context, foot, limit float64) (fit FlattestFit, found []Finding, ok bool, err error) {
	if !(foot > 0) || math.IsInf(foot, 1) {
		return fit, nil, false, fmt.Errorf("a foot of %g mm: it must be more than 0", foot)
	}
	lo, hi := x.extent()
	w, d := hi[0]-lo[0], hi[1]-lo[1]
	pitch := max(0.2, foot/40, math.Sqrt(w*d/flattestCells), max(w, d)/flattestCells)
	nx, ny := int((hi[0]-lo[0])/pitch)+1, int((hi[1]-lo[1])/pitch)+1
	half := foot/2/pitch + 1e-9 // in steps
	if float64(min(nx, ny)) < 2*half-1 {
		return fit, nil, false, ctx.Err()
	}
	at := func(i, j int) r2.Vec {
		return r2.Vec{X: (lo[0]+hi[0])/2 + (float64(i)-float64(nx-1)/2)*pitch, Y: (lo[1]+hi[1])/2 + (float64(j)-float64(ny-1)/2)*pitch}
	}
	lows, highs := make([]rangeMost, ny), make([]rangeMost, ny)
	n := int(half)
	chords := make([]int, n+1) // of the disc, row by row from the middle
	widest := 0
	for d := range chords {
		chords[d] = int(math.Sqrt(half*half - float64(d*d)))
		widest = max(widest, 2*chords[d]+1)
	}
	err = workers.ForEach(ctx, ny, func(_, j int) error {
		down, up := make([]float64, nx), make([]float64, nx)
		for i := range nx {
			up[i] = math.Inf(1) // beside the solid
			if l := x.levels(at(i, j)); len(l) > 0 {
				up[i] = l[len(l)-1].z
			}
			down[i] = -up[i]
		}
		lows[j], highs[j] = newRangeMost(down, widest), newRangeMost(up, widest)
		return nil
	})
	if err != nil {
		return fit, nil, false, err
	}

	best := make([]FlattestFit, ny)
	err = workers.ForEach(ctx, ny, func(_, j int) error {
		best[j].Relief = math.Inf(1)
		if j < n || j+n >= ny {
			return nil
		}
		for i := n; i+n < nx; i++ {
			high, low := math.Inf(-1), math.Inf(-1)
			for d := -n; d <= n && !(high+low > best[j].Relief); d++ {
				c := chords[max(d, -d)]
				high = max(high, highs[j+d].most(i-c, i+c+1))
				low = max(low, lows[j+d].most(i-c, i+c+1))
			}
			fit := FlattestFit{At: at(i, j), Relief: high + low, Height: high}
			if fit.flatter(best[j], lo, hi) {
				best[j] = fit
			}
		}
		return nil
	})
	if err != nil {
		return fit, nil, false, err
	}
	fit.Relief = math.Inf(1)
	for _, b := range best {
		if b.flatter(fit, lo, hi) {
			fit = b
		}
	}
	if math.IsInf(fit.Relief, 1) {
		return FlattestFit{}, nil, false, nil
	}
	if fit.Relief > limit {
		found = append(found, Finding{
			Kind: RoughStand, At: [3]float64{fit.At.X, fit.At.Y, fit.Height}, Size: [3]float64{foot, foot, fit.Relief},
			Value: fit.Relief, Limit: limit,
		})
	}
	return fit, found, true, nil
}

// flatter tells whether a place is flatter than another, or as flat and nearer to
// the middle of a box.
func (f FlattestFit) flatter(g FlattestFit, lo, hi [3]float64) bool {
	if f.Relief != g.Relief {
		return f.Relief < g.Relief
	}
	middle := r2.Vec{X: (lo[0] + hi[0]) / 2, Y: (lo[1] + hi[1]) / 2}
	return r2.Norm2(r2.Sub(f.At, middle)) < r2.Norm2(r2.Sub(g.At, middle))
}

// rangeMost answers what is the most of any stretch of a row: the most of each
// stretch of 1, 2, 4, ... samples is kept (a sparse table).
type rangeMost [][]float64

// newRangeMost makes it of a row, for stretches of up to so many.
func newRangeMost(row []float64, longest int) rangeMost {
	r := rangeMost{row}
	for n := 1; 2*n <= min(longest, len(row)); n *= 2 {
		half := r[len(r)-1]
		double := make([]float64, len(row)-2*n+1)
		for i := range double {
			double[i] = max(half[i], half[i+n])
		}
		r = append(r, double)
	}
	return r
}

// most gives the most of the samples from .. to-1, at least one.
func (r rangeMost) most(from, to int) float64 {
	n, size := 0, 1
	for 2*size <= to-from {
		n, size = n+1, 2*size
	}
	return max(r[n][from], r[n][to-size])
}
