package street

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/planar"
	"socle/sdf"
)

// Course is embedded by what runs along a line of the plan over the floors there.
type Course struct {
	parts.Named
	Line  []r2.Vec     `key:"line" type:"points" plan:"left" doc:"the line that it runs along, its middle" required:"yes"`
	Level *parts.Level `key:"level" type:"level" doc:"finished level that it stands on; left out, the highest floor under each piece of it"`
	Wear  float64      `key:"wear" type:"number" doc:"0 new .. 1 pieces of it broken, out of line and gone" default:"0.4" min:"0" max:"1"`
	Seed  uint64       `key:"seed" type:"seed" doc:"picks what is worn, and how" default:"1"`
}

// legs are its straight sides.
func (c *Course) legs() []planar.Leg {
	return planar.Line{Pts: planar.RaiseLine(c.Line, 0)}.Sides()
}

// length is that of its line, mm.
func (c *Course) length() float64 {
	legs := c.legs()
	if len(legs) == 0 {
		return 0
	}
	return legs[len(legs)-1].To
}

// Check reports a line that is none.
func (c *Course) Check(*parts.Site) []parts.Fault {
	if len(c.Line) < 2 {
		return []parts.Fault{{Part: c.Name, Key: "line", Text: fmt.Sprintf("has %d point", len(c.Line)), Allowed: "two points or more"}}
	}
	if n := len(c.Line); n > parts.MostCorners {
		return []parts.Fault{{Part: c.Name, Key: "line", Text: fmt.Sprintf("has %d points", n), Allowed: fmt.Sprintf("at most %d", parts.MostCorners)}}
	}
	for i := 1; i < len(c.Line); i++ {
		if planar.Norm2(r2.Sub(c.Line[i], c.Line[i-1])) < parts.LeastSize {
			return []parts.Fault{{Part: c.Name, Key: "line", Text: fmt.Sprintf("points %d and %d are one", i, i+1),
				Allowed: fmt.Sprintf("points at least %v mm apart", parts.LeastSize)}}
		}
	}
	return nil
}

// CheckPlace reports a corner under which no floor lies.
func (c *Course) CheckPlace(s *parts.Site) []parts.Fault {
	for i, at := range c.Line {
		if _, ok := s.StandingAt(c.Level, at); !ok {
			return []parts.Fault{{Part: c.Name, Key: "line", Text: fmt.Sprintf("nothing to stand on lies under point %d, (%.2f, %.2f) mm", i+1, at.X, at.Y),
				Allowed: "points on the ground or on a deck, or a level of its own"}}
		}
	}
	return nil
}

// footUnder is how deep a piece that covers a rectangle about a place goes, mm above the
// datum: half its length along a heading, and half its width.
func footUnder(s *parts.Site, level float64, at r2.Vec, heading, half, wide float64) float64 {
	sin, cos := planar.SinCos(heading)
	var outline []r2.Vec
	for _, k := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		x, y := k[0]*half, k[1]*wide
		outline = append(outline, r2.Vec{X: at.X + cos*x - sin*y, Y: at.Y + sin*x + cos*y})
	}
	return min(level, s.BearingUnder(level, outline))
}

// heading is that of a leg, degrees.
func heading(leg planar.Leg) float64 { return planar.HeadingOf(r3.Sub(leg.B, leg.A)) }

// from takes what lies along x from the origin to a leg, from its beginning on, at z as it is.
func from(leg planar.Leg) sdf.Pose {
	return sdf.Turn(sdf.V(0, 0, 1), heading(leg)).Then(sdf.At(sdf.V(leg.A.X, leg.A.Y, 0)))
}
