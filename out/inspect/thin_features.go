package inspect

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// feature is a wall, a pin or a gap.
type feature struct {
	form      form
	at        r3.Vec  // the middle of its chord
	size      r3.Vec  // the sides of its box, mm
	thickness float64 // mm
	length    float64 // of a pin, mm
	free      bool    // of a wall
}

// features finds those of the medium.
func (m *medium) features(ctx context.Context) ([]feature, error) {
	chords, err := m.chords(ctx)
	if err != nil {
		return nil, err
	}
	places, err := m.places(ctx, chords)
	if err != nil {
		return nil, err
	}
	h := newNeighbourhood(places, m.reach())
	h.settle()
	patches := m.patches(h)
	measured := make([]feature, len(patches))
	is := make([]bool, len(patches))
	err = forEach(ctx, len(patches), func(_, i int) error {
		measured[i], is[i] = m.measure(patches[i], h, chords)
		return nil
	})
	var all []feature
	for i := range measured {
		if is[i] {
			all = append(all, measured[i])
		}
	}
	return all, err
}

// measure makes a feature of a patch; false where it is too small to be one.
func (m *medium) measure(patch []int, h *neighbourhood, chords []chord) (feature, bool) {
	thinnest := m.thinnest(patch, h)
	f := feature{form: h.places[patch[0]].form, at: thinnest.mid, thickness: thinnest.length}

	var middles []r3.Vec
	inf := math.Inf(1)
	lo, hi := r3.Vec{X: inf, Y: inf, Z: inf}, r3.Vec{X: -inf, Y: -inf, Z: -inf}
	for _, i := range patch {
		p := &h.places[i]
		for _, c := range chords[p.first : p.first+p.count] {
			middles = append(middles, c.mid)
			for _, half := range []float64{-c.length / 2, c.length / 2} {
				end := r3.Add(c.mid, r3.Scale(half, c.dir))
				lo = r3.Vec{X: min(lo.X, end.X), Y: min(lo.Y, end.Y), Z: min(lo.Z, end.Z)}
				hi = r3.Vec{X: max(hi.X, end.X), Y: max(hi.Y, end.Y), Z: max(hi.Z, end.Z)}
			}
		}
	}
	f.size = r3.Sub(hi, lo)
	frame := principal(middles)
	var extent [3]float64
	for k, e := range frame {
		low, high := inf, -inf
		for _, p := range middles {
			low, high = min(low, r3.Dot(p, e)), max(high, r3.Dot(p, e))
		}
		extent[k] = high - low
	}
	switch f.form {
	case formPin:
		f.length = extent[0]
		return f, extent[0] >= f.thickness
	case formWall:
		f.free = m.sides(patch, h, frame) <= 1
	}
	return f, extent[0] >= 2*f.thickness && extent[1] >= f.thickness
}

// thinnest gives the place that is the middle one by length of those about some
// place of the patch, where that is least; of equal ones the first.
func (m *medium) thinnest(patch []int, h *neighbourhood) *place {
	in := map[int]bool{}
	for _, i := range patch {
		in[i] = true
	}
	best := -1
	var about []int
	for _, i := range patch {
		about = append(about[:0], i)
		h.near(i, func(j int) {
			if in[j] {
				about = append(about, j)
			}
		})
		slices.SortFunc(about, func(a, b int) int {
			if d := h.places[a].length - h.places[b].length; d != 0 {
				return int(math.Copysign(1, d))
			}
			return a - b
		})
		if middle := about[len(about)/2]; best < 0 || h.places[middle].length < h.places[best].length {
			best = middle
		}
	}
	return &h.places[best]
}

// principal gives the directions in which points are spread, the widest first.
func principal(points []r3.Vec) [3]r3.Vec {
	var mean r3.Vec
	for _, p := range points {
		mean = r3.Add(mean, r3.Scale(1/float64(len(points)), p))
	}
	s := mat.NewSymDense(3, nil)
	for _, p := range points {
		d := r3.Sub(p, mean)
		s.SymRankOne(s, 1, mat.NewVecDense(3, []float64{d.X, d.Y, d.Z}))
	}
	frame := [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	var eigen mat.EigenSym
	if !eigen.Factorize(s, true) {
		return frame
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	for k := range frame { // ascending
		frame[2-k] = r3.Vec{X: vectors.At(0, k), Y: vectors.At(1, k), Z: vectors.At(2, k)}
	}
	return frame
}

// sides gives on how many sides a wall is joined to something. Its sides are the
// six ways of its frame; on a flat wall, the four of them that lie in it. Every
// place on the wall's border, where no neighbour goes on, looks across: it is
// joined there where the solid goes on, and free where it ends. A side is joined
// where most of the places that look that way are.
func (m *medium) sides(patch []int, h *neighbourhood, frame [3]r3.Vec) int {
	const ways, sector = 8, 0.7 // directions looked in, and the cosine of 45 degrees
	in := map[int]bool{}
	for _, i := range patch {
		in[i] = true
	}
	var votes [6]int
	for _, i := range patch {
		p := &h.places[i]
		e, f := square(p.dir)
		for k := range ways {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / ways)
			way := r3.Add(r3.Scale(cos, e), r3.Scale(sin, f))
			border := true
			h.near(i, func(j int) {
				d := r3.Sub(h.places[j].mid, p.mid)
				along, l := r3.Dot(d, way), r3.Norm(d)
				if in[j] && along > sector*l && along > 0.3*m.spacing() {
					border = false
				}
			})
			if !border {
				continue
			}
			side := 0
			for c, axis := range frame {
				if d := r3.Dot(axis, way); math.Abs(d) > math.Abs(r3.Dot(frame[side/2], way)) || c == 0 {
					side = 2 * c
					if d < 0 {
						side++
					}
				}
			}
			if _, _, ends := m.index.Hit(p.mid, way, m.reach()); ends {
				votes[side]--
			} else {
				votes[side]++
			}
		}
	}
	joined := 0
	for _, v := range votes {
		if v > 0 {
			joined++
		}
	}
	return joined
}
