package parts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Plan is the rim from lip to lip, the foot of its walls where they are straight,
// and the cracks that run out from it. The wandering of the lip is not drawn.
func (c *Crater) Plan(s *Site) []Stroke {
	z, ok := c.sizes(s)
	if !ok {
		return nil
	}
	var strokes []Stroke
	for _, k := range c.cracks(s, z) {
		strokes = append(strokes, Stroke{Line: LineScar, Path: straight(k.line...)})
	}
	strokes = append(strokes, lip(s, c, c.At, circlePath(c.At, z.radius))...)
	// The bowl: the level line half way down, which lies at the parabola's R/sqrt 2.
	curve, bend, slope, _ := z.profile()
	strokes = append(strokes, Stroke{Line: LineScar, Path: circlePath(c.At, bowlRadius(curve, bend, slope, z.depth/2)), Closed: true})
	const mark = 1.0 // mm
	for _, d := range [2]r2.Vec{{X: mark}, {Y: mark}} {
		strokes = append(strokes, Stroke{Line: LineScar, Path: straight(r2.Sub(c.At, d), r2.Add(c.At, d))})
	}
	return strokes
}

// lip is the edge of damage. It hides what it has taken away: all within it, or
// where it is narrowed to some parts, the floors at its middle if it touches them.
func lip(s *Site, d Damager, middle r2.Vec, path []Node) []Stroke {
	scope := ScopeOf(d)
	if !scope.Narrowed() {
		return []Stroke{{Line: LineDamage, Path: path, Closed: true, Covers: true}}
	}
	edge := Stroke{Line: LineDamage, Path: path, Closed: true}
	for _, f := range s.Floors() {
		if f.Role != Sunk && f.Role != Raised && !scope.Touches(f.Part.Label()) && f.Area.contains(middle) {
			return []Stroke{edge}
		}
	}
	for _, f := range s.finishes() {
		if !scope.Touches(f.Part) && f.Area.contains(middle) {
			return []Stroke{edge}
		}
	}
	cleared := Stroke{Line: LineCleared, Layer: OnFloor, Path: path, Closed: true, Covers: true, rank: math.Inf(1)}
	return []Stroke{cleared, edge}
}

// bowlRadius is the radius of a bowl's level line at a height above its floor.
func bowlRadius(curve, bend, slope, height float64) float64 {
	if at := curve * bend * bend; height > at {
		return bend + (height-at)/slope
	}
	return math.Sqrt(height / curve)
}

// Plan is the gouge from lip to lip and the line along its floor.
func (g *Gouge) Plan(s *Site) []Stroke {
	line := g.points()
	return append(lip(s, g, line[0], alongside(line, g.Width/2)), Stroke{Line: LineScar, Path: straight(line...)})
}
