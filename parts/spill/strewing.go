package spill

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
)

// strewing is where debris lies: all of it within a distance of a middle, or
// within an area.
type strewing struct {
	middle []r2.Vec
	radius float64 // to the lip, mm
	reach  float64 // in radii
	under  float64 // height that it falls from; without end where nothing is over it
	area   *parts.Area
}

// strewing works out where the debris lies; ok is false where the damage that it
// comes from is not there.
func (p *Spill) strewing(s *parts.Site) (w strewing, ok bool) {
	if p.Area != nil {
		return strewing{area: p.Area, under: math.Inf(1)}, true
	}
	from, ok := s.Find(p.From).(parts.Strewer)
	if !ok {
		return w, false
	}
	w.reach = spillReach
	if p.Reach != nil {
		w.reach = *p.Reach
	}
	w.middle, w.radius = from.Strewn(s)
	w.under = math.Inf(1)
	if over, ok := from.(parts.Overhung); ok {
		w.under = over.Under(s)
	}
	return w, len(w.middle) > 0
}

// share is the area that the debris would cover at the density that it has
// within the lip, over the area within the lip; for a line, the same for a
// section across it. The density is even within the lip and falls as x^-3
// outside, x in radii: the integral of x^-3 over rings is 1 - 1/x, over a section
// (1 - 1/x^2)/2.
func (w strewing) share() float64 {
	x := w.reach
	switch {
	case len(w.middle) == 1 && x <= 1:
		return x * x
	case len(w.middle) == 1:
		return 1 + 2*(1-1/x)
	case x <= 1:
		return x
	}
	return 1 + (1-1/(x*x))/2
}

// distance is how far from the middle, in radii, a fragment lies for a u from 0 to 1.
func (w strewing) distance(u float64) float64 {
	u *= w.share()
	line := len(w.middle) > 1
	switch {
	case u <= 1 && line:
		return u
	case u <= 1:
		return math.Sqrt(u)
	case line:
		return 1 / math.Sqrt(1-2*(u-1))
	}
	return 1 / (1 - (u-1)/2)
}

// size is the area to be covered, mm2.
func (w strewing) size() float64 {
	switch {
	case w.area != nil:
		return w.area.Size()
	case len(w.middle) == 1:
		return math.Pi * w.radius * w.radius * w.share()
	}
	length := 0.0
	for i, b := range w.middle[1:] {
		length += r2.Norm(r2.Sub(b, w.middle[i]))
	}
	return 2 * w.radius * length * w.share()
}

// across is how far across the damage is, or the area where it is narrow, mm.
func (w strewing) across() float64 {
	if w.area == nil {
		return 2 * w.radius
	}
	b := w.area.Bounds()
	return math.Min(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)
}

// bounds holds every place that debris may lie at.
func (w strewing) bounds() r2.Box {
	if w.area != nil {
		return w.area.Bounds()
	}
	return planar.GrownBox(planar.Bounds(w.middle), w.radius*w.reach)
}

// centre is where a heap lies.
func (w strewing) centre() r2.Vec {
	switch {
	case w.area != nil:
		return w.area.Centre()
	case len(w.middle) == 1:
		return w.middle[0]
	}
	at := make([]r3.Vec, len(w.middle))
	for i, p := range w.middle {
		at[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	sides := planar.Line{Pts: at}.Sides()
	m := planar.PointAt(sides, sides[len(sides)-1].To/2)
	return r2.Vec{X: m.X, Y: m.Y}
}

// spotter draws random places of the debris.
func (w strewing) spotter() func(*rand.Rand) r2.Vec {
	if w.area == nil {
		return w.spot
	}
	b, shape := w.area.Bounds(), w.area.Drawn()
	return func(rng *rand.Rand) r2.Vec {
		const draws = 1000
		for range draws {
			at := r2.Vec{X: b.Min.X + (b.Max.X-b.Min.X)*rng.Float64(), Y: b.Min.Y + (b.Max.Y-b.Min.Y)*rng.Float64()}
			if shape.Distance(at) < 0 {
				return at
			}
		}
		return w.area.Centre()
	}
}

// spot is a random place about the middle.
func (w strewing) spot(rng *rand.Rand) r2.Vec {
	r := w.radius * w.distance(rng.Float64())
	if len(w.middle) == 1 {
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		return r2.Add(w.middle[0], r2.Vec{X: r * cos, Y: r * sin})
	}
	total := 0.0
	for i, b := range w.middle[1:] {
		total += r2.Norm(r2.Sub(b, w.middle[i]))
	}
	along := total * rng.Float64()
	r *= 2*float64(rng.IntN(2)) - 1
	for i, b := range w.middle[1:] {
		a := w.middle[i]
		l := r2.Norm(r2.Sub(b, a))
		if along <= l || i == len(w.middle)-2 {
			return r2.Add(r2.Add(a, r2.Scale(math.Min(along/l, 1), r2.Sub(b, a))), r2.Scale(r, planar.LeftNormal(a, b)))
		}
		along -= l
	}
	return w.middle[0]
}

// holds says whether debris may lie at a place: within its area, or its reach.
func (w strewing) holds(q r2.Vec) bool {
	if w.area != nil {
		return w.area.Contains(q)
	}
	near := math.Inf(1)
	for i, b := range w.middle {
		near = math.Min(near, planar.SegmentDistance(q, w.middle[max(0, i-1)], b))
	}
	return near <= w.radius*w.reach
}
