package assembly

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
)

// ShownFlight is what of a flight lies whole on a piece: the places where the height of
// its treads and floors can be measured, in the piece's coordinates.
type ShownFlight struct {
	Stair  parts.Climber
	Riser  float64 // designed, mm
	Treads []Tread // all of them upward, the floors at the foot and the head included
}

// Tread is one level surface of a flight.
type Tread struct {
	Number int      // 0 the floor at the foot, 1 the first tread, as many as there are risers the floor at the head
	Height float64  // designed, finished, above the foot of the piece, mm
	At     []r2.Vec // where it is whole and bare, mostTreadPlaces at most; empty where it nowhere is
	Over   []r2.Vec // places all over a tread on which nothing was meant to stand: none of a floor
}

const (
	// mostTreadPlaces is how many places of one tread are given at most.
	mostTreadPlaces = 9
	// treadPlaces is how many places across a tread are looked at, before those
	// that are not bare are left out.
	treadPlaces = 33
	// clearOfCuts is how far from all damage a place lies, mm.
	clearOfCuts = 0.3
	// clearOfEdges is how far inside the piece's top and from the flanks of the
	// stair a place lies, mm.
	clearOfEdges = 0.3
	// clearOfWork is how far from everything that stands on the tread or hangs over
	// it a place lies, mm.
	clearOfWork = 0.3
	// columnOver is how far up a place on a tread is clear of what was meant to stand
	// or hang there, risers: the level that a tread is covered up to lies within.
	columnOver = 1.25
)

// overTread are the places from side to side, and overDepth those from the nosing to
// the back, as shares of the going, at which a tread is looked at all over.
const overTread = 9

var overDepth = [...]float64{0.2, 0.4, 0.6, 0.8}

// floorSteps are the distances from the riser at which a floor is looked at, mm.
var floorSteps = [...]float64{0.35, 0.55, 0.8, 1.1, 1.5, 2, 2.7, 3.6}

// Treads gives the flights that a piece shows, in the order of their names. A
// flight of which no riser can be measured is left out. Treads are measured
// at their backs, which keep their height under wear; the floors a little before
// the first riser and behind the last, on stones that lie true.
func (sc *Scene) Treads(p Piece) []ShownFlight {
	if p.berth == nil {
		return nil
	}
	var out []ShownFlight
	for _, part := range inOrder(sc.site) {
		if st, ok := part.(parts.Climber); ok {
			if f := sc.flightOn(p, st); f.measurable() {
				out = append(out, f)
			}
		}
	}
	return out
}

// measurable says whether two treads in sequence have places.
func (f ShownFlight) measurable() bool {
	for i := 1; i < len(f.Treads); i++ {
		if len(f.Treads[i-1].At) > 0 && len(f.Treads[i].At) > 0 {
			return true
		}
	}
	return false
}

// flightOn looks for the levels of one stair on a piece.
func (sc *Scene) flightOn(p Piece, st parts.Climber) ShownFlight {
	l := st.Flight(sc.site)
	f := ShownFlight{Stair: st, Riser: l.Riser}
	middle := l.Pose.Invert(p.Pose.Apply(r3.Vec{}))
	reach := p.berth.Reach()
	half := l.Width/2 - l.Cheek - math.Max(clearOfEdges, l.Arris+parts.FlatStone)
	from, to := math.Max(-half, middle.X-reach), math.Min(half, middle.X+reach)
	if half <= 0 || from > to {
		return f
	}
	zero := p.Pose.Apply(r3.Vec{}).Z
	m := treadMeter{sc: sc, p: p, st: st, all: sc.sceneryOf(p)}
	for i := range l.Risers + 1 {
		z := l.From
		if i > 0 {
			z = l.TreadTop(i - 1)
		}
		f.Treads = append(f.Treads, Tread{Number: i, Height: z - zero})
		over := func(y float64) bool { return math.Abs(y-middle.Y) < reach }
		if !slices.ContainsFunc(treadDepths(&l, i), over) {
			continue
		}
		m.level(&l, i, z)
		var found []r2.Vec
		for k := range treadPlaces {
			x := from + (to-from)*float64(k)/(treadPlaces-1)
			for _, y := range treadDepths(&l, i) {
				at := l.Place(x, y, z)
				if m.floor && !sc.finishedAt(r2.Vec{X: at.X, Y: at.Y}, z, i == l.Risers && y < l.Run()+l.Landing) {
					continue
				}
				if q := p.Pose.Invert(at); m.bare(q) {
					found = append(found, r2.Vec{X: q.X, Y: q.Y})
					break
				}
			}
		}
		f.Treads[i].At = spreadOut(found, mostTreadPlaces)
		for k := range overTread {
			if m.floor {
				break
			}
			x := from + (to-from)*float64(k)/(overTread-1)
			for _, share := range overDepth {
				q := p.Pose.Invert(l.Place(x, (float64(i-1)+share)*l.Going-l.Nosing, z))
				if m.bare(q) && m.clear(q) {
					f.Treads[i].Over = append(f.Treads[i].Over, r2.Vec{X: q.X, Y: q.Y})
				}
			}
		}
	}
	return f
}

