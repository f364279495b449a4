package stair

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Plan is the flight's outline, the nosing of every tread, its flanks and the way
// up, from the foot of the first riser to the head of the last.
func (st *Stair) Plan(s *parts.Site) []parts.Stroke {
	l := st.settled(s)
	at := func(x, y float64) r2.Vec { return planar.OnPlan(l.Place(x, y, 0)) }
	half, end := st.Width/2, l.End()
	if end == 0 { // one riser: the edge of the upper level is the step
		return []parts.Stroke{{Line: parts.LineStep, Layer: parts.Standing, Path: planar.Straight(at(-half, 0), at(half, 0))}}
	}
	front := -l.Nosing
	strokes := []parts.Stroke{{Line: parts.LineEdge, Layer: parts.Standing, Closed: true, Covers: true,
		Path: planar.Straight(at(-half, front), at(half, front), at(half, end), at(-half, end))}}
	treads := half
	if l.Cheek > 0 {
		treads -= l.Cheek
		for _, side := range [2]float64{-1, 1} {
			strokes = append(strokes, parts.Stroke{Line: parts.LineEdge, Layer: parts.Standing, Closed: true, Covers: true,
				Path: planar.Straight(at(side*treads, 0), at(side*half, 0), at(side*half, end), at(side*treads, end))})
		}
	}
	for i := range l.Risers {
		y := float64(i) * l.Going
		if i < l.Risers-1 {
			y -= l.Nosing // the last riser has the landing over it
		}
		strokes = append(strokes, parts.Stroke{Line: parts.LineStep, Layer: parts.Standing, Path: planar.Straight(at(-treads, y), at(treads, y))})
	}
	return append(strokes, parts.Stroke{Line: parts.LineWay, Layer: parts.Standing, Path: planar.Straight(at(0, 0), at(0, l.Run()))})
}

// PlanLabels says how many risers go up, beside the foot of the flight.
func (st *Stair) PlanLabels(s *parts.Site) []parts.Label {
	l := st.settled(s)
	const before = 2.2 // mm before the foot
	return []parts.Label{{At: planar.OnPlan(l.Place(0, -l.Nosing-before, 0)), Text: fmt.Sprintf("%d up", l.Risers)}}
}
