package course

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Key is the word of a line.
const Key = "line"

// Line is embedded by a part that runs along a line of the plan. Where the left of the line
// counts, the embedding says so, with the tag plan:"left".
type Line struct {
	parts.Named
	Points []r2.Vec `key:"line" type:"points" doc:"the line that it runs along, by its middle" required:"yes"`
}

// Legs are its straight sides, at a height, mm above the datum.
func (l *Line) Legs(height float64) []planar.Leg {
	return planar.Line{Pts: planar.RaiseLine(l.Points, height)}.Sides()
}

// Length is that of the line, mm.
func (l *Line) Length() float64 { return planar.LengthOf(l.Points) }

// Middles are the middles of its sides.
func (l *Line) Middles() (all []r2.Vec) {
	for i := 1; i < len(l.Points); i++ {
		all = append(all, r2.Scale(0.5, r2.Add(l.Points[i-1], l.Points[i])))
	}
	return all
}

// Fault is one of the line.
func (l *Line) Fault(text, allowed string) []parts.Fault {
	return []parts.Fault{{Part: l.Name, Key: Key, Text: text, Allowed: allowed}}
}

// Check reports a line that is none.
func (l *Line) Check(*parts.Site) []parts.Fault {
	if len(l.Points) < 2 {
		return l.Fault("has fewer than two points", "two points or more")
	}
	return parts.LineFaults(l.Name, Key, l.Points)
}

// Stands reports the first of some places under which no floor lies, where no level is told.
func (l *Line) Stands(s *parts.Site, level *parts.Level, places ...r2.Vec) []parts.Fault {
	for _, at := range places {
		if _, ok := s.StandingAt(level, at); !ok {
			return l.Fault(fmt.Sprintf("nothing to stand on lies at (%.2f, %.2f) mm", at.X, at.Y),
				"a line on the ground, on a deck or on a step, or a level of its own")
		}
	}
	return nil
}

// Covers is what a part covers that is as wide as told, mm.
func (l *Line) Covers(wide float64) []parts.Extent {
	return []parts.Extent{{Key: Key, Points: l.Points, Wide: wide / 2}}
}

// Frame is the pose of a side: its start at the origin, x along it and y to its left.
func Frame(leg planar.Leg) sdf.Pose {
	return sdf.Turn(sdf.V(0, 0, 1), planar.HeadingOf(r3.Sub(leg.B, leg.A))).Then(sdf.At(leg.A))
}