// treadDepths gives the distances along the stair at which level i is looked at, the
// best first: of a tread its back, between where wear runs out and the nosing above.
func treadDepths(l *parts.Flight, i int) []float64 {
	var ys []float64
	switch {
	case i == 0:
		for _, d := range floorSteps {
			ys = append(ys, -l.Nosing-d)
		}
	case i < l.Risers:
		for _, back := range [...]float64{0.85, 0.79, 0.74} { // of the going; wear runs out at 0.7 (worn)
			ys = append(ys, (float64(i-1)+back)*l.Going-l.Nosing)
		}
	default:
		if l.Landing > 4*clearOfEdges {
			ys = append(ys, l.Run()+l.Landing/2)
		}
		for _, d := range floorSteps {
			ys = append(ys, l.Run()+l.Landing+d)
		}
	}
	return ys
}

// spreadOut gives most of the places at most, evenly out of all of them.
func spreadOut(places []r2.Vec, most int) []r2.Vec {
	if len(places) <= most {
		return places
	}
	out := make([]r2.Vec, most)
	for i := range out {
		out[i] = places[i*(len(places)-1)/(most-1)]
	}
	return out
}

// finishedAt says whether the scene has a flat finished surface at a height at a
// place of the plan: the middle of a stone that lies true, or bare structure that
// is flat; landing is for the level stretch of a stair itself.
func (sc *Scene) finishedAt(at r2.Vec, z float64, landing bool) bool {
	s := sc.site
	if landing {
		return true
	}
	if level, ok := s.LevelAt(at); !ok || math.Abs(level-z) > parts.SameHeight {
		return false
	}
	for _, p := range parts.AllOf[parts.Finisher](s) {
		f := p.Finish(s)
		if math.Abs(f.Level-z) > parts.SameHeight {
			continue
		}
		d := f.Area.Distance(at)
		if even, ok := p.(parts.EvenFinisher); ok && d < 0 {
			return even.EvenAt(s, at)
		}
		if math.Abs(d) < f.Joint+clearOfEdges {
			return false // at its edge
		}
		if d < 0 {
			return true
		}
	}
	for _, d := range s.Slabs() {
		if d.At(z) && d.Area.Contains(at) {
			return d.Area.Distance(at) < -clearOfEdges
		}
	}
	return s.Land() != nil && s.Roughness(z) == 0
}

// treadMeter tells bare places of one level of a flight from others.
type treadMeter struct {
	sc    *Scene
	p     Piece
	st    parts.Climber
	all   *scenery
	floor bool                // of the floor at the foot or the head
	carry map[parts.Part]bool // what makes the surface
	riser float64
}

// level sets out which parts make the surface of level i of a flight, at a height
// of the scene: the stair, and at its foot and head the floors there.
func (m *treadMeter) level(l *parts.Flight, i int, z float64) {
	m.floor, m.riser = i == 0 || i == l.Risers, l.Riser
	m.carry = map[parts.Part]bool{}
	if m.floor {
		m.carry = m.sc.floorsAt(z)
	}
	m.carry[m.st] = true
}

// floorsAt is what may make a floor at a height.
func (sc *Scene) floorsAt(z float64) map[parts.Part]bool {
	floors := map[parts.Part]bool{}
	for _, f := range sc.site.Floors() {
		floors[f.Part] = floors[f.Part] || f.Role != parts.Slab || f.At(z)
	}
	for _, p := range parts.AllOf[parts.Finisher](sc.site) {
		floors[p] = math.Abs(p.Finish(sc.site).Level-z) < parts.SameHeight
	}
	return floors
}

// bare says whether the surface at q, in the piece's coordinates, is whole, in
// the open and within the piece. A tread that other structure lies over is bare all
// the same: that is for the inspection to find.
func (m *treadMeter) bare(q r3.Vec) bool {
	const touch = 0.05 // mm over the surface: what lies there is no thinner
	low, high, top := planar.Above(q, touch), planar.Above(q, clearOfWork), planar.Above(q, math.Max(clearOfWork, m.riser-touch))
	held := false
	for i := range m.all.bodies {
		b := &m.all.bodies[i]
		if b.rim {
			continue // the same work again, whole
		}
		first := &b.faces[0]
		if m.carry[first.part] {
			held = true
			for _, f := range b.faces[1:] {
				if f.value(q) > -clearOfCuts {
					return false // cut, trimmed, hollowed or beyond the side
				}
			}
			continue
		}
		if m.coversTread(first.part) {
			continue
		}
		if first.value(low) < 0.98*touch || first.value(high) < 0.6*clearOfWork || first.value(top) < 0 {
			return false // something stands, lies or hangs there
		}
	}
	return held
}

// clear says whether the upright over q is free of all that was meant to stand or
// hang over a tread, as far up as columnOver.
func (m *treadMeter) clear(q r3.Vec) bool {
	for i := range m.all.bodies {
		first := &m.all.bodies[i].faces[0]
		if m.carry[first.part] || m.coversTread(first.part) {
			continue
		}
		const least = 0.1 // mm: what is thinner is nowhere built
		for h := least; h < columnOver*m.riser; {
			d := first.value(planar.Above(q, h))
			if d < 0 {
				return false
			}
			h += math.Max(d, least)
		}
	}
	return true
}

// coversTread says whether a part is of the work that a flight leads between: floors
// and other flights, none of which is meant to lie on its treads.
func (m *treadMeter) coversTread(p parts.Part) bool {
	if m.floor {
		return false
	}
	switch p.(type) {
	case parts.Floored, parts.Climber, parts.Finisher:
		return true
	}
	return false
}
