package column

import (
	"socle/parts"
	"socle/parts/planar"
)

// Plan is the shaft's foot as a cut, its base and its capital as they are seen
// from above.
func (c *Column) Plan(s *parts.Site) []parts.Stroke {
	z := c.settled(s)
	var strokes []parts.Stroke
	for _, at := range c.At {
		if side := c.plinthSide(z.foot); side > 0 {
			strokes = append(strokes, parts.Stroke{Line: parts.LineEdge, Layer: parts.Standing, Closed: true,
				Covers: true, Path: planar.SquarePath(at, side, 0)})
		}
		if c.Capital != "none" && c.Broken == 0 {
			strokes = append(strokes, parts.Stroke{Line: parts.LineEdge, Layer: parts.Standing, Closed: true,
				Covers: true, Path: planar.SquarePath(at, 1.3*z.head, 0)})
		}
		strokes = append(strokes, parts.Stroke{Line: parts.LineMass, Layer: parts.Standing, Closed: true, Covers: true, Path: planar.CirclePath(at, z.foot/2)})
	}
	return strokes
}

// plinthSide is the side of the square that a shaft stands on, 0 for none.
func (c *Column) plinthSide(diameter float64) float64 {
	switch c.Base {
	case "none":
		return 0
	case "plinth":
		return 1.3 * diameter
	}
	return 1.35 * diameter
}
