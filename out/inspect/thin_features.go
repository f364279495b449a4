package inspect

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf/workers"
)

// feature is a wall, a pin or a gap.
type feature struct {
	form      form
	at        r3.Vec  // the middle of its chord
	size      r3.Vec  // the sides of its box, mm; of a wall or gap, where it is about as thick as at
	thickness float64 // mm
	length    float64 // of a pin, mm
	free      bool    // of a wall
	round     bool    // its faces are not all of a few planes
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
	h, err := m.neighbours(ctx, places)
	if err != nil {
		return nil, err
	}
	m.settle(h)
	patches := m.patches(h)
	patchOf := make([]int, len(places))
	for k, patch := range patches {
		for _, i := range patch {
			patchOf[i] = k
		}
	}
	measured := make([]feature, len(patches))
	is := make([]bool, len(patches))
	err = workers.ForEach(ctx, len(patches), func(_, i int) error {
		measured[i], is[i] = m.measure(patches[i], patchOf, h, chords)
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

// measure makes a feature of a patch; false where it is too small to be one, or
// nowhere even.
func (m *medium) measure(patch, patchOf []int, h *neighbourhood, chords []chord) (feature, bool) {
	thinnest, ok := thinnest(patch, patchOf, h)
	if !ok {
		return feature{}, false
	}
	f := feature{form: h.places[patch[0]].form, at: thinnest.mid, thickness: thinnest.length}

	var middles []r3.Vec
	size := nowhere()
	for _, i := range patch {
		p := &h.places[i]
		for _, c := range chords[p.first : p.first+p.count] {
			middles = append(middles, c.mid)
			if f.form == formPin || c.length <= wavers*f.thickness {
				half := r3.Scale(c.length/2, c.dir)
				size.include(r3.Add(c.mid, half))
				size.include(r3.Sub(c.mid, half))
			}
		}
	}
	f.size = r3.Vec{X: size.hi[0] - size.lo[0], Y: size.hi[1] - size.lo[1], Z: size.hi[2] - size.lo[2]}
	f.round = m.round(patch, h, chords)
	frame := principal(middles)
	var extent [3]float64
	for k, e := range frame {
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range middles {
			low, high = min(low, r3.Dot(p, e)), max(high, r3.Dot(p, e))
		}
		extent[k] = high - low
	}
	switch f.form {
	case formPin:
		f.length = extent[0] + m.tips(middles, frame[0])
		return f, f.length >= pinRuns*f.thickness
	case formWall:
		f.free = m.sides(patch, patchOf, h, frame) <= 1
		return f, extent[0] >= max(2*f.thickness, m.least) && extent[1] >= max(f.thickness, m.least/2)
	default:
		return f, extent[0] >= gapRuns*m.least && extent[1] >= m.least/2
	}
}

// round tells whether the faces of a patch are round: some lie neither along nor
// square to the first, by more than a degree.
func (m *medium) round(patch []int, h *neighbourhood, chords []chord) bool {
	const sine, cosine = 0.0175, 0.99985 // of a degree
	first := chords[h.places[patch[0]].first].dir
	return slices.ContainsFunc(patch, func(i int) bool {
		p := &h.places[i]
		return slices.ContainsFunc(chords[p.first:p.first+p.count], func(c chord) bool {
			along := math.Abs(r3.Dot(c.dir, first))
			return along > sine && along < cosine
		})
	})
}

func (r *room) include(p r3.Vec) {
	v := [3]float64{p.X, p.Y, p.Z}
	r.add(v, v)
}

// tips gives how far a pin goes on past the last of its middles, at the ends
// that are free.
func (m *medium) tips(middles []r3.Vec, run r3.Vec) float64 {
	sum := 0.0
	for _, way := range []r3.Vec{run, r3.Scale(-1, run)} {
		last := slices.MaxFunc(middles, func(p, q r3.Vec) int { return cmp.Compare(r3.Dot(p, way), r3.Dot(q, way)) })
		if t, _, ends := m.index.Hit(last, way, 2*m.spacing()); ends {
			sum += t
		}
	}
	return sum
}

const (
	// pinRuns is how far a pin runs at least, of its thickness.
	pinRuns = 2
	// gapRuns is how far a gap runs at least, of the least gap: a shorter one is a
	// crevice between two stones, that may as well close.
	gapRuns = 3
	// even is how much thicker the third quarter of the places about one may be than
	// the first, for the middle one to tell how thick it is there: at the tip of a
	// wedge it tells nothing.
	even = 1.5
	// few is how many places about one, itself among them, are too few to tell.
	few = 4
)

// thinnest gives the place that is the middle one by length of those about some
// place of the patch, where these are even and it is least; of equal ones the first.
func thinnest(patch, patchOf []int, h *neighbourhood) (best *place, ok bool) {
	var about []*place
	for _, i := range patch {
		about = append(about[:0], &h.places[i])
		for _, j := range h.near(i) {
			if patchOf[j] == patchOf[i] {
				about = append(about, &h.places[j])
			}
		}
		if len(about) <= few {
			continue
		}
		slices.SortStableFunc(about, func(p, q *place) int { return cmp.Compare(p.length, q.length) })
		n := len(about)
		if about[n*3/4].length > even*about[n/4].length {
			continue
		}
		if best == nil || about[n/2].length < best.length {
			best = about[n/2]
		}
	}
	return best, best != nil
}

// principal gives the directions in which points are spread, the widest first.
func principal(points []r3.Vec) [3]r3.Vec {
	var mean r3.Vec
	for _, p := range points {
		mean = r3.Add(mean, r3.Scale(1/float64(len(points)), p))
	}
	var xx, xy, xz, yy, yz, zz float64
	for _, p := range points {
		d := r3.Sub(p, mean)
		xx, xy, xz = xx+d.X*d.X, xy+d.X*d.Y, xz+d.X*d.Z
		yy, yz, zz = yy+d.Y*d.Y, yz+d.Y*d.Z, zz+d.Z*d.Z
	}
	s := mat.NewSymDense(3, []float64{xx, xy, xz, xy, yy, yz, xz, yz, zz})
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
// joined there where the solid goes on. A side is joined where most of the places
// that look that way are.
func (m *medium) sides(patch, patchOf []int, h *neighbourhood, frame [3]r3.Vec) int {
	const ways, sector = 8, 0.5 // directions looked in, and the square of the cosine of 45 degrees
	const clearly = 0.9         // cosine of 26 degrees: one of the directions is always as near to a side
	var votes [6]int
	for _, i := range patch {
		p := &h.places[i]
		e, f := square(p.dir)
		for k := range ways {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / ways)
			way := r3.Add(r3.Scale(cos, e), r3.Scale(sin, f))
			if slices.ContainsFunc(h.near(i), func(j int32) bool {
				d := r3.Sub(h.places[j].mid, p.mid)
				along := r3.Dot(d, way)
				return patchOf[j] == patchOf[i] && along > 0.3*m.spacing() && along*along > sector*r3.Norm2(d)
			}) {
				continue
			}
			side, most := 0, 0.0
			for c, axis := range frame {
				if d := r3.Dot(axis, way); d > most {
					side, most = 2*c, d
				} else if -d > most {
					side, most = 2*c+1, -d
				}
			}
			if most < clearly {
				continue // between two sides
			}
			if m.goesOn(p, way) {
				votes[side]++
			} else {
				votes[side]--
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

// goesOn tells whether the solid goes on past a place at the border of a wall:
// further than there can be more of the wall, or to where it is so much thicker
// that it is something else, that the wall runs into.
func (m *medium) goesOn(p *place, way r3.Vec) bool {
	const thicker = 3
	t, _, ends := m.index.Hit(p.mid, way, m.reach())
	if !ends {
		return true
	}
	last := r3.Add(p.mid, r3.Scale(t-min(t/2, p.length/4), way))
	return m.width(last, p.dir, 2*thicker*p.length) > thicker*p.length
}
