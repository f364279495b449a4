package crater

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts/planar"
)

// track is the distance to a line of straight sides. Is exact.
type track struct {
	sides []planar.Side
}

func newTrack(points []r2.Vec) *track {
	t := &track{}
	for i, a := range points[:len(points)-1] {
		e := r2.Sub(points[i+1], a)
		l := planar.Norm2(e)
		t.sides = append(t.sides, planar.Side{A: a, Along: r2.Vec{X: e.X / l, Y: e.Y / l}, Length: l})
	}
	return t
}

// pruned is the track for a disc: the same bits everywhere in it. A side that is
// further from its middle than the nearest by more than its width is not the nearest
// anywhere in it.
func (t *track) pruned(c r2.Vec, r float64) *track {
	const few, slack = 8, 1e-9
	if len(t.sides) <= few {
		return t
	}
	limit := t.At(c) + 2*r + slack
	var kept []planar.Side
	for i := range t.sides {
		if v := t.sides[i].Nearest(c); planar.Dot2(v, v) <= limit*limit {
			kept = append(kept, t.sides[i])
		}
	}
	if len(kept) == len(t.sides) {
		return t
	}
	return &track{kept}
}

func (t *track) At(p r2.Vec) float64 {
	d, _ := t.Slope(p)
	return d
}

func (t *track) Slope(p r2.Vec) (float64, r2.Vec) {
	least := math.Inf(1)
	var from r2.Vec
	for i := range t.sides {
		v := t.sides[i].Nearest(p)
		if l := planar.Dot2(v, v); l < least {
			least, from = l, v
		}
	}
	l := math.Sqrt(least)
	if l < 1e-300 {
		return l, r2.Vec{X: 1}
	}
	return l, r2.Vec{X: from.X / l, Y: from.Y / l}
}
