package inspect

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// Flight is what the steps of a stair were meant to be, the lowest first; the
// floors that it leads from and to are treads like the others.
type Flight struct{ Treads []Tread }

// Tread is a level place to step on.
type Tread struct {
	Height float64  // the finished height that it was drawn at, mm above the foot
	Points []r2.Vec // places on it, mm, where no damage was done
	Over   []r2.Vec // places all over it, mm, on which nothing was meant to stand
}

// Risers are the steps of a flight as they came out.
type Risers struct {
	Heights  []float64 // of the treads, mm; of those not measured, as drawn; of those covered, of what covers them
	Measured []bool    // of the treads
	Rises    []float64 // from each tread to the next where both were measured, mm
	Largest  float64   // of the rises, mm; 0 with none
	Smallest float64   // of the rises, mm; 0 with none
}

// Flights measures the treads of flights by upright lines through their points:
// the height of a tread is the median of its points. At a point it is the top
// surface nearest to the height drawn, no further from it than half of the least
// riser drawn, so that neither a rail above nor what lies below is taken for it;
// a tread of which half of the points or more have no such surface is not measured.
// A tread that is covered for a quarter or more of the places all over it, by a
// surface over the drawn height by more than the limit and a quarter of a riser, is as
// high as that surface is there: one steps on it.
//
// It gives an UnevenRisers for each flight whose largest riser is over the
// smallest by more than the limit, mm; Which is the flight's number.
func (x *Index) Flights(ctx context.Context, flights []Flight, limit float64) ([]Risers, []Finding, error) {
	all := make([]Risers, len(flights))
	worst := make([]r3.Vec, len(flights))
	err := workers.ForEach(ctx, len(flights), func(_, i int) error {
		all[i], worst[i] = x.risers(flights[i], limit)
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	var found []Finding
	for i, r := range all {
		if by := r.Largest - r.Smallest; by > limit {
			found = append(found, Finding{
				Kind: UnevenRisers, At: [3]float64{worst[i].X, worst[i].Y, worst[i].Z},
				Value: by, Limit: limit, Which: i,
			})
		}
	}
	return all, found, nil
}

// risers measures one flight, and gives a place on the tread over the riser that
// is furthest from the median one.
func (x *Index) risers(f Flight, limit float64) (r Risers, worst r3.Vec) {
	window := math.Inf(1)
	for i := 1; i < len(f.Treads); i++ {
		window = min(window, math.Abs(f.Treads[i].Height-f.Treads[i-1].Height)/2)
	}
	var over []int // the tread over each rise
	places := make([]r2.Vec, len(f.Treads))
	for i, t := range f.Treads {
		height, ok := x.tread(t, window)
		if len(t.Points) > 0 {
			places[i] = t.Points[0]
		}
		if z, at, is := x.cover(t, limit, 2*window); is {
			height, places[i], ok = z, at, true
		}
		r.Heights, r.Measured = append(r.Heights, height), append(r.Measured, ok)
		if i > 0 && ok && r.Measured[i-1] {
			r.Rises, over = append(r.Rises, height-r.Heights[i-1]), append(over, i)
		}
	}
	if len(r.Rises) == 0 {
		return r, worst
	}
	r.Largest, r.Smallest = slices.Max(r.Rises), slices.Min(r.Rises)
	middle, most := median(r.Rises), -1.0
	for n, rise := range r.Rises {
		if off := math.Abs(rise - middle); off > most {
			p := places[over[n]]
			most, worst = off, r3.Vec{X: p.X, Y: p.Y, Z: r.Heights[over[n]]}
		}
	}
	return r, worst
}

// tread gives the height of a tread, and whether it could be measured.
func (x *Index) tread(t Tread, window float64) (height float64, ok bool) {
	var heights []float64
	for _, p := range t.Points {
		best, z := window, 0.0
		for _, l := range x.levels(p) {
			if off := math.Abs(l.z - t.Height); l.top && off <= best {
				best, z, ok = off, l.z, true
			}
		}
		if ok {
			heights = append(heights, z)
		}
		ok = false
	}
	if 2*len(heights) <= len(t.Points) {
		return t.Height, false
	}
	return median(heights), true
}

// coveredShare is the share of a tread that may be covered and not be told, and
// coveredRise the share of a riser that it may be too high: less is what a coarse mesh
// makes of small steps (no source).
const coveredShare, coveredRise = 0.25, 0.25

// cover gives the height of what covers a tread, and a place on it: the median of the
// highest surfaces that lie over the drawn height by more than the limit and
// coveredRise, and by no more than a riser and a quarter.
func (x *Index) cover(t Tread, limit, riser float64) (z float64, at r2.Vec, is bool) {
	var heights []float64
	limit = max(limit, coveredRise*riser)
	for _, p := range t.Over {
		highest, found := 0.0, false
		for _, l := range x.levels(p) {
			if up := l.z - t.Height; l.top && up > limit && up <= 1.25*riser {
				highest, found = l.z, true // the levels rise
			}
		}
		if found {
			heights, at = append(heights, highest), p
		}
	}
	if len(heights) == 0 || float64(len(heights)) < coveredShare*float64(len(t.Over)) {
		return 0, at, false
	}
	return median(heights), at, true
}

// median gives the middle value of some, the mean of the two in the middle where
// they are even in number.
func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}
