package stair

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/parts"
	"socle/parts/fracture"
	"socle/sdf"
)

// Bitten is the flight broken step by step: in blocks as tall as a riser and as deep as a
// going, or as several where those are small, and two to three times as long.
func (st *Stair) Bitten(s *parts.Site, bites []parts.Bite, under sdf.Field) []parts.Remains {
	l := st.settled(s)
	work := st.Solid(s)
	foot := st.bearing(s, l)
	least := 3 * s.Print.Gap
	times := math.Max(1, math.Ceil(least/math.Min(l.Going, l.Riser)-1e-9))
	size := sdf.V(2.5*math.Max(times*l.Going, times*l.Riser), times*l.Going, times*l.Riser)
	half := st.Width / 2
	size.X = st.Width / math.Max(1, math.Round(st.Width/size.X))
	b := fracture.Break{Work: work, Frame: l.Pose, Size: size, From: sdf.V(-half, -l.Nosing/2, l.From), True: true,
		Box: r3.Box{Min: sdf.V(-half, -l.Nosing-0.1, foot-0.1), Max: sdf.V(half, l.End()+parts.Embed+0.1, l.To+0.1)},
		Held: func(p r3.Vec) bool {
			return p.Z < foot+size.Z && under.Value(sdf.V(p.X, p.Y, foot+0.2)) < -0.2
		}}
	return []parts.Remains{{Work: work, Taken: b.Taken(bites)}}
}
