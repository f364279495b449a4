package surface

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
	"socle/sdf/relief"
)

// CutTop cuts a relief over the plan into what of a solid reaches a height, and leaves
// its sides and its underside alone.
func CutTop(f sdf.Field, height float64, h relief.Relief) sdf.Field {
	if h == nil {
		return f
	}
	return sdf.Intersection(f, relief.Carve(sdf.HalfSpace(sdf.V(0, 0, 1), height), h))
}

// clearOfLandings is how far about the foot or the head of a flight a floor in one piece
// has no texture, mm: there its level is measured.
const clearOfLandings = 1.3

// landings are the places at a height where flights begin and end.
type landings struct{ lines []planar.Side }

// At is how far within the clear strip about a landing a place lies; < 0 beyond them all.
func (l *landings) At(p r2.Vec) float64 {
	d, _ := l.Slope(p)
	return d
}

func (l *landings) Slope(p r2.Vec) (float64, r2.Vec) {
	best, v := 1e9, r2.Vec{X: 1}
	for i := range l.lines {
		w := l.lines[i].Nearest(p)
		if d := planar.Norm2(w); d < best {
			best, v = d, w
		}
	}
	if best > 1e-300 {
		v = r2.Scale(1/planar.Norm2(v), v)
	}
	return clearOfLandings - best, r2.Scale(-1, v)
}

// ClearOfLandings keeps a relief off the strips at a height where flights begin and end.
func ClearOfLandings(s *parts.Site, h relief.Relief, height float64) relief.Relief {
	l := &landings{}
	for _, n := range parts.AllOf[parts.Landing](s) {
		for _, lie := range n.Landings(s) {
			if d := lie.Height - height; d < parts.SameHeight && d > -parts.SameHeight {
				l.lines = append(l.lines, sideBetween(lie.A, lie.B))
			}
		}
	}
	if len(l.lines) == 0 || h == nil {
		return h
	}
	return relief.Within(h, l, 0, 0.5)
}

// Laid turns a relief in the plan, degrees, about a place.
func Laid(h relief.Relief, degrees float64, at r3.Vec) relief.Relief {
	return relief.Place(h, sdf.Turn(sdf.V(0, 0, 1), degrees).Then(sdf.At(at)))
}

func sideBetween(a, b r2.Vec) planar.Side {
	s := planar.Side{A: a}
	if e := r2.Sub(b, a); planar.Norm2(e) > 0 {
		s.Length = planar.Norm2(e)
		s.Along = r2.Scale(1/s.Length, e)
	}
	return s
}
