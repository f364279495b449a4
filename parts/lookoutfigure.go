package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/sdf"
)

const (
	// footRoom is how far round a person's middle the floor is nearly level, mm.
	footRoom = 0.6
	// footSlope is how far from level it may be there, mm.
	footSlope = 0.2
	// shoulders is the half-width that a person needs, in their height: a biacromial
	// breadth of 0.4 m over 1.75 m, from memory.
	shoulders = 0.1
	// dropped is how near the surface a drop ends, mm.
	dropped = 1e-3
)

// Drop gives the height at which the line down from a place first meets the
// piece; ok is false where it meets nothing, or starts inside.
func (l *lookout) Drop(q r2.Vec, from float64) (height float64, ok bool) {
	z := from
	for range 2000 {
		d := l.p.Field.Value(sdf.V(q.X, q.Y, z))
		if d < dropped {
			return z, z < from
		}
		if z -= d; z < 0 {
			return 0, false
		}
	}
	return 0, false
}

// Standing gives the point of the floor where a person may stand on a place near
// a height: nil where there is no floor there, something is in the way or, where
// level is asked for, the floor is not level.
func (l *lookout) Standing(q r2.Vec, near float64, level bool) *r3.Vec {
	const step = 0.5 // mm, how far the floor may be from where it is looked for
	if l.top(q) > -footRoom {
		return nil
	}
	h, ok := l.Drop(q, near+step)
	if !ok || h < near-2*step {
		return nil
	}
	at := sdf.V(q.X, q.Y, h)
	for up := 0.3; up <= 1.001; up += 0.1 {
		if l.p.Field.Value(r3.Add(at, sdf.V(0, 0, up*l.person))) < math.Min(shoulders*l.person, 0.9*up*l.person) {
			return nil
		}
	}
	if level {
		low := 0 // a joint, or the edge of a stone
		for _, side := range Ring(q, footRoom, 8) {
			g, ok := l.Drop(side, h+2*step)
			switch {
			case !ok || g > h+footSlope:
				return nil
			case g < h-footSlope:
				low++
			}
		}
		if low > 2 {
			return nil
		}
	}
	return &at
}
