package crater

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/parts/planar"
)

// Plan is the rim from lip to lip, the foot of its walls where they are straight,
// and the cracks that run out from it. The wandering of the lip is not drawn.
func (c *Crater) Plan(s *parts.Site) []parts.Stroke {
	z := c.settled(s)
	if !z.found {
		return nil
	}
	var strokes []parts.Stroke
	for _, k := range c.cracks(s) {
		strokes = append(strokes, parts.Stroke{Line: parts.LineScar, Path: planar.Straight(k.line...)})
	}
	strokes = append(strokes, lip(s, c, c.At, planar.CirclePath(c.At, z.radius))...)
	// The bowl: the level line half way down, which lies at the parabola's R/sqrt 2.
	strokes = append(strokes, parts.Stroke{Line: parts.LineScar, Path: planar.CirclePath(c.At, z.bowl.radius(z.depth/2)), Closed: true})
	const mark = 1.0 // mm
	for _, d := range [2]r2.Vec{{X: mark}, {Y: mark}} {
		strokes = append(strokes, parts.Stroke{Line: parts.LineScar, Path: planar.Straight(r2.Sub(c.At, d), r2.Add(c.At, d))})
	}
	return strokes
}

// lip is the edge of damage. It hides what it has taken away: all within it, or
// where it is narrowed to some parts, the floors at its middle if it touches them.
func lip(s *parts.Site, d parts.Damager, middle r2.Vec, path []planar.Node) []parts.Stroke {
	scope := parts.ScopeOf(d)
	if !scope.Narrowed() {
		return []parts.Stroke{{Line: parts.LineDamage, Path: path, Closed: true, Covers: true}}
	}
	edge := parts.Stroke{Line: parts.LineDamage, Path: path, Closed: true}
	for _, f := range s.Floors() {
		if f.Role != parts.Sunk && f.Role != parts.Raised && !scope.Touches(f.Part.Label()) && f.Area.Contains(middle) {
			return []parts.Stroke{edge}
		}
	}
	for _, f := range s.Finishes() {
		if !scope.Touches(f.Part) && f.Area.Contains(middle) {
			return []parts.Stroke{edge}
		}
	}
	cleared := parts.Stroke{Line: parts.LineCleared, Layer: parts.OnFloor, Path: path, Closed: true, Covers: true, Rank: math.Inf(1)}
	return []parts.Stroke{cleared, edge}
}

// Plan is the gouge from lip to lip and the line along its floor.
func (g *Gouge) Plan(s *parts.Site) []parts.Stroke {
	line := g.points()
	return append(lip(s, g, line[0], planar.Alongside(line, g.Width/2)), parts.Stroke{Line: parts.LineScar, Path: planar.Straight(line...)})
}
