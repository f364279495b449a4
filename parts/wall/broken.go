package wall

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/sdf"
	"socle/sdf/convex"
)

const (
	// carriedShare is how much of its length a stone must rest on, as in ruin.
	carriedShare = 0.4
	// throughShare is the share of the stones at the edge of a bite that break across.
	throughShare = 0.3
)

// Bitten is the wall less the stones whose middle a bite takes, and those that then rest
// on nothing; a plain wall breaks in chunks.
func (w *Wall) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	m := w.settled(s)
	work := w.Solid(s)
	taken := make([]sdf.Field, len(bites))
	for i, side := range m.sides {
		foot := s.BearingUnder(w.From.Height, side.plan(m.thick))
		if w.Coursing == "none" {
			for k, f := range m.chunks(s, side, work, foot, bites, under) {
				taken[k] = fracture.Together(taken[k], f)
			}
			continue
		}
		for k, all := range m.stonesGone(side, w.courses(s)[i], foot, bites, under) {
			if len(all) > 0 {
				taken[k] = fracture.Together(taken[k], sdf.Place(sdf.Union(all...), side.pose))
			}
		}
	}
	return []parts.Remains{{Work: work, Taken: taken}}
}

// chunks are what is gone of a side without courses.
func (m *masonry) chunks(s *parts.Site, side wallSide, work sdf.Field, foot float64, bites []parts.Bite, under sdf.Field) []sdf.Field {
	out := m.thick/2 + m.proud + 0.1
	size := fracture.Size(s, m.thick, bites)
	return fracture.Break{Work: work, Frame: side.pose, Size: sdf.V(size, math.Max(size, 2*m.thick), size),
		Box: r3.Box{Min: sdf.V(side.from, -out, foot), Max: sdf.V(side.to, out, m.w.From.Height+m.height)},
		Held: func(p r3.Vec) bool {
			return p.Z < math.Max(foot, m.w.From.Height)+size && under.Value(sdf.V(p.X, p.Y, foot+0.2)) < -0.1
		}}.Taken(bites)
}

// stonesGone are the stones of a side that are gone, with the joints about them, by the
// bite that has them, in the side's own axes.
func (m *masonry) stonesGone(side wallSide, courses []course, foot float64, bites []parts.Bite, under sdf.Field) [][]sdf.Field {
	out := make([][]sdf.Field, len(bites))
	base, reach := m.w.From.Height, m.thick/2+m.proud+0.1
	rise := m.body() / float64(len(courses))
	worst := func(x, z float64) (value float64, bite int) {
		value = math.Inf(1)
		q := side.pose.Apply(sdf.V(x, 0, z))
		for k := range bites {
			if v := bites[k].Gone.Value(q); v < value {
				value, bite = v, k
			}
		}
		return value, bite
	}
	type cell struct{ from, to float64 }
	var below []cell
	for row, laid := range courses {
		var kept []cell
		low, high := laid.low, laid.high
		if row == 0 {
			low = foot - 0.1
		}
		if row == len(courses)-1 {
			high = base + m.height + 0.1
		}
		for c := 1; c < len(laid.edges); c++ {
			at := cell{laid.edges[c-1], laid.edges[c]}
			mid := (at.from + at.to) / 2
			if laid.high-rise/2 > base+m.standing(side.start+mid) {
				continue // it had come down before
			}
			v, bite := worst(mid, (laid.low+laid.high)/2)
			carried := 0.0
			if row == 0 {
				const n = 5
				for i := range n {
					q := side.pose.Apply(sdf.V(at.from+(at.to-at.from)*(float64(i)+0.5)/n, 0, foot+0.1))
					if under.Value(q) < 0 {
						carried += (at.to - at.from) / n
					}
				}
			}
			for _, b := range below {
				carried += math.Max(0, math.Min(at.to, b.to)-math.Max(at.from, b.from))
			}
			if v < 0 || v < m.length+m.height && carried < carriedShare*(at.to-at.from) {
				out[bite] = append(out[bite], sdf.BoxBetween(sdf.V(at.from, -reach, low-lap), sdf.V(at.to, reach, high)))
				continue
			}
			kept = append(kept, at)
			if v < m.length/2 {
				if f := m.across(at.from, at.to, laid, side, bites, bite, reach); f != nil {
					out[bite] = append(out[bite], f)
				}
			}
		}
		below = kept
	}
	return out
}

// across is what comes off a stone at the edge of a bite: the end that lies in it, along
// a facet; nil where none does.
func (m *masonry) across(from, to float64, laid course, side wallSide, bites []parts.Bite, bite int, reach float64) sdf.Field {
	mid, z := (from+to)/2, (laid.low+laid.high)/2
	at := side.pose.Apply(sdf.V(mid, 0, z))
	rng := rand.New(rand.NewPCG(bites[bite].Seed,
		uint64(int64(math.Round(100*at.X)))<<40^uint64(int64(math.Round(100*at.Y)))<<20^uint64(int64(math.Round(100*at.Z)))))
	if rng.Float64() > throughShare || to-from < 4*m.joint {
		return nil
	}
	end := 1.0
	if bites[bite].Gone.Value(side.pose.Apply(sdf.V(from, 0, z))) < bites[bite].Gone.Value(side.pose.Apply(sdf.V(to, 0, z))) {
		end = -1
	}
	lean := func(most float64) float64 { return most * (2*rng.Float64() - 1) }
	n := convex.Unit(sdf.V(-end, lean(0.6), lean(0.5)))
	off := mid + end*(to-from)*(0.1+0.15*rng.Float64())
	planes := []convex.Plane{
		{N: n, D: r3.Dot(n, sdf.V(off, 0, z))},
		{N: sdf.V(1, 0, 0), D: to}, {N: sdf.V(-1, 0, 0), D: -from},
		{N: sdf.V(0, 1, 0), D: reach}, {N: sdf.V(0, -1, 0), D: reach},
		{N: sdf.V(0, 0, 1), D: laid.high - m.joint/2}, {N: sdf.V(0, 0, -1), D: -(laid.low + m.joint/2)},
	}
	if p := convex.New(planes); p != nil {
		return p
	}
	return nil
}
