package rail

import (
	"gonum.org/v1/gonum/spatial/r2"

	"socle/parts"
	"socle/sdf"
)

// Breaks gives lengths of its members, where posts and handrail lie within the patch.
func (r *Rail) Breaks(s *parts.Site, p *parts.Patch) []parts.Matter {
	if len(r.Check(s)) > 0 {
		return nil
	}
	z := r.settled(s)
	run := 0.0
	for _, stretch := range z.stretches {
		line := make([]r2.Vec, len(stretch.line.Pts))
		for i, q := range stretch.line.Pts {
			line[i] = r2.Vec{X: q.X, Y: q.Y}
		}
		run += p.Run(line, z.post)
	}
	if run == 0 {
		return nil
	}
	return []parts.Matter{{Form: parts.Boards, Volume: 2 * run * z.handrail * z.handrail, Unit: sdf.V(z.bay, z.handrail, z.handrail)}}
}
