package wall

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/sdf"
)

// unitBodies are the stones of a coursing without their joints, in full-size mm: length,
// width and height.
var unitBodies = map[string]r3.Vec{
	"brick":  {X: 215, Y: 102.5, Z: 65}, // BS EN 771 usage, BS 4729
	"block":  {X: 440, Y: 215, Z: 215},  // BS EN 771-3 usage
	"ashlar": {X: 890, Y: 300, Z: 290},  // common practice, no source
}

// brokenHeight is how much of the height of a wall in a patch comes down. Common
// practice, no source.
const brokenHeight = 0.5

// Breaks gives the stones of the wall, from as far off as they fall. They are as large as
// its courses show them, where several are drawn as one.
func (w *Wall) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	if len(w.Line) < 2 || !(w.height() > 0) {
		return nil
	}
	m := w.settled(s)
	falls := m.thick/2 + strewnShare*m.height
	if p.Deep > 0 { // what struck the floor brings down what it reaches
		falls = m.thick / 2
	}
	volume := p.Run(w.Line, falls) * m.thick * m.height * brokenHeight
	if volume == 0 {
		return nil
	}
	body, ok := unitBodies[w.Coursing]
	if !ok {
		return []parts.Matter{{Form: parts.Stones, Volume: volume}}
	}
	form := parts.Blocks
	if w.Coursing == "brick" {
		form = parts.Bricks
	}
	unit := unitSizes[w.Coursing]
	k := math.Max(m.course/s.HeightOnPrint(unit[1]), 1)
	return []parts.Matter{{Form: form, Volume: volume,
		Unit: sdf.V(k*s.OnPrint(body.X), k*s.OnPrint(body.Y), k*s.HeightOnPrint(body.Z))}}
}
