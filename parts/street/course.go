package street

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/course"
	"socle/parts/planar"
)

// Course is embedded by what runs along a line of the plan over the floors there.
type Course struct {
	course.Line `plan:"left"`

	Level *parts.Level `key:"level" type:"level" doc:"finished level that it stands on; left out, the highest floor under each piece of it"`
	Wear  float64      `key:"wear" type:"number" doc:"0 new .. 1 pieces of it broken, out of line and gone" default:"0.4" min:"0" max:"1"`
	Seed  uint64       `key:"seed" type:"seed" doc:"picks what is worn, and how" default:"1"`
}

// legs are its straight sides.
func (c *Course) legs() []planar.Leg { return c.Legs(0) }

// CheckPlace reports a corner under which no floor lies.
func (c *Course) CheckPlace(s *parts.Site) []parts.Fault { return c.Stands(s, c.Level, c.Points...) }

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
